"""Butted: the two last circles are neighbours like all others, mirrored in the centre line."""

from __future__ import annotations

from planner.border.band import Band
from planner.border.meetings.record import Meeting
from planner.border.run import HalfMiddle
from planner.plan import Plan


def limits(plan: Plan, band: Band) -> tuple[float, float]:
    """Smallest and largest middle: there is none."""
    return 0.0, 0.0


BUTTED = Meeting(
    kind="butted",
    listed="runs meet",
    spoken="the two runs meet",
    chalked="The two last circles stand side by side at the middle line, one the mirror of the other.",
    takes="nothing",
    limits=limits,
    half=HalfMiddle(radii=1.0, gaps=0.5),
)
