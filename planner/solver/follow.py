"""Following her hand: a measure has changed, and the layout she looks at should change with it, not jump."""

from __future__ import annotations

import numpy as np

from planner.border.band import largest_corner, quilt_of
from planner.plan import Choice, Plan
from planner.solver.choices import feasible
from planner.solver.combos import Tries, choice_of
from planner.solver.limits import Limits
from planner.solver.score import score


def follow(plan: Plan, choice: Choice) -> Choice | None:
    """The same circles, meeting and middle with the counts that land now; None when they no longer do.

    Easy-going chains are not followed: every count draws them anew. Raises PlanError for an impossible plan.
    """
    if plan.corner == "easy_going" or (plan.corner == "mirrored") != (choice.meeting is not None):
        return None
    quilt, limits = quilt_of(plan), Limits.of(plan)
    corner_radius, r = choice.corner_diameter_in / 2, choice.run_diameter_in / 2
    lowest, corner = min(band.height for band in quilt.bands.values()), largest_corner(quilt)
    if not limits.smallest_curl <= r <= min(lowest / 2, corner_radius) or corner_radius > corner:
        return None
    combos = feasible(plan, quilt, choice.meeting, limits, Tries.one(corner_radius, r, choice.middle_in))
    if not len(combos):
        return None
    return choice_of(plan, choice.meeting, combos, int(np.argmin(score(combos, limits, corner))))
