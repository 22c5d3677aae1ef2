"""What to do when nothing lands: first what leaves the cloth alone, a change of border last.

Every cure is a changed plan that has been solved before it is offered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product
from typing import Any

from planner.border.corners.styles import CORNER_STYLES
from planner.border.meetings import MEETINGS
from planner.lengths import MARK_IN, format_length
from planner.plan import Choice, Plan, SideName, Units
from planner.solver.buying import better_circle, missing_circles
from planner.solver.changes import apply_change, landing_choice
from planner.solver.combos import choice_of
from planner.solver.effort import Patience
from planner.solver.floors import most_ease

_USUAL_BORDERS: dict[Units, str] = {"in": "5 in to 8 in", "cm": "13 cm to 20 cm", "mm": "130 mm to 200 mm"}
_ENOUGH_CURES = 2  # a choice between two; each further one takes as long again to find
_EASE_STEPS = range(1, 9)  # sixteenths of an inch, or millimetres, of lift and gap more
_BORDER_STEPS = (1, 2, 3, 4, 6, 8, 10, 12, 16, 20, 24, 32)  # the same of a border's width
_PATIENCE, _OF_ONE = 14_000, 8_000  # of curls, for all questions together and for each: some 0.3 s
_PAIRS: tuple[tuple[SideName, SideName], ...] = (("top", "bottom"), ("left", "right"))
_NEEDS = {
    "fill.room_in": "the room for the fill",
    "fill.longest_in": "the longest shape of the fill",
    "fill.smallest_curl_in": "the smallest curl",
}


Question = Callable[[Plan, Patience], Iterator["Refusal"]]


@dataclass(frozen=True, slots=True)
class Refusal:
    """One thing that stands in the way. by: how much is missing (inches, or None where it is no length).

    change: dotted plan fields and the values that cure it, choice: the layout that lands then; None when no single
    change does.
    """

    limit: str
    field: str
    message: str
    by_in: float | None
    cure: str
    change: dict[str, Any] | None
    choice: Choice | None = None


def refusals_of(plan: Plan, patience: Patience | None = None) -> list[Refusal]:
    """What stands in the way of a plan without proposals, the easiest cure first. patience: this is part of it."""
    found: list[Refusal] = []
    asking = _Asking(plan, patience)
    for ask in _QUESTIONS:
        found += asking(ask)
        if len(found) >= _ENOUGH_CURES:
            return found
    return found or list(asking(_border)) or [_nothing(plan, asking.answered)]


def quickly(plan: Plan, patience: Patience | None = None) -> Refusal:
    """The first thing to say; ``refusals_of`` says it all."""
    asking = _Asking(plan, patience)
    found = (refusal for ask in _QUESTIONS for refusal in asking(ask))
    return next(found, None) or _nothing(plan, asking.answered)


class _Asking:
    """One question after another about a plan, with patience for each. answered: it sufficed for all of them."""

    def __init__(self, plan: Plan, patience: Patience | None) -> None:
        self.plan = plan
        self.answered = True
        self._patience = Patience(_PATIENCE, patience)

    def __call__(self, ask: Question) -> Iterator[Refusal]:
        part = Patience(_OF_ONE, self._patience)
        yield from ask(self.plan, part)
        self.answered &= bool(part)


def _circle(plan: Plan, patience: Patience) -> Iterator[Refusal]:
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
    words = " and ".join(_show(d, plan) for d in missing)
    yield Refusal(
        "tin",
        "tin_in",
        "None of your circles, alone or in pairs, comes out right on all four sides.",
        None,
        f"Add {'a circle' if len(missing) == 1 else 'circles'} of {words} across to the tin (Cornerwise prints "
        f"{'it as a template' if len(missing) == 1 else 'them as templates'} to cut).",
        {"tin_in": tuple(sorted({*plan.tin_in, *missing}))},
        choice,
    )


def _taste(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """Would another kind of run, meeting or corner do with the same measures?"""
    corners = [kind for kind in reversed(CORNER_STYLES) if CORNER_STYLES[kind].strict]
    for field, value in (("run", "any"), ("meeting", "any"), *(("corner", kind) for kind in corners)):
        now = getattr(plan, field)
        if now == value or (field == "meeting" and not CORNER_STYLES[plan.corner].meets):
            continue
        change = {field: value}
        choice = landing_choice(apply_change(plan, change), patience)
        if choice:
            yield Refusal(
                field,
                field,
                f"With {_called(field, now)} nothing lands, though the measures are good.",
                None,
                f"Take {_called(field, value)}.",
                change,
                choice,
            )
            return


def _needs(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """Would it do with a need of the fill left open that she fixed?"""
    fixed = [path for path in _NEEDS if getattr(plan.fill, path.removeprefix("fill.")) is not None]
    for paths in (*((path,) for path in fixed), *([tuple(fixed)] if len(fixed) > 1 else [])):
        change = dict.fromkeys(paths)
        choice = landing_choice(apply_change(plan, change), patience)
        if choice:
            words = " and ".join(_NEEDS[path] for path in paths)
            now = ", ".join(_show(getattr(plan.fill, path.removeprefix("fill.")), plan) for path in paths)
            yield Refusal(
                "needs",
                paths[0],
                f"With {words} fixed at {now} nothing lands.",
                None,
                f"Leave {words} open: it then takes what suits, {_show(choice.room_in or 0.0, plan)} of room.",
                change,
                choice,
            )
            return


def _density(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """Would it do, quilted as close as is common?"""
    if plan.fill.density == "usual":
        return
    change = {"fill.density": "usual"}
    choice = landing_choice(apply_change(plan, change), patience)
    if choice:
        yield Refusal(
            "density",
            "fill.density",
            f"Quilted {plan.fill.density} than is common nothing lands.",
            None,
            f"Quilt as is common: with {_show(choice.room_in or 0.0, plan)} of room it lands.",
            change,
            choice,
        )


def _ease(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """Would a little more lift and gap land it?"""
    lift, gap, step = plan.ease_limits.lift_in, plan.ease_limits.gap_in, MARK_IN[plan.units]
    for n in _EASE_STEPS:
        more = n * step
        change = {"ease_limits.lift_in": lift + more, "ease_limits.gap_in": gap + more}
        if max(change.values()) > most_ease(plan):
            return
        choice = landing_choice(apply_change(plan, change), patience)
        if choice:
            yield Refusal(
                "ease",
                "ease_limits.gap_in",
                f"The runs miss the middle: they would have to give {_show(more, plan)} more than you allow.",
                more,
                f"Allow a lift of {_show(lift + more, plan)} and a gap of {_show(gap + more, plan)}.",
                change,
                choice,
            )
            return


def _border(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """The nearest width that works of one pair of opposite borders, narrower before wider: cloth that is sewn can
    still be trimmed."""
    for n, way, pair in product(_BORDER_STEPS, (-1, 1), _PAIRS):
        by = n * MARK_IN[plan.units]
        change = {f"border_in.{side}": plan.border_in.of(side) + way * by for side in pair}
        if min(change.values()) <= 0:
            continue
        choice = landing_choice(apply_change(plan, change), patience)
        if choice:
            word = "Widen" if way > 0 else "Narrow"
            yield Refusal(
                "border",
                f"border_in.{pair[0]}",
                "No circles fit this width of border within the limits.",
                by,
                f"{word} the {pair[0]} and {pair[1]} borders by {_show(by, plan)}.",
                change,
                choice,
            )
            return


def _nothing(plan: Plan, answered: bool) -> Refusal:
    if answered:
        tried = "and no single change of one measure mends it."
    else:
        tried = "nor with the changes that were tried. There are too many ways for this plan to try them all."
    return Refusal(
        "plan",
        "border_in",
        f"No circles land on all four sides within the limits, {tried}",
        None,
        f"Begin with borders of {_USUAL_BORDERS[plan.units]}, the needs of the fill left open, and your own cut "
        "circles.",
        None,
    )


_QUESTIONS: tuple[Question, ...] = (
    _circle,
    _taste,
    _density,
    _needs,
    _ease,
)


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
