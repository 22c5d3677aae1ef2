"""Lattice: curved cross-hatching between the two last curls, drawn by the fill; the spine adds nothing."""

from __future__ import annotations

import numpy as np

from planner.border.band import Band
from planner.border.meetings.record import Meeting
from planner.geometry.arrays import Numbers
from planner.plan import Plan

STEP_IN = 0.25  # a lattice stretches to any width; a quarter inch is finer than the eye compares


def limits(plan: Plan, band: Band) -> tuple[float, float]:
    """From half the band (less is no lattice) to twice it (more, and it outweighs the curls)."""
    return band.height / 2, 2 * band.height


def middles(plan: Plan, band: Band) -> Numbers:
    """Whole quarter inches between its limits."""
    least, most = limits(plan, band)
    return np.arange(np.ceil(least / STEP_IN), np.floor(most / STEP_IN) + 1) * STEP_IN


LATTICE = Meeting(
    kind="lattice",
    name="lattice",
    listed="cross-hatching",
    spoken="cross-hatching in the middle",
    chalked="Between the two last circles {wide} stay open for cross-hatching. {frame} Then pin the end of a "
    "string: {circle}. {centre} {chalk}, then arcs about the same pins, longer and shorter, as far as the frame.",
    limits=limits,
    middles=middles,
    woven=True,
)
