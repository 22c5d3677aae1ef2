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
from planner.solver.combos import Combos, Tries, is_level, meetings_of
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
    calm: bool = False,
) -> Found:
    """The cheapest layouts on one ground: without a seam strip while the middles of the best are siblings there;
    where nothing lands so, or where they are not, with the strip that costs least.

    more: diameters that are not hers; then exactly one of them is in every layout. calm: last the cheapest level
    one, where none of them is level. Raises PlanError for an impossible plan.
    """
    if not more:
        check_tin(plan)
    limits = limits or Limits.of(plan)
    patience = Patience(PATIENCE) if patience is None else patience
    plain = grounds(plan)
    found = search_on(plan, plain, limits, most, more, patience=patience, calm=calm)
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
        every = search_on(plan, found.grounds, limits, most, more, patience=patience, calm=calm)
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
    calm: bool = False,
) -> Found:
    """The cheapest layouts on some grounds.

    keep: which circles to try, of those that are hers; below: only layouts that score less; calm: last the cheapest
    level one, where none of them is level.
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
    landed, ceiling, calmest = Landed.none(), below, below
    level = calm & _nearly_level(some, tries, limits)
    for meetings, rows in turns(plan, len(tries)):
        if not patience:
            break
        dearest = np.where(level, max(ceiling, calmest), ceiling)
        of_turn = what_lands(plan, some, tries, limits, meetings, bound, rows, dearest, most, patience)
        landed = Landed.stacked((landed, of_turn))
        ceiling = min(ceiling, likely_last(landed, most))
        if calm:
            calmest = min(calmest, likely_last(landed.where(is_level(landed.combos)), 1))
    found = _cheapest(plan, some, limits, landed, most, patience, calm)
    needed = found.scores[most - 1] if len(found) >= most else below
    if needed > ceiling and patience:  # too many of those reach too far
        every, dearest = slice(len(tries)), np.where(level, max(needed, calmest), needed)
        landed = what_lands(
            plan, some, tries, limits, meetings_of(plan), bound, every, dearest, most, patience
        )
        found = _cheapest(plan, some, limits, landed, most, patience, calm)
    return found.where(found.scores < below)


def _nearly_level(some: Grounds, tries: Tries, limits: Limits) -> Mask:
    """Which circles might stand in a level run."""
    rise = some.height[tries.ground] - 2 * tries.r - 2 * limits.lift
    return np.asarray(rise <= LEVEL_RISE * tries.r)


def _cheapest(
    plan: Plan, some: Grounds, limits: Limits, landed: Landed, most: int, patience: Patience, calm: bool
) -> Found:
    """The cheapest that keep the limits of reach; of layouts alike in circles, meeting and counts only the one with
    the best room. calm: last the cheapest level one, where none of them is level."""
    cost, level = landed.cost, calm & is_level(landed.combos)
    look = 2 * looks_of(landed.combos) + level
    queue = np.argsort(cost, kind="stable")
    found = kept = Found(some, Combos.none(), np.zeros(0))
    while queue.size and patience:
        last = kept.scores[most - 1] if len(kept) >= most else np.inf
        calmest = kept.scores[is_level(kept.combos)].min(initial=np.inf)
        dearest = np.where(level, max(last, calmest), last)
        rows = queue[np.sort(np.unique(look[queue], return_index=True)[1])]
        rows = rows[cost[rows] <= dearest[rows] + ESTIMATE]
        front, others = np.split(rows, [most + _MORE_MEASURED])
        rows = np.concatenate((front, others[level[others]][: 1 + _MORE_MEASURED]))
        if not len(rows):
            break
        patience.spend(_MEASURING + _OF_A_MEASURE * len(rows))
        asked = landed.combos.where(rows)
        runs = run_reach(plan, some, asked)
        # corners and middles only add to what the runs ask for
        worth = score(plan, some, replace(asked, reach_run=largest(runs)), limits) <= dearest[rows]
        measured, within = with_reach(plan, some, limits, asked.where(worth), runs[worth])
        measured = measured.where(within)
        combos = Combos.stacked((found.combos, measured))
        scores = np.concatenate((found.scores, score(plan, some, measured, limits)))
        found = Found(some, combos, scores).where(np.argsort(scores, kind="stable"))
        kept = found.where(_kept(found.combos, most, calm))
        settled = np.isin(look[queue], look[rows[worth][within]]) | np.isin(queue, rows)
        queue = queue[~settled]
    return kept


def _kept(combos: Combos, most: int, calm: bool) -> Indices:
    """Of combinations, cheapest first, the first few that differ in look; calm: last a level one, where none is."""
    first = np.sort(np.unique(looks_of(combos), return_index=True)[1])[:most]
    level = np.flatnonzero(calm & is_level(combos))
    return first if np.isin(first, level).any() else np.append(first, level[:1])
