"""Butted: the two last circles are neighbours like all others, mirrored in the centre line."""

from __future__ import annotations

import numpy as np

from planner.border.band import Band
from planner.border.corners import Chain
from planner.border.run import Numbers
from planner.border.spine import Piece
from planner.plan import Choice, Plan


def limits(plan: Plan, band: Band) -> tuple[float, float]:
    """Smallest and largest middle: there is none."""
    return 0.0, 0.0


def middles(plan: Plan, band: Band) -> Numbers:
    """Nothing stands between the last two circles but their gap."""
    return np.zeros(1)


def pieces(chain: Chain, band: Band, choice: Choice) -> list[Piece]:
    return []
