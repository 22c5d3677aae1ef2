"""What a layout asks of her that she did not type, said plainly: its room, its strip, its middles.

Words of the planner, because pages, chalk steps, hand-out and comparison all say them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from planner.border.corners import Ease
from planner.border.drift import standing
from planner.border.layout import Layout
from planner.border.meetings import MEETINGS
from planner.border.room import comfortable_room
from planner.geometry.arrays import ROUNDING_IN, TOUCHING_IN
from planner.lengths import format_length
from planner.plan import SIDES, Drift, SideName

_SEEN_IN = 1 / 32  # lengths nearer to each other than that read alike
NAMES: dict[SideName, str] = {"top": "top", "right": "right side", "bottom": "bottom", "left": "left side"}


def said_of(layout: Layout) -> tuple[str, ...]:
    """Everything worth a sentence, in the order of what she chalks."""
    return tuple(
        filter(None, (_room(layout), _wider(layout), _strip(layout), _middles(layout), _drifts(layout)))
    )


def room_words(layout: Layout) -> str:
    """``7/8 in``, or each width where the sides differ."""
    units = layout.plan.units
    rooms = sorted(
        {format_length(band.room, units): band.room for band in layout.quilt.own.values()}.items(),
        key=lambda i: i[1],
    )
    return " and ".join(words for words, _ in rooms)


def rooms_by_side(layout: Layout) -> str:
    """``7/8 in``, or ``1 in at the top and bottom and 1 1/4 in at the sides``: what either side of the band has."""
    return by_side(
        {side: format_length(band.room, layout.plan.units) for side, band in layout.quilt.own.items()}
    )


def strip_words(layout: Layout) -> str:
    """``1/2 in``, or ``3 1/2 in at the top and bottom and 2 1/2 in at the sides``; nothing without a strip."""
    units = layout.plan.units
    strips = {
        side: format_length(band.strip, units)
        for side, band in layout.quilt.own.items()
        if band.strip > ROUNDING_IN
    }
    return by_side(strips)


def by_side(words: dict[SideName, str]) -> str:
    """What is said of some sides, those alike together; of all four alike without naming them."""
    alike = {
        one: tuple(side for side in SIDES if words.get(side) == one) for one in dict.fromkeys(words.values())
    }
    if len(alike) == 1 and len(words) == len(SIDES):
        return next(iter(alike))
    return listed([f"{one} at the {_named(sides)}" for one, sides in alike.items()])


def room_and_strip(layout: Layout) -> str:
    """The two in one line of a table."""
    strip = strip_words(layout)
    return room_words(layout) + (f"; straight lines {strip}" if strip else "")


def _room(layout: Layout) -> str:
    """How much room the guide lines leave, where that is not what she would expect."""
    units, usual, room = layout.plan.units, comfortable_room(layout.plan.fill), layout.room
    if abs(room - usual) < _SEEN_IN:
        return ""
    touching = touches(chain.ease for chain in layout.own.values())
    why = ", so the circles touch" if touching else ", so that the runs come out right"
    return (
        f"The fill has {format_length(room, units)} of room on either side of the guide lines instead of "
        f"{format_length(usual, units)}{why}."
    )


def touches(eases: Iterable[Ease]) -> bool:
    """Whether neighbouring circles touch on every side, to her."""
    return touch(max(ease.gap for ease in eases))


def touch(gap: float) -> bool:
    """Whether circles with so much air between them touch, to her: every page, sheet and figure asks here."""
    return gap <= TOUCHING_IN


def _wider(layout: Layout) -> str:
    """The sides that have more room than the narrowest."""
    wider = [side for side in SIDES if layout.quilt.own[side].room > layout.room + _SEEN_IN]
    if not wider:
        return ""
    most = max(layout.quilt.own[side].room for side in wider)
    return (
        f"The curls are alike all round; the {_named(tuple(wider))} {'has' if len(wider) == 1 else 'have'} longer "
        f"shapes, with {format_length(most, layout.plan.units)} of room."
    )


def _strip(layout: Layout) -> str:
    """What the straight lines along the seam take."""
    words = strip_words(layout)
    if not words:
        return ""
    return f"Along the seam straight lines take the last {words}; the curls fill the rest of the border."


def _middles(layout: Layout) -> str:
    """How wide the open middles are, where top and sides differ."""
    meeting, units = layout.choice.meeting, layout.plan.units
    if meeting is None or MEETINGS[meeting].takes == "nothing":
        return ""
    what = "ring in the middle" if MEETINGS[meeting].takes == "a ring" else "open middle"
    wide = {side: format_length(layout.own[side].middle, units) for side in SIDES}
    across = "across" if MEETINGS[meeting].takes == "a ring" else "wide"
    return f"The {what} is {by_side(wide)}{f' {across}' if len(set(wide.values())) == 1 else ''}."


def _drifts(layout: Layout) -> str:
    """Where she stood off, and the rest was spread anew."""
    units = layout.plan.units
    told = [
        f"the {NAMES[one.side]} from {curl_words(one)} on, which stood {format_length(abs(one.by_in), units)} "
        f"{'too far along' if one.by_in > 0 else 'short'}"
        for side in SIDES
        for one in standing(layout.choice.drifts, side)
        if abs(one.by_in) > ROUNDING_IN
    ]
    return f"Spread anew: {'; '.join(told)}." if told else ""


def curl_words(drift: Drift) -> str:
    """``curl 7``, ``curl 7 counted from your left``: facing the quilt, a run begins at her right."""
    return f"curl {drift.curl}" + (" counted from your left" if drift.from_far_end else "")


def _named(sides: tuple[SideName, ...]) -> str:
    """Some sides in words: ``top and bottom``, ``sides``, ``top and sides``."""
    if {"left", "right"} <= set(sides):
        return listed([NAMES[side] for side in sides if side not in ("left", "right")] + ["sides"])
    return listed([NAMES[side] for side in sides])


def listed(words: Sequence[str]) -> str:
    """Words as a sentence tells them: 'rust, gold and green'."""
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))
