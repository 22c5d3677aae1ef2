"""The solver's objective as a plain function of a room and two circles, for outside optimisers."""

from __future__ import annotations

import time
from dataclasses import dataclass
from math import inf

import numpy as np
from scipy.optimize import OptimizeResult, differential_evolution

from planner.geometry.arrays import Numbers
from planner.plan import Choice, Plan
from planner.solver.combos import Combos, Tries, meetings_of, of_kind
from planner.solver.grounds import grounds
from planner.solver.landing import landing
from planner.solver.limits import Limits
from planner.solver.reaching import with_reach
from planner.solver.score import score

NOT_FEASIBLE = 100.0
SAME_SCORE = 1e-6


class Objective:
    """The score of one combination, or NOT_FEASIBLE: what ``differential_evolution`` may call.

    x: places of the room, the corner circle and the run circle in their lists; the best meeting, counts and middles
    that land with them are taken. (With the counts free as well, evolution finds hardly ever a point that lands.)
    """

    def __init__(self, plan: Plan) -> None:
        self.plan, self.limits, self.grounds = plan, Limits.of(plan), grounds(plan)
        last = float(len(plan.tin_in) - 1)
        self.bounds = [(0.0, float(len(self.grounds) - 1)), (0.0, last), (0.0, last)]
        self.asked = 0

    def __call__(self, x: Numbers) -> float:
        self.asked += 1
        ground, i, j = (int(v) for v in np.round(x))
        return self.of(ground, self.plan.tin_in[i] / 2, self.plan.tin_in[j] / 2)

    def of_choice(self, choice: Choice) -> float:
        """The best score of a choice's circles in its room."""
        ground = int(np.argmin(np.abs(self.grounds.room - (choice.room_in or 0.0))))
        return self.of(ground, choice.corner_radius, choice.run_diameter_in / 2)

    def of(self, ground: int, corner_radius: float, r: float) -> float:
        some, plan = self.grounds, self.plan
        if not some.smallest[ground] <= r <= corner_radius <= some.corner[ground]:
            return NOT_FEASIBLE
        if 2 * r > some.height[ground]:
            return NOT_FEASIBLE
        tries = Tries(np.array([ground]), np.array([corner_radius]), np.array([r]), np.zeros((1, 3)))
        found = [landing(plan, some, tries, [meeting], self.limits) for meeting in meetings_of(plan)]
        combos = Combos.stacked(found)
        combos = combos.where(of_kind(plan, combos))
        measured, within = with_reach(plan, some, self.limits, combos)
        return float(score(plan, some, measured.where(within), self.limits).min(initial=NOT_FEASIBLE))


@dataclass(frozen=True)
class Evolved:
    """What differential evolution came to: its best score, in how many runs, tries and seconds of processor."""

    score: float
    runs: int
    tries: int
    seconds: float


def evolved(
    objective: Objective, *, target: float = -inf, most_runs: float = inf, most_s: float = inf
) -> Evolved:
    """Differential evolution with the settings that scipy gives it (best1bin, a population of 15 for each unknown,
    tol 0.01), run again with another seed each time that it settles above the target.

    It ends with the generation that reaches the target, or after so many runs or seconds.
    """
    begin, before, best, runs = time.process_time(), objective.asked, NOT_FEASIBLE, 0

    def enough(score: float) -> bool:
        return score <= target + SAME_SCORE or time.process_time() - begin > most_s

    def watched(intermediate_result: OptimizeResult) -> None:
        if enough(float(intermediate_result.fun)):
            raise StopIteration

    while not enough(best) and runs < most_runs:
        found = differential_evolution(
            objective, objective.bounds, integrality=[True] * 3, seed=runs, polish=False, callback=watched
        )
        best, runs = min(best, float(found.fun)), runs + 1
    return Evolved(best, runs, objective.asked - before, time.process_time() - begin)
