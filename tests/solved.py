"""Everything that lands, found as the solver finds it but with nothing left out: for judges and comparisons."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace

import numpy as np

from planner.errors import PlanError
from planner.plan import Choice, MeetingKind, Plan
from planner.solver.combos import Combos, choice_of, meetings_of, of_kind
from planner.solver.grounds import Grounds, grounds, one_ground
from planner.solver.landing import landing
from planner.solver.limits import Limits
from planner.solver.promises import check_choice
from planner.solver.reaching import with_reach
from planner.solver.tries import circles


def everything(plan: Plan, some: Grounds, limits: Limits, *, reach: bool = True) -> Combos:
    """All combinations of all meetings she allows that keep every limit (but that of reach, if so asked)."""
    found = [of_meeting(plan, some, limits, meeting) for meeting in meetings_of(plan)]
    combos = Combos.stacked(found)
    combos = combos.where(of_kind(plan, combos))
    if not reach:
        return combos
    measured, within = with_reach(plan, some, limits, combos)
    return measured.where(within)


def of_meeting(plan: Plan, some: Grounds, limits: Limits, meeting: MeetingKind | None) -> Combos:
    """All combinations of one meeting, whatever their reach."""
    tries = circles(plan, some, limits)
    return landing(plan, some, replace(tries, reach=np.zeros((len(tries), 3))), [meeting], limits)


def same_circles(plan: Plan, wanted: Choice) -> list[Choice]:
    """Every layout of a choice's circles and meeting, in any room of the plan and beside its own seam strip."""
    every = [grounds(plan)]
    if wanted.room_in is not None:
        with suppress(PlanError):
            check_choice(plan, wanted)
            every.append(one_ground(plan, wanted.room_in, wanted.strip_in))
    return [choice for some in every for choice in _on(plan, some, wanted)]


def _on(plan: Plan, some: Grounds, wanted: Choice) -> list[Choice]:
    limits = Limits.of(plan)
    tries = circles(plan, some, limits)
    tries = tries.where(
        np.isclose(tries.corner_radius, wanted.corner_radius)
        & np.isclose(tries.r, wanted.run_diameter_in / 2)
    )
    combos = landing(plan, some, tries, [wanted.meeting], limits)
    measured, within = with_reach(plan, some, limits, combos.where(of_kind(plan, combos)))
    found = measured.where(within)
    return [choice_of(plan, some, found, i) for i in range(len(found))]
