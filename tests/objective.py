"""The solver's objective as a plain function of two circles, for outside optimisers."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from planner.border.band import largest_corner, quilt_of
from planner.plan import Choice, MeetingKind, Plan
from planner.solver.choices import feasible
from planner.solver.combos import Tries
from planner.solver.limits import Limits
from planner.solver.score import score

NOT_FEASIBLE = 100.0


class Objective:
    """The score of one combination of a tin, or NOT_FEASIBLE: what ``differential_evolution`` may call.

    x: index of the corner circle, index of the run circle; the best counts that land with them are taken. (With
    the counts free as well, evolution finds hardly ever a point that lands at all.)
    """

    def __init__(self, plan: Plan, meeting: MeetingKind | None) -> None:
        self.plan, self.meeting = plan, meeting
        self.quilt, self.limits = quilt_of(plan), Limits.of(plan)
        self.corner = largest_corner(self.quilt)
        last = float(len(plan.tin_in) - 1)
        self.bounds = [(0.0, last), (0.0, last)]
        self.asked = 0

    def __call__(self, x: NDArray[np.float64]) -> float:
        self.asked += 1
        i, j = (int(v) for v in np.round(x))
        return self.of(self.plan.tin_in[i] / 2, self.plan.tin_in[j] / 2, 0.0)

    def of_choice(self, choice: Choice) -> float:
        counts = choice.counts.top, choice.counts.right
        across, down = counts if self.meeting else ((c + 1) // 2 for c in counts)
        return self.of(
            choice.corner_diameter_in / 2, choice.run_diameter_in / 2, choice.middle_in, (across, down)
        )

    def of(
        self, corner_radius: float, r: float, middle: float, counts: tuple[int, int] | None = None
    ) -> float:
        if not self.limits.smallest_curl <= r <= corner_radius <= self.corner:
            return NOT_FEASIBLE
        if 2 * r > min(b.height for b in self.quilt.bands.values()):
            return NOT_FEASIBLE
        combos = feasible(
            self.plan, self.quilt, self.meeting, self.limits, Tries.one(corner_radius, r, middle)
        )
        if counts:
            combos = combos.where((combos.k[:, 0] == counts[0]) & (combos.k[:, 1] == counts[1]))
        return float(score(combos, self.limits, self.corner).min(initial=NOT_FEASIBLE))
