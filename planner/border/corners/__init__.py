"""Corner styles: how the circles of each side follow from a choice. One module a style, one shared shape.

Every style gives, for one band, the chain of circles in band coordinates and the ease it took.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.border.spine import Circle


@dataclass(frozen=True, slots=True)
class Ease:
    """What a run gives so that it lands: rows off the guide lines, air between circles (inches)."""

    lift: float
    gap: float


@dataclass(frozen=True, slots=True)
class Chain:
    """The circles of one side in band coordinates, in travelling order from its first corner.

    mirrored: the circles of the start run, which the end run mirrors; ring: the wreath's, if any.
    turning, easy-going: all circles between the two corner circles.
    step: mean distance along the side between neighbours, inches.
    """

    circles: tuple[Circle, ...]
    ease: Ease
    step: float
    ring: Circle | None = None
