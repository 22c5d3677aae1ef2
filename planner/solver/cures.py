"""What would let a plan land on which nothing does: one change at a time, each solved before it is offered."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

from planner.border.band import LEAST_ROOM_IN
from planner.border.corners.styles import CORNER_STYLES
from planner.border.meetings import MEETINGS
from planner.border.room import room_limits, smallest_curl
from planner.kinds import FILLS
from planner.lengths import MARK_IN, format_length, mark_at_most
from planner.plan import LARGEST_TIN, SIDES, Choice, Plan, SideName
from planner.solver.buying import better_circle, missing_circles
from planner.solver.changes import apply_change, landing_choice
from planner.solver.combos import choice_of
from planner.solver.effort import Patience
from planner.solver.floors import most_ease

NEEDS = {
    "fill.room_in": "the room for the fill",
    "fill.longest_in": "the longest shape of the fill",
    "fill.smallest_curl_in": "the smallest curl",
}
_LESS_ROOM = 2 / 3  # of the least for a fill: in still less it does not look like itself
_EASE_STEPS = range(1, 9)  # sixteenths of an inch, or millimetres, of lift and gap more
_BORDER_STEPS = (1, 2, 3, 4, 6, 8, 10, 12, 16, 20, 24, 32)  # the same of a border's width
_BORDERS: tuple[tuple[str, tuple[SideName, ...]], ...] = (
    ("the top and bottom borders", ("top", "bottom")),
    ("the left and right borders", ("left", "right")),
    ("all four borders", SIDES),
)


@dataclass(frozen=True, slots=True)
class Change:
    """A change of a plan: what she is told to do (no capital, no full stop), dotted fields and their new values."""

    words: str
    values: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Refusal:
    """One thing that stands in the way. by: how much is missing (inches, or None where it is no length).

    change: dotted plan fields and the values that cure it, choice: the layout that lands then; None when nothing
    that was tried does.
    """

    limit: str
    field: str
    message: str
    by_in: float | None
    cure: str
    change: dict[str, Any] | None
    choice: Choice | None = None


Question = Callable[[Plan, Patience], Iterator[Refusal]]


def circle(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """Would one circle that she does not own do it, or else two or three that she cuts?"""
    if plan.cut_own:
        return
    one = better_circle(plan, patience) if plan.tin_in else None
    if one:
        found, diameter = one
        choice, missing = choice_of(plan, found.grounds, found.combos, 0), [diameter]
    else:
        cut = landing_choice(plan.model_copy(update={"cut_own": True}), patience)
        if cut is None:
            return
        choice, missing = cut, missing_circles(plan, cut)
    change = with_circles(plan, missing)
    if change:
        yield _refusal(
            "tin",
            "None of your circles, alone or in pairs, comes out right on all four sides.",
            change,
            choice,
            after=f" (Cornerwise prints {'it as a template' if len(missing) == 1 else 'them as templates'} to cut)",
        )


def taste(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """Would another kind of run, meeting or corner do with the same measures?"""
    corners = [kind for kind in reversed(CORNER_STYLES) if CORNER_STYLES[kind].strict]
    for field, value in (("run", "any"), ("meeting", "any"), *(("corner", kind) for kind in corners)):
        now = getattr(plan, field)
        if now == value or (field == "meeting" and not CORNER_STYLES[plan.corner].meets):
            continue
        change = taking(field, value)
        choice = landing_choice(apply_change(plan, change.values), patience)
        if choice:
            message = f"With {_called(field, now)} nothing lands, though the measures are good."
            yield _refusal(field, message, change, choice)
            return


def density(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """Would it do, quilted as close as is common?"""
    if plan.fill.density == "usual":
        return
    choice = landing_choice(apply_change(plan, AS_IS_COMMON.values), patience)
    if choice:
        message = f"Quilted {plan.fill.density} than is common nothing lands."
        after = f": with {_show(choice.room_in or 0.0, plan)} of room it lands"
        yield _refusal("density", message, AS_IS_COMMON, choice, after=after)


def needs(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """Would it do with a need of the fill left open that she fixed?"""
    fixed = fixed_needs(plan)
    for paths in (*((path,) for path in fixed), *([fixed] if len(fixed) > 1 else [])):
        change = leaving_open(paths)
        choice = landing_choice(apply_change(plan, change.values), patience)
        if choice:
            now = ", ".join(_show(getattr(plan.fill, path.removeprefix("fill.")), plan) for path in paths)
            message = f"With {in_a_row([NEEDS[path] for path in paths])} fixed at {now} nothing lands."
            after = f": it then takes what suits, {_show(choice.room_in or 0.0, plan)} of room"
            yield _refusal("needs", message, change, choice, after=after)
            return


def ease(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """Would a little more lift and gap land it?"""
    lift, gap, step = plan.ease_limits.lift_in, plan.ease_limits.gap_in, MARK_IN[plan.units]
    for n in _EASE_STEPS:
        more = n * step
        change = easing(plan, lift + more, gap + more)
        if max(change.values.values()) > most_ease(plan):
            return
        choice = landing_choice(apply_change(plan, change.values), patience)
        if choice:
            by = _show(more, plan)
            message = f"The runs miss the middle: they would have to give {by} more than you allow."
            yield _refusal("ease", message, change, choice, by_in=more)
            return


def less_room(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """Would it do in less room than its fill usually has?"""
    for change in less_rooms(plan):
        choice = landing_choice(apply_change(plan, change.values), patience)
        if choice:
            least = f"{_show(room_limits(plan.fill)[0], plan)} of room on both sides of the spine"
            why = "" if plan.fill.room_in else f", the least for {FILLS[plan.fill.kind].spoken},"
            message = f"With {least}{why} nothing lands."
            yield _refusal("room", message, change, choice, after=" and look whether you like the picture")
            return


def other_fill(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """Would other fills do? The one that is most like hers in its room is offered, the others are named."""
    every = [
        (change, choice)
        for change in other_fills(plan)
        if (choice := landing_choice(apply_change(plan, change.values), patience))
    ]
    for change, choice in every[:1]:
        others = [FILLS[other.values["fill.kind"]].spoken for other, _ in every[1:]]
        after = f"; {in_a_row(others)} would do as well" if others else ""
        message = f"With {FILLS[plan.fill.kind].spoken} nothing lands in these borders."
        yield _refusal("fill", message, change, choice, after=after)


def border(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """The nearest width that works of one pair of opposite borders, or of all; narrower before wider: cloth that is
    sewn can still be trimmed."""
    for n, way, which in product(_BORDER_STEPS, (-1, 1), range(len(_BORDERS))):
        change = widening(plan, way * n, which)
        if min(change.values.values()) <= 0:
            continue
        choice = landing_choice(apply_change(plan, change.values), patience)
        if choice:
            message = "No circles fit this width of border within the limits."
            yield _refusal("border", message, change, choice, by_in=n * MARK_IN[plan.units])
            return


AS_IS_COMMON = Change("quilt as is common", {"fill.density": "usual"})


def with_circles(plan: Plan, missing: Sequence[float]) -> Change | None:
    """Circles more in the tin (diameters, inches); None where none is missing, or it cannot hold them."""
    tin = tuple(sorted({*plan.tin_in, *missing}))
    if not missing or len(tin) > LARGEST_TIN:
        return None
    words = in_a_row([_show(diameter, plan) for diameter in missing])
    what = "a circle" if len(missing) == 1 else "circles"
    return Change(f"add {what} of {words} across to the tin", {"tin_in": tin})


def taking(field: str, value: str) -> Change:
    """Another run, meeting or corner."""
    return Change(f"take {_called(field, value)}", {field: value})


def fixed_needs(plan: Plan) -> tuple[str, ...]:
    """The dotted names of the needs that she fixed."""
    return tuple(path for path in NEEDS if getattr(plan.fill, path.removeprefix("fill.")) is not None)


def leaving_open(paths: Sequence[str]) -> Change:
    """Needs that she fixed, left open."""
    return Change(f"leave {in_a_row([NEEDS[path] for path in paths])} open", dict.fromkeys(paths))


def easing(plan: Plan, lift: float, gap: float) -> Change:
    """Another lift and gap (inches)."""
    return Change(
        f"allow a lift of {_show(lift, plan)} and a gap of {_show(gap, plan)}",
        {"ease_limits.lift_in": lift, "ease_limits.gap_in": gap},
    )


def less_rooms(plan: Plan) -> Iterator[Change]:
    """Every mark of room somewhat below the least of her fill in which its smallest curl fits the border."""
    within = min(plan.border_in.of(side) for side in SIDES) - plan.binding_allowance_in
    least, step = room_limits(plan.fill)[0], MARK_IN[plan.units]
    room = mark_at_most(least - step, plan.units)
    while room >= max(LEAST_ROOM_IN, _LESS_ROOM * least):
        if 2 * (room + smallest_curl(plan.fill, room)) <= within:
            yield Change(f"give it {_show(room, plan)} of room", {"fill.room_in": room})
        room = mark_at_most(room - step, plan.units)


def other_fills(plan: Plan) -> list[Change]:
    """Every other fill, the one whose least room is nearest to hers first."""
    least = FILLS[plan.fill.kind].needs.least_room
    others = [kind for kind in FILLS.records if kind != plan.fill.kind]
    others.sort(key=lambda kind: abs(FILLS[kind].needs.least_room - least))
    return [Change(f"fill it with {FILLS[kind].spoken}", {"fill.kind": kind}) for kind in others]


def widening(plan: Plan, marks: int, which: int) -> Change:
    """One pair of opposite borders (0, 1) or all of them (2) wider by so many marks of her ruler, or narrower."""
    called, sides = _BORDERS[which]
    by = marks * MARK_IN[plan.units]
    return Change(
        f"{'widen' if by > 0 else 'narrow'} {called} by {_show(abs(by), plan)}",
        {f"border_in.{side}": plan.border_in.of(side) + by for side in sides},
    )


def in_a_row(words: Sequence[str]) -> str:
    """One, two, and three: with a comma before the last, since a fill's name has an “and” of its own."""
    *first, last = words
    return f"{', '.join(first)}{',' if len(first) > 1 else ''} and {last}" if first else last


def _refusal(
    limit: str, message: str, change: Change, choice: Choice, *, by_in: float | None = None, after: str = ""
) -> Refusal:
    cure = f"{change.words[:1].upper()}{change.words[1:]}{after}."
    return Refusal(limit, next(iter(change.values)), message, by_in, cure, change.values, choice)


def _called(field: str, kind: str) -> str:
    """A kind of run, meeting or corner as the form calls it; for any: whatever lands."""
    if field == "meeting":
        what = f"“{MEETINGS[kind].listed}”" if kind in MEETINGS else "whatever lands"
        return f"{what} in the middle of a side"
    if field == "run":
        return "either kind of curls" if kind == "any" else f"{kind} curls"
    return f"{CORNER_STYLES[kind].name} corners"


def _show(value: float, plan: Plan) -> str:
    return format_length(value, plan.units)
