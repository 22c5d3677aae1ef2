"""What to do when nothing lands: first what leaves the cloth alone, a change of border last.

Every cure is a changed plan that has been solved before it is offered.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from planner.border.band import quilt_with
from planner.border.room import room_limits
from planner.errors import ChoiceError
from planner.plan import Plan, Units
from planner.solver import cures
from planner.solver.cures import Question, Refusal
from planner.solver.effort import Patience
from planner.solver.together import together

_USUAL_BORDERS: dict[Units, str] = {"in": "5 in to 8 in", "cm": "13 cm to 20 cm", "mm": "130 mm to 200 mm"}
_ENOUGH = 2  # a choice between two; each further one takes as long again to find
_OF_ONE = 8_000  # of curls, for each question: some 0.15 s
# What is asked at a time, and how much patience there is for it. What is asked first is answered best: where
# anything comes of it, nothing after it is asked.
_QUESTIONS: tuple[tuple[tuple[Question, ...], float], ...] = (
    ((cures.circle, cures.taste, cures.density, cures.needs, cures.ease), 14_000),
    ((cures.less_room, cures.other_fill), 14_000),
    ((together, cures.border), 20_000),
)


def refusals_of(plan: Plan, patience: Patience | None = None) -> list[Refusal]:
    """What stands in the way of a plan without proposals, the easiest cure first. patience: this is part of it.

    Raises PlanError where no band is left and nothing mends it.
    """
    return list(islice(_every(plan, patience), _ENOUGH))


def quickly(plan: Plan, patience: Patience | None = None) -> Refusal:
    """The first thing to say; ``refusals_of`` says it all."""
    return next(_every(plan, patience))


def _every(plan: Plan, patience: Patience | None) -> Iterator[Refusal]:
    """One cure after another; where there is none, what she might begin with.

    Where no band is left, that is said first. Raises PlanError where that is so and nothing mends it.
    """
    no_band, parts = _no_band(plan), list[Patience]()
    for questions, most in _QUESTIONS:
        whole, found = Patience(most, patience), False
        for ask in questions:
            parts.append(Patience(_OF_ONE, whole))
            for refusal in ask(plan, parts[-1]):
                yield replace(refusal, message=no_band.message) if no_band and not found else refusal
                found = True
        if found:
            return
    if no_band:
        raise no_band
    yield _nothing(plan, answered=all(parts))


def _no_band(plan: Plan) -> ChoiceError | None:
    """What is wrong with the borders where the least room takes them whole."""
    try:
        quilt_with(plan, room_limits(plan.fill)[0])
    except ChoiceError as error:
        return error
    return None


def _nothing(plan: Plan, *, answered: bool) -> Refusal:
    if answered:
        tried = "and none of the changes that were tried mends it."
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
