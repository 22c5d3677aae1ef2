"""The tin: which circles she can draw round."""

from __future__ import annotations

from math import ceil, floor

import numpy as np

from planner.geometry.arrays import ROUNDING, Mask, Numbers
from planner.plan import Plan

_AS_GOOD = 0.02  # of a circle: hers serves as well as one cut to measure when it is no farther from it
CUT_STEP_IN = {"in": 1 / 16, "mm": 1 / 25.4}  # what she cuts herself is a whole mark of her ruler across


def drawn_or_quarter(plan: Plan, sizes: Numbers) -> Mask:
    """Which diameters are in the tin or whole quarter inches: enough choice where finer steps look the same."""
    return np.isclose(sizes * 4, np.round(sizes * 4)) | np.isin(sizes, plan.tin_in)


def coarser(plan: Plan, sizes: Numbers, marks: int) -> Numbers:
    """The sizes in the tin and those that are whole multiples of so many ruler marks."""
    unit = marks * CUT_STEP_IN[plan.units]
    return np.asarray(sizes[np.isclose(sizes / unit, np.round(sizes / unit)) | np.isin(sizes, plan.tin_in)])


def diameters(plan: Plan, least: float, most: float) -> Numbers:
    """Diameters (inches, rising) from ``least`` to ``most``: her tin's, and every ruler mark if she cuts."""
    mark = CUT_STEP_IN[plan.units]
    sizes = {d for d in plan.tin_in if least <= d <= most}
    if plan.cut_own and most >= least:
        sizes |= {i * mark for i in range(ceil(least / mark - ROUNDING), floor(most / mark + ROUNDING) + 1)}
    return np.array(sorted(sizes))


def near_size(plan: Plan, wanted: float, beside: float) -> float:
    """A diameter about as large as wanted and at least a ruler mark from ``beside``: hers, or one she can cut."""
    mark, way = CUT_STEP_IN[plan.units], 1 if wanted > beside else -1
    own = [d for d in plan.tin_in if abs(d - wanted) <= _AS_GOOD * beside and way * (d - beside) > 0]
    if own:
        return min(own, key=lambda d: abs(d - wanted))
    marks = round(wanted / mark)
    return mark * (marks if way * (marks * mark - beside) > mark / 2 else marks + way)
