"""Butted: the two last circles are neighbours like all others, mirrored in the centre line."""

from __future__ import annotations

import numpy as np

from planner.border.band import Band
from planner.border.meetings.record import Meeting
from planner.border.run import HalfMiddle
from planner.geometry.arrays import Numbers
from planner.plan import Plan


def limits(plan: Plan, band: Band) -> tuple[float, float]:
    """Smallest and largest middle: there is none."""
    return 0.0, 0.0


def _half(height: Numbers, r: Numbers, middle: Numbers, lift: Numbers, gap: Numbers) -> Numbers:
    """The two last circles stand 2r + gap apart."""
    return np.asarray(r + gap / 2)


def _growth(height: Numbers, r: Numbers, lift: Numbers, half: Numbers) -> tuple[Numbers, Numbers]:
    return np.zeros_like(half), np.full_like(half, 0.5)


BUTTED = Meeting(
    kind="butted",
    listed="runs meet",
    spoken="the two runs meet",
    chalked="The two last circles stand side by side at the middle line, one the mirror of the other.",
    takes="nothing",
    limits=limits,
    half=HalfMiddle(_half, _growth),
)
