"""Searching: the cheapest of all that lands, each layout once, without landing what cannot be among them.

Circles are tried in the order of what a layout of them costs at least. So the search may stop, and is still
complete: what is left out costs more than everything it found.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.errors import PlanError
from planner.geometry.arrays import Indices, Mask, Numbers, largest
from planner.plan import Plan
from planner.solver.combos import Combos, Tries, meetings_of
from planner.solver.effort import Patience
from planner.solver.grounds import Grounds, grounds, with_strip
from planner.solver.landed import ESTIMATE, Landed, likely_last, looks_of, turns, what_lands
from planner.solver.limits import LEVEL_RISE, Limits
from planner.solver.reaching import run_reach, with_reach, within_reach
from planner.solver.score import least_score, score
from planner.solver.tries import circles, clear_at_corner, thinned
from planner.solver.weights import UNLIKE_IN

MOST_FOUND = 24  # more to choose from help nobody
_MORE_MEASURED = 6  # combinations more than are wanted, whose reach is worked out in one go
PATIENCE = 50_000  # of curls, for one plan: more than a real quilt takes, with whatever circles
_LOOKING = 100  # what it takes, in curls: the grounds of one seam strip, whatever lands there
_OF_A_PAIR, _OF_A_TRY = 0.004, 0.5  # and each pair of circles that fits there, each that is tried
_MEASURING, _OF_A_MEASURE = 130, 8  # to measure any, and each


@dataclass(frozen=True, slots=True)
class Found:
    """What was found on some grounds, cheapest first."""

    grounds: Grounds
    combos: Combos
    scores: Numbers

    def __len__(self) -> int:
        return len(self.combos)

    def where(self, rows: Indices | Mask | slice) -> Found:
        """Only these rows."""
        return Found(self.grounds, self.combos.where(rows), self.scores[rows])


def search(
    plan: Plan,
    limits: Limits | None = None,
    most: int = MOST_FOUND,
    more: Sequence[float] = (),
    patience: Patience | None = None,
) -> Found:
    """The cheapest layouts on one ground: without a seam strip while the middles of the best are siblings there;
    where nothing lands so, or where they are not, with the strip that costs least.

    more: diameters that are not hers; then exactly one of them is in every layout. Raises PlanError for an
    impossible plan.
    """
    if not more:
        check_tin(plan)
    limits = limits or Limits.of(plan)
    patience = Patience(PATIENCE) if patience is None else patience
    plain = grounds(plan)
    found = search_on(plan, plain, limits, most, more, patience=patience)
    for some in with_strip(plan):
        if not patience:
            break
        if len(found) and found.combos.unlike[0] <= UNLIKE_IN:
            break
        below = found.scores[0] if len(found) else np.inf
        better = search_on(plan, some, limits, 1, more, below=below, patience=patience)
        if len(better):
            found = better
    # of all strips only the best is looked at whole
    if len(found) and found.grounds is not plain and most > 1:
        every = search_on(plan, found.grounds, limits, most, more, patience=patience)
        found = every if len(every) else found
    return found


def check_tin(plan: Plan) -> None:
    """Raises PlanError where there is no circle in it and none to be cut."""
    if not plan.tin_in and not plan.cut_own:
        raise PlanError(
            "The tin is empty, so there is no circle to draw round.",
            field="tin_in",
            cure="Enter the circles you own, or say that you will cut your own.",
        )


def search_on(
    plan: Plan,
    some: Grounds,
    limits: Limits,
    most: int = MOST_FOUND,
    more: Sequence[float] = (),
    keep: Callable[[Tries], Mask] | None = None,
    below: float = np.inf,
    patience: Patience | None = None,
) -> Found:
    """The cheapest layouts on some grounds.

    keep: which circles to try, of those that are hers; below: only layouts that score less.
    """
    patience = Patience(PATIENCE) if patience is None else patience
    patience.spend(_LOOKING)
    if not len(some):  # no room leaves a band
        return Found(some, Combos.none(), np.zeros(0))
    tries = circles(plan, some, limits, more)
    patience.spend(_OF_A_PAIR * len(tries))
    if keep:
        tries = tries.where(keep(tries))
    # from the middle of a curl to its spine it is its radius
    tries = tries.where(tries.r <= limits.reach * some.longest.max(axis=1)[tries.ground])
    tries = tries.where(clear_at_corner(some, tries, limits))
    tries = thinned(plan, some, tries, limits)
    patience.spend(_OF_A_TRY * len(tries))
    tries = within_reach(plan, some, limits, tries)
    bound = least_score(plan, some, tries, limits)
    order = np.argsort(bound, kind="stable")
    tries, bound = tries.where(order), bound[order]
    if not len(tries):
        return Found(some, Combos.none(), np.zeros(0))
    parts, ceiling = [Landed.none()], below
    for meetings, rows in turns(plan, len(tries)):
        if not patience:
            break
        parts.append(what_lands(plan, some, tries, limits, meetings, bound, rows, ceiling, most, patience))
        ceiling = min(ceiling, likely_last(Landed.stacked(parts), most))
    found = _cheapest(plan, some, limits, Landed.stacked(parts), most, patience)
    needed = found.scores[-1] if len(found) == most else below
    if needed > ceiling and patience:  # too many of those reach too far
        every = slice(len(tries))
        landed = what_lands(
            plan, some, tries, limits, meetings_of(plan), bound, every, needed, most, patience
        )
        found = _cheapest(plan, some, limits, landed, most, patience)
    return found.where(found.scores < below)


def level_on(plan: Plan, some: Grounds, patience: Patience | None = None) -> Found:
    """The cheapest level layout on some grounds, if any."""
    limits = Limits.of(plan)

    def nearly(tries: Tries) -> Mask:
        rise = some.height[tries.ground] - 2 * tries.r - 2 * limits.lift
        return np.asarray(rise <= LEVEL_RISE * tries.r)

    level = plan.model_copy(update={"run": "level"})
    return search_on(level, some, limits, most=1, keep=nearly, patience=patience)


def _cheapest(
    plan: Plan, some: Grounds, limits: Limits, landed: Landed, most: int, patience: Patience
) -> Found:
    """The cheapest that keep the limits of reach. Of layouts alike in circles, meeting and counts only the one with
    the best room."""
    cost, look = landed.cost, looks_of(landed.combos)
    queue = np.argsort(cost, kind="stable")
    combos, costs = [Combos.none()], np.zeros(0)
    while queue.size and patience:
        first = np.sort(np.unique(look[queue], return_index=True)[1])[: most + _MORE_MEASURED]
        rows = queue[first]
        last = np.sort(costs)[most - 1] if len(costs) >= most else np.inf
        if cost[rows[0]] > last + ESTIMATE:
            break
        patience.spend(_MEASURING + _OF_A_MEASURE * len(rows))
        asked = landed.combos.where(rows)
        runs = run_reach(plan, some, asked)
        # corners and middles only add to what the runs ask for
        worth = score(plan, some, replace(asked, reach_run=largest(runs)), limits) <= last
        measured, within = with_reach(plan, some, limits, asked.where(worth), runs[worth])
        combos.append(measured.where(within))
        costs = np.concatenate((costs, score(plan, some, combos[-1], limits)))
        settled = np.isin(look[queue], look[rows[worth][within]])
        settled[first] = True
        queue = queue[~settled]
    every = Combos.stacked(combos)
    order = np.argsort(costs, kind="stable")
    kept = order[np.sort(np.unique(looks_of(every)[order], return_index=True)[1])][:most]
    return Found(some, every.where(kept), costs[kept])
