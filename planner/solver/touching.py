"""At which border widths near the plan's own the circles land touching: marks for a slider."""

from __future__ import annotations

from contextlib import suppress

from planner.errors import PlanError
from planner.lengths import MM_PER_IN
from planner.plan import SIDES, Plan
from planner.solver.changes import apply_change
from planner.solver.rank import best

AROUND_IN = 1.5  # to either side: farther off it is another quilt
STEP_IN = 1 / 8
STEP_MM = 2


def touching_widths(plan: Plan) -> tuple[float, ...]:
    """Widths in inches, rising, on the steps of her ruler, at which the first proposal has no gap that she sees.

    The outer size stays. A width at which nothing lands, or which leaves no band, is none.
    """
    step = STEP_IN if plan.units == "in" else STEP_MM / float(MM_PER_IN)
    middle = round(plan.border_in.top / step)
    many = int(AROUND_IN / step)
    return tuple(
        n * step for n in range(max(1, middle - many), middle + many + 1) if _touches(plan, n * step)
    )


def _touches(plan: Plan, width: float) -> bool:
    with suppress(PlanError):
        found = best(apply_change(plan, {"border_in": dict.fromkeys(SIDES, width)}))
        return found is not None and found.touches
    return False
