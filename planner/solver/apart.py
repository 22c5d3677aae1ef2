"""Whether the circles of what lands keep apart: along each side, and round the corners."""

from __future__ import annotations

from itertools import product

import numpy as np

from planner.border.band import previous_side
from planner.border.run import Runs, first, step
from planner.geometry.arrays import ROUNDING_IN, Mask, Numbers, smallest
from planner.plan import SIDES
from planner.solver.combos import Combos

_PREVIOUS = [SIDES.index(previous_side(side)) for side in SIDES]


def clear_along(runs: Runs, lift: Numbers, gap: Numbers, k: Numbers | None = None) -> Mask:
    """Whether each run keeps its circles apart: on one row, from the corner circle, and across the middle.

    Runs that do not land (lift and gap nan) do not.
    """
    height, corner_radius, r = runs.height, runs.corner_radius, runs.r
    k = runs.k if k is None else k
    p = step(height, r, lift, gap)
    second = np.hypot(
        first(height, corner_radius, r, lift, gap) + p - corner_radius, r + lift - corner_radius
    )
    clear = (p >= r - ROUNDING_IN) & ((second >= corner_radius + r - ROUNDING_IN) | (k < 2))
    half = runs.meeting.length(height, r, runs.middle, lift, gap)
    clear &= runs.meeting.on_middle | (half >= r - ROUNDING_IN)
    return np.asarray(clear)


def clear_round_corners(height: Numbers, combos: Combos) -> Mask:
    """Whether the first two circles of each side keep clear of those of the side before it.

    The side before sees the corner mirrored in the miter.
    """
    h, r, lift = height[:, None], combos.r[:, None], combos.lift
    u = first(h, combos.corner_radius[:, None], r, lift, combos.gap)
    along, deep = (
        np.stack([u, u + combos.step]),
        np.stack([h - r - lift, r + lift]),
    )  # (2, n, 4): first, second
    along[1] = np.where(combos.k < 2, np.inf, along[1])  # there is no second one
    clear = np.ones(len(combos), dtype=bool)
    least = (2 * combos.r - ROUNDING_IN) ** 2
    for one, other in product(range(2), range(2)):
        x, y = along[one] - deep[other][:, _PREVIOUS], deep[one] - along[other][:, _PREVIOUS]
        clear &= smallest(x * x + y * y) >= least
    return clear
