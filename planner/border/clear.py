"""What a choice must keep once it is placed: circles within their guides, corners clear of the seam, no overlap.

The solver asks the same of thousands of combinations on arrays; here it is asked of one layout, circle by
circle, so that no choice typed by hand or kept from an older plan is drawn wrong.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from planner.border.band import Band, Quilt, largest_corner, previous_side
from planner.border.corners import Chain
from planner.border.spine import Circle
from planner.errors import ChoiceError
from planner.geometry.arrays import ROUNDING_IN, Numbers
from planner.lengths import format_length, mark_at_most
from planner.plan import SIDES, Choice, SideName, Units

_CURE = "Ask for proposals with these measurements and take one of them."


def check(
    quilt: Quilt, bands: dict[SideName, Band], chains: dict[SideName, Chain], choice: Choice, units: Units
) -> None:
    """Raises ChoiceError, worded in ``units``, where a circle leaves its guides or comes too near another or
    a seam corner."""

    def say(length: float) -> str:
        return format_length(length, units)

    def at_most(length: float) -> str:
        return say(mark_at_most(length, units))

    if choice.corner_diameter_in is not None and choice.corner_radius > largest_corner(quilt) + ROUNDING_IN:
        raise ChoiceError(
            f"A corner circle of {say(choice.corner_diameter_in)} comes too near the inner seam.",
            field="choice.corner_diameter_in",
            cure=f"Make it at most {at_most(2 * largest_corner(quilt))} across. {_CURE}",
        )
    for side in SIDES:
        height = bands[side].height
        if any(
            c.centre[1] - c.radius < -ROUNDING_IN or c.centre[1] + c.radius > height + ROUNDING_IN
            for c in _of_chain(chains[side])
        ):
            raise ChoiceError(
                f"The circles do not fit between the guide lines of the {side} side, {say(height)} apart.",
                field="choice.run_diameter_in",
                cure=f"Take circles of at most {at_most(height)} across. {_CURE}",
            )
        if _overlap(_round_corner(bands, chains, side, mirrored=choice.meeting is not None)):
            raise ChoiceError(
                f"Circles of {say(choice.run_diameter_in)} would overlap on the {side} side or round its corner.",
                field="choice.run_diameter_in",
                cure=_CURE,
            )


def _of_chain(chain: Chain) -> list[Circle]:
    return [*chain.circles, *([chain.ring] if chain.ring else [])]


def _round_corner(
    bands: dict[SideName, Band], chains: dict[SideName, Chain], side: SideName, *, mirrored: bool
) -> Numbers:
    """A side's circles and those of the side before it, in its band coordinates: rows u, h, radius (3, n)."""
    before = previous_side(side)
    ahead, (along, depth, r) = _figures(chains[side].circles), _figures(chains[before].circles)
    own = _figures([chains[side].near, *_of_chain(chains[side])])
    if mirrored:
        u, h, q = ahead
        return np.concatenate((own, (bands[side].span - u, h, q), (depth, along, r)), axis=1)
    return np.concatenate((own, (depth, bands[before].span - along, r)), axis=1)


def _figures(circles: Sequence[Circle]) -> Numbers:
    return np.array([(*c.centre, c.radius) for c in circles], dtype=float).reshape(-1, 3).T


def _overlap(circles: Numbers) -> bool:
    """Whether any two of the circles (rows x, y, radius) overlap."""
    x, y, r = circles
    points = np.asarray(shapely.points(x, y))
    i, j = shapely.STRtree(points.tolist()).query(points, predicate="dwithin", distance=2 * float(r.max()))
    i, j = i[i < j], j[i < j]
    return bool((np.hypot(x[i] - x[j], y[i] - y[j]) < r[i] + r[j] - ROUNDING_IN).any())
