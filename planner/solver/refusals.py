"""Why nothing works: which limit, by how much, and the nearest change that would, found by solving it.

Each limit is loosened alone. Where that lets a layout through, it is what binds, and the least it would have to
give is read off the layouts found. Every cure is a changed plan that has been solved before it is offered.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import ceil, inf
from typing import Any

import numpy as np

from planner.border.corners.styles import CORNER_STYLES
from planner.border.meetings import MEETINGS
from planner.border.room import comfortable_room
from planner.geometry.arrays import ROUNDING
from planner.lengths import format_length
from planner.plan import SIDES, Plan
from planner.solver.changes import apply_change, least_excess, works
from planner.solver.limits import Limits
from planner.solver.search import feasible

BORDER_STEP_IN = 1 / 8  # a border is cut to eighths
ROUND_SIZES_IN = {"in": (1 / 4, 1 / 8), "mm": (10 / 25.4, 5 / 25.4)}  # of templates, the coarser ones first
_MOST_SIZES = 80  # circles tried at once: beyond it the search takes longer than she waits
_MOST_STEPS = 24  # of room: three inches by eighths
_BORDER_STEPS_IN = (  # eighths up to an inch, then coarser: half inches when it is nearly another quilt
    *(i / 8 for i in range(1, 9)),
    *(1 + i / 4 for i in range(1, 9)),
    *(3 + i / 2 for i in range(1, 11)),
)
_ENOUGH_CURES = 2  # a choice between two; each further one takes as long again to find
_LOOSE_EASE_IN = 0.5


@dataclass(frozen=True, slots=True)
class Refusal:
    """One limit that stands in the way. by: how much is missing (inches, or None where it is no length).

    change: dotted plan fields and the values that cure it, already solved; None when no single change does.
    """

    limit: str
    field: str
    message: str
    by_in: float | None
    cure: str
    change: dict[str, Any] | None


def refusals_of(plan: Plan) -> list[Refusal]:
    """What stands in the way of a plan without proposals, the easiest cure first."""
    questions = _EASY_QUESTIONS if not CORNER_STYLES[plan.corner].strict else _QUESTIONS
    found: list[Refusal] = []
    for ask in questions:
        found += ask(plan)
        if sum(refusal.change is not None for refusal in found) >= _ENOUGH_CURES:
            break
    return found or [
        Refusal(
            "plan",
            "border_in",
            "No circles land on all four sides within the limits, and no single change of one measure mends it.",
            None,
            f"Begin with borders of {_show(5, plan)} to {_show(8, plan)}, all four alike, a fill with "
            f"{_show(1, plan)} of room, and your own cut circles.",
            None,
        )
    ]


def _tin(plan: Plan) -> Iterator[Refusal]:
    """Would a circle that she does not own do it? Round sizes are tried: they are the ones sold and cut."""
    if plan.cut_own:
        return
    for step in ROUND_SIZES_IN[plan.units]:
        pairs = _pairs_with(plan, step)
        if pairs:
            break
    else:
        return
    circles = min(pairs, key=lambda some: (len({*some} - {*plan.tin_in}), abs(some[0] - some[1]), some))
    missing = sorted({*circles} - {*plan.tin_in})
    words = " and ".join(format_length(d, plan.units) for d in missing)
    yield Refusal(
        "tin",
        "tin_in",
        "None of your circles, alone or in pairs, comes out right on all four sides.",
        None,
        f"Add a circle of {words} across to the tin (Cornerwise prints it as a template to cut).",
        {"tin_in": tuple(sorted({*plan.tin_in, *missing}))},
    )


def _pairs_with(plan: Plan, step: float) -> list[tuple[float, ...]]:
    """Diameters of corner circle, run circle (and ring) that land with all multiples of ``step`` in the tin too."""
    widest = max(plan.border_in.of(side) for side in SIDES)
    sizes = {*plan.tin_in, *(i * step for i in range(1, int(widest / step) + 1))}
    if len(sizes) > _MOST_SIZES:
        return []
    return [
        (2 * corner_radius, 2 * r, *([middle] if meeting and MEETINGS[meeting].ring else []))
        for meeting, combos in feasible(plan.model_copy(update={"tin_in": tuple(sorted(sizes))}))
        for corner_radius, r, middle in zip(
            combos.corner_radius.tolist(), combos.r.tolist(), combos.middle.tolist(), strict=True
        )
    ]


def _reach(plan: Plan) -> Iterator[Refusal]:
    """Does a hole stay that the longest plume cannot fill?"""
    limits = Limits.of(plan)
    excess = least_excess(
        plan,
        replace(limits, longest=inf, reach_ends=inf),
        lambda c: np.maximum(
            c.reach_run - limits.longest,
            (c.reach_ends - limits.reach_ends) * limits.longest / limits.reach_ends,
        ),
    )
    if excess is None:
        return
    longest = ceil((limits.longest + excess) * 8 - ROUNDING) / 8
    change = {"fill.longest_in": longest}
    if works(apply_change(plan, change)):
        yield Refusal(
            "reach",
            "fill.longest_in",
            f"Every layout that lands leaves a hole at least {_show(excess, plan)} deeper than your longest "
            f"plume of {_show(limits.longest, plan)} can fill.",
            excess,
            f"Let the longest plume be {_show(longest, plan)}.",
            change,
        )


def _ease(plan: Plan) -> Iterator[Refusal]:
    """Would a little more lift and gap land it?"""
    lift, gap = plan.ease_limits.lift_in, plan.ease_limits.gap_in

    def eased(more: int) -> dict[str, Any]:
        return {"ease_limits.lift_in": lift + more / 16, "ease_limits.gap_in": gap + more / 16}

    most = int(_LOOSE_EASE_IN * 16)
    if not works(apply_change(plan, eased(most))):
        return
    more = bisect_left(range(1, most), True, key=lambda more: works(apply_change(plan, eased(more)))) + 1
    yield Refusal(
        "ease",
        "ease_limits.gap_in",
        f"The runs miss the middle: they would have to give {_show(more / 16, plan)} more than you allow.",
        more / 16,
        f"Allow a lift of {_show(lift + more / 16, plan)} and a gap of {_show(gap + more / 16, plan)}.",
        eased(more),
    )


def _mismatch(plan: Plan) -> Iterator[Refusal]:
    """Do the four sides only land with steps that differ too much, or do unlike borders share no circle at all?"""
    limits = Limits.of(plan)
    excess = least_excess(plan, replace(limits, mismatch=inf), lambda c: c.mismatch)
    widths = sorted({plan.border_in.of(s) for s in SIDES}, reverse=True)
    if excess is None and len(widths) == 1:
        return
    changes = ((width, {f"border_in.{s}": width for s in SIDES}) for width in widths if len(widths) > 1)
    alike = next(((w, change) for w, change in changes if works(apply_change(plan, change))), None)
    yield Refusal(
        "mismatch",
        "border_in",
        f"No circle comes out right in borders of {_show(widths[-1], plan)} and {_show(widths[0], plan)} alike."
        if excess is None
        else f"All four sides land only with steps that differ by {100 * excess:.1f} in 100; "
        f"more than {100 * limits.mismatch:g} in 100 shows.",
        None,
        f"Make all four borders {_show(alike[0], plan)} wide." if alike else "Try another width of border.",
        alike[1] if alike else None,
    )


def _taste(plan: Plan) -> Iterator[Refusal]:
    """Would another kind of run, meeting or corner do with the same measures?"""
    corners = (kind for kind in reversed(CORNER_STYLES) if CORNER_STYLES[kind].strict)
    for field, value in (("run", "any"), ("meeting", "any"), *(("corner", kind) for kind in corners)):
        now = getattr(plan, field)
        if now == value:
            continue
        change = {field: value}
        if works(apply_change(plan, change)):
            wanted = "any kind" if value == "any" else _name(field, value)
            yield Refusal(
                field,
                field,
                f"With {_name(field, now)} as the {field} nothing lands, though the measures are good.",
                None,
                f"Allow {wanted} of {field}." if value == "any" else f"Take {wanted} corners.",
                change,
            )
            return


def _name(field: str, kind: str) -> str:
    """Our name for a kind of run, meeting or corner."""
    if field == "meeting" and kind in MEETINGS:
        return MEETINGS[kind].name
    return CORNER_STYLES[kind].name if field == "corner" else kind


def _border(plan: Plan) -> Iterator[Refusal]:
    """The nearest width of all four borders that works, wider or narrower."""
    for size in _BORDER_STEPS_IN:
        for way in (1, -1):
            by = way * size
            widths = {f"border_in.{s}": plan.border_in.of(s) + by for s in SIDES}
            if min(widths.values()) <= 0:
                continue
            if works(apply_change(plan, widths)):
                word = "Widen" if way > 0 else "Narrow"
                yield Refusal(
                    "border",
                    "border_in",
                    "No circles fit this width of border within the limits.",
                    abs(by),
                    f"{word} all four borders by {_show(abs(by), plan)}.",
                    widths,
                )
                return


def _room(plan: Plan) -> Iterator[Refusal]:
    """The nearest smaller room of the fill that works."""
    for steps in range(1, _MOST_STEPS + 1):
        room = comfortable_room(plan.fill) - steps * BORDER_STEP_IN
        if room < BORDER_STEP_IN:
            return
        if works(apply_change(plan, {"fill.room_in": room})):
            yield Refusal(
                "room",
                "fill.room_in",
                f"With {_show(comfortable_room(plan.fill), plan)} of room on either side the band suits none "
                "of the circles.",
                steps * BORDER_STEP_IN,
                f"Use a fill with {_show(room, plan)} of room.",
                {"fill.room_in": room},
            )
            return


_QUICK = (_taste, _reach, _mismatch)


def quickly(plan: Plan) -> Refusal:
    """What can be said in the time of a solving or two; ``refusals_of`` says it all, and how to mend it."""
    unknown = Refusal(
        "plan",
        "border_in",
        "No circles land here within the limits.",
        None,
        "Look at the plan to see what would mend it.",
        None,
    )
    return next((refusal for ask in _QUICK for refusal in ask(plan)), unknown)


_QUESTIONS: tuple[Callable[[Plan], Iterator[Refusal]], ...] = (
    _tin,
    _taste,
    _reach,
    _ease,
    _mismatch,
    _border,
    _room,
)

# Chains that wander are measured one by one, so fewer changes are tried: strict corners are the near cure.
_EASY_QUESTIONS = (_tin, _taste, _reach)


def _show(value: float, plan: Plan) -> str:
    return format_length(value, plan.units)
