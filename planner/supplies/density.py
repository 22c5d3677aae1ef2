"""How close the quilting is: inches of stitching on each square inch, and beside it the centre's.

Stitching counts as the needle goes, backtracks and all; it is reckoned before the fill is drawn.
"""

from __future__ import annotations

from planner.border.layout import Layout
from planner.plan import Plan
from planner.supplies.work import estimated_work, fillable_area

MOST_UNLIKE = 3.0  # times as close as the centre: more, and the border ripples (common practice, no source)


def density(layout: Layout) -> float:
    """Inches of stitching on a square inch of the border that is filled."""
    return estimated_work(layout).stitching_in / fillable_area(layout)


def centre_density(plan: Plan) -> float | None:
    """The same of the centre, whose lines stand so far apart; None where she does not say."""
    return 1 / plan.centre_apart_in if plan.centre_apart_in else None
