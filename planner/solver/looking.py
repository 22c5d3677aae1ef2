"""Like with like: of all that lands in another border, what comes nearest in look to a layout she has.

A look is told by what stands in the middle, level or rolling, and by shares of the band, since a wider border in
the same look has larger circles: the circles of the run, how close they stand, the corner circle beside them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.border.corners.styles import CORNER_STYLES
from planner.border.layout import Layout
from planner.errors import PlanError
from planner.geometry.arrays import Numbers, smallest
from planner.plan import Choice, MeetingKind, Plan
from planner.solver.combos import choice_of
from planner.solver.floors import check_floors
from planner.solver.groups import SEEN
from planner.solver.limits import LEVEL_RISE
from planner.solver.rank import find
from planner.solver.search import Found


@dataclass(frozen=True, slots=True)
class Look:
    """run: the run circle's diameter, of the band's height; step: from curl to curl, of it; corner: the corner
    circle's, of it.
    """

    meeting: MeetingKind | None
    level: bool
    run: float
    step: float
    corner: float

    def unlike(self, run: Numbers, step: Numbers, corner: Numbers) -> Numbers:
        """How far others are from it: 1 where one figure differs by as much as an eye just sees. Shape (n,)."""
        told = ((run, self.run, "run"), (step, self.step, "step"), (corner, self.corner, "corner"))
        far = [np.log(theirs / mine) / np.log1p(SEEN[name]) for theirs, mine, name in told]
        return np.asarray(np.linalg.norm(far, axis=0))


def look_of(layout: Layout) -> Look | None:
    """The look of a layout; None where no large circle stands in the corners."""
    if layout.choice.corner_diameter_in is None:
        return None
    chains = list(layout.own.values())
    r = layout.choice.run_diameter_in / 2
    steps, rises = [2 * r], [0.0]
    for chain in chains:
        for one, other in zip(chain.circles[:1], chain.circles[1:2], strict=False):
            along, down = other.centre[0] - one.centre[0], other.centre[1] - one.centre[1]
            steps.append(abs(along))
            rises.append(abs(down))
    height = min(band.height for band in layout.quilt.own.values())
    return Look(
        layout.choice.meeting,
        max(rises) <= LEVEL_RISE * r,
        2 * r / height,
        min(steps) / (2 * r),
        layout.choice.corner_radius / r,
    )


def alike(plan: Plan, look: Look) -> Choice | None:
    """The layout of a plan that comes nearest to a look: of its meeting and kind of run where any such lands.

    None where nothing lands, or for corners without a large circle.
    """
    if not CORNER_STYLES[plan.corner].strict:
        return None
    for kept in ({"meeting", "run"}, {"run"}, set[str]()):
        asked = {"meeting": look.meeting or "any", "run": "level" if look.level else "rolling"}
        found = _found(plan.model_copy(update={name: asked[name] for name in kept}))
        if found is not None:
            combos = found.combos
            height = found.grounds.height[combos.ground]
            far = look.unlike(
                2 * combos.r / height, smallest(combos.step) / (2 * combos.r), combos.corner_radius / combos.r
            )
            return choice_of(plan, found.grounds, combos, int(np.argmin(far)))
    return None


def _found(plan: Plan) -> Found | None:
    try:
        check_floors(plan)
        found = find(plan)
    except PlanError:
        return None
    return found if len(found) else None
