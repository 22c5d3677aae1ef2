"""Corner styles: how the circles of each side follow from a choice. The chain of circles that each
style gives (one file each, ``styles.py`` is their list).
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.border.band import Band
from planner.border.spine import Circle


@dataclass(frozen=True, slots=True)
class Ease:
    """What a run gives so that it lands: rows off the guide lines, air between circles (inches)."""

    lift: float
    gap: float


@dataclass(frozen=True, slots=True)
class Chain:
    """The circles of one side in band coordinates, in travelling order from its first corner.

    near, far: the circles that stand in its first and its last corner, shared with the sides beside it.
    mirrored: the circles of the start run, which the end run mirrors; ring: the wreath's, if any, or the full
    circle, the last of both runs.
    turning, easy-going: all circles between the two corner circles.
    step: mean distance along the side between neighbours; middle: clear between the two runs, or across the ring
    (inches).
    """

    near: Circle
    far: Circle
    circles: tuple[Circle, ...]
    ease: Ease
    step: float
    ring: Circle | None = None
    middle: float = 0.0


def in_corners(band: Band, radius: float) -> tuple[Circle, Circle]:
    """The circles of the two corners of a side where each touches both outer guide lines."""
    first, last = ((u, radius) for u in (radius, band.span - radius))
    return Circle(first, radius, "corner", 1), Circle(last, radius, "corner", 1)
