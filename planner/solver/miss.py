"""The nearest miss: where nothing lands, the circles of hers that come closest, and the gap they leave open.

Of every pair of circles that fits corners and band, in every room, as many curls as fit with all the ease there is;
what then stays open in the middle is judged on the worst side. Inches.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.border.corners.styles import CORNER_STYLES
from planner.border.meetings import half_of
from planner.border.run import Runs
from planner.geometry.arrays import ROUNDING
from planner.plan import SIDES, Choice, Counts, Plan, SideName
from planner.solver.combos import Tries
from planner.solver.grounds import Grounds, grounds
from planner.solver.limits import Limits
from planner.solver.tries import circles

SEEN_IN = 1 / 16  # an opening less than that is none to show: something else stands in the way


@dataclass(frozen=True, slots=True)
class Miss:
    """A run that does not come out: its circles and counts, its ease, and what it leaves open on one side."""

    choice: Choice
    side: SideName
    lift_in: float
    gap_in: float
    open_in: float


def nearest_miss(plan: Plan) -> Miss | None:
    """The nearest one of a plan on which nothing lands; None where no band is left, no circles fit,
    or what is open is not seen.

    Raises PlanError for an impossible plan.
    """
    if not CORNER_STYLES[plan.corner].meets:
        return None
    limits, some = Limits.of(plan), grounds(plan)
    if not len(some):
        return None
    tries = circles(plan, some, limits)
    if not len(tries):
        return None
    halves, runs = some.half[tries.ground], _runs(some, tries, 1.0)
    lift, gap = runs.top(limits.lift), np.full(len(tries), limits.gap)
    short = runs.length(lift, gap)
    step = _runs(some, tries, 2.0).length(lift, gap) - short
    with np.errstate(invalid="ignore"):
        counts = np.floor((halves - short[:, None]) / step[:, None] + ROUNDING) + 1
        pairs = np.minimum(counts, counts[:, [2, 3, 0, 1]])  # facing sides hold as many as the shorter
        over = halves - short[:, None] - (pairs - 1) * step[:, None]
        worst = np.where((pairs >= 1).all(axis=1), over.max(axis=1), np.nan)
    if np.isnan(worst).all():
        return None
    i = int(np.nanargmin(worst))
    if 2 * worst[i] < SEEN_IN:
        return None
    k = dict(zip(SIDES, pairs[i].astype(int).tolist(), strict=True))
    choice = Choice(
        corner_diameter_in=float(2 * tries.corner_radius[i]),
        run_diameter_in=float(2 * tries.r[i]),
        meeting="butted",
        counts=Counts(**k),
        room_in=float(some.room[tries.ground[i]]),
    )
    side = SIDES[int(np.argmax(over[i]))]
    return Miss(choice, side, float(lift[i]), float(gap[i]), float(2 * worst[i]))


def _runs(some: Grounds, tries: Tries, k: float) -> Runs:
    return Runs.of(half_of("butted"), some.height[tries.ground], tries.corner_radius, tries.r, k, 0.0)
