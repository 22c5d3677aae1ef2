"""The tin: which circles she can draw round."""

from __future__ import annotations

from math import ceil, floor

import numpy as np

from planner.geometry.arrays import ROUNDING, ROUNDING_IN, Numbers
from planner.lengths import MARK_IN
from planner.plan import Plan, Units

CUT_STEP_IN: dict[Units, float] = {
    "in": 1 / 8,
    "cm": 2 / 25.4,
    "mm": 2 / 25.4,
}  # what she cuts herself goes by so much across
_AS_GOOD = 0.02  # of a circle: hers serves as well as one cut to measure when it is no farther from it


def diameters(plan: Plan, least: float, most: float, steps: int = 1) -> Numbers:
    """Diameters (inches, rising) from ``least`` to ``most``: her tin's, and every so manieth she would cut."""
    hers = np.unique([d for d in plan.tin_in if least <= d <= most])
    cut = np.array(sizes(plan.units, least, most, steps) if plan.cut_own else ())
    others = (np.abs(cut[:, None] - hers) > ROUNDING_IN).all(axis=1)
    return np.sort(np.concatenate((hers, cut[others])))


def sizes(units: Units, least: float, most: float, steps: int = 1) -> tuple[float, ...]:
    """Every so manieth size that she could cut, inches, rising."""
    step = steps * CUT_STEP_IN[units]
    return tuple(i * step for i in range(ceil(least / step - ROUNDING), floor(most / step + ROUNDING) + 1))


def owned(plan: Plan, diameter_in: float) -> bool:
    """Whether she has a circle of that diameter, or would cut it."""
    return plan.cut_own or any(abs(d - diameter_in) <= ROUNDING_IN for d in plan.tin_in)


def near_size(plan: Plan, wanted: float, beside: float) -> float:
    """A diameter about as large as wanted and at least a ruler mark from ``beside``: hers, or one she can cut."""
    mark, way = MARK_IN[plan.units], 1 if wanted > beside else -1
    own = [d for d in plan.tin_in if abs(d - wanted) <= _AS_GOOD * beside and way * (d - beside) > 0]
    if own:
        return min(own, key=lambda d: abs(d - wanted))
    marks = round(wanted / mark)
    return mark * (marks if way * (marks * mark - beside) > mark / 2 else marks + way)
