"""Lattice: curved cross-hatching between the two last curls, drawn by the fill; the spine adds nothing."""

from __future__ import annotations

from planner.border.band import Band
from planner.border.meetings.record import Meeting
from planner.plan import Plan


def limits(plan: Plan, band: Band) -> tuple[float, float]:
    """From half the band (less is no lattice) to twice it (more, and it outweighs the curls)."""
    return band.height / 2, 2 * band.height


LATTICE = Meeting(
    kind="lattice",
    listed="cross-hatching",
    spoken="cross-hatching in the middle",
    chalked="Between the two last circles {wide} stay open for cross-hatching. {frame} Then pin the end of a "
    "string: {circle}. {centre} {chalk}, then arcs about the same pins, longer and shorter, as far as the frame.",
    takes="what is left",
    limits=limits,
    woven=True,
)
