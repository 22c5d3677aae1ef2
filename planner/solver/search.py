"""Searching: all that lands, one meeting at a time; or only what may still be the cheapest."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from planner.border.band import Quilt, quilt_of
from planner.border.corners.styles import CORNER_STYLES
from planner.border.meetings import MEETINGS
from planner.errors import PlanError
from planner.geometry.arrays import ROUNDING, Numbers
from planner.plan import MeetingKind, Plan
from planner.solver import choices, easy, reaching
from planner.solver.combos import Combos, Tries
from planner.solver.limits import Limits

_AT_ONCE = 24  # combinations whose reach is worked out in one go, at first: fewer take as long


def circles(plan: Plan, quilt: Quilt, limits: Limits) -> Iterator[tuple[MeetingKind | None, Tries]]:
    """Each meeting that she allows, with the pairs of circles to try. Raises PlanError where she has none."""
    _look_into_tin(plan)
    pairs = reaching.within_reach(plan, quilt, limits, *choices.circle_pairs(plan, quilt, limits))
    for meeting in _meetings(plan):
        if len(pairs):
            yield meeting, pairs


def _meetings(plan: Plan) -> Sequence[MeetingKind | None]:
    """Those she allows; None where no runs meet."""
    if not CORNER_STYLES[plan.corner].meets:
        return (None,)
    return tuple(MEETINGS) if plan.meeting == "any" else (plan.meeting,)


def feasible(plan: Plan) -> Iterator[tuple[MeetingKind | None, Combos]]:
    """Everything that lands and keeps the limits. Raises PlanError for an impossible plan."""
    quilt, limits = quilt_of(plan), Limits.of(plan)
    if not CORNER_STYLES[plan.corner].strict:
        _look_into_tin(plan)
        yield None, easy.combinations(plan, quilt, limits)
        return
    for meeting, pairs in circles(plan, quilt, limits):
        yield meeting, choices.combinations(plan, quilt, meeting, limits, pairs)


def cheapest(
    plan: Plan,
    limits: Limits,
    cost: Callable[[Combos], Numbers],
    at_least: Callable[[Tries], Numbers] | None = None,
    every: int = 1,
) -> Iterator[tuple[MeetingKind | None, Combos, Numbers]]:
    """Feasible combinations and their costs, among them the cheapest and all that cost as little.

    What cannot cost less than the least so far is left out: circles before they are landed (at_least says what
    they cost at least), landed ones before their reach is worked out. A cost may therefore only rise with the
    reach. every: try only each so manieth middle. Raises PlanError for an impossible plan.
    """
    quilt = quilt_of(plan)
    if not CORNER_STYLES[plan.corner].strict:  # chains that wander are measured one by one anyway
        _look_into_tin(plan)
        combos = easy.combinations(plan, quilt, limits)
        yield None, combos, cost(combos)
        return
    least = np.inf
    for meeting, pairs in circles(plan, quilt, limits):
        tries = pairs.with_middles(choices.middles(plan, quilt, meeting)[::every])
        if at_least:
            tries = tries.where(at_least(tries) <= least + ROUNDING)
        if not len(tries):
            continue
        combos, at_once = choices.landing(plan, quilt, meeting, limits, tries), _AT_ONCE
        bound = cost(combos)
        order = np.argsort(bound, kind="stable")
        while len(order := order[bound[order] <= least + ROUNDING]):
            some = combos.where(order[:at_once])
            order, at_once = order[at_once:], 2 * at_once
            some = reaching.with_reach(plan, quilt, meeting, limits, some)
            costs = cost(some)
            least = min(least, costs.min(initial=np.inf))
            yield meeting, some, costs


def _look_into_tin(plan: Plan) -> None:
    """Raises PlanError where there is no circle in it and none to be cut."""
    if not plan.tin_in and not plan.cut_own:
        raise PlanError(
            "The tin is empty, so there is no circle to draw round.",
            field="tin_in",
            cure="Enter the circles you own, or say that you will cut your own.",
        )
