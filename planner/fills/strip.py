"""The seam strip: straight lines along the inner seam, evenly spaced, mitered in the corners. Inches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.border.band import next_side, previous_side
from planner.border.layout import Layout
from planner.fills.pocket import Pocket
from planner.fills.shape import Shape
from planner.geometry.arrays import ROUNDING_IN
from planner.geometry.curves import Line, Motion
from planner.plan import SIDES, SideName

_NARROWEST_IN = 1 / 8  # a line nearer to the ditch than this would be lost in it


@dataclass(frozen=True, slots=True)
class Strip:
    """The lines of one side's strip in its band coordinates, from the edge of the fill to the seam."""

    pocket: Pocket
    shapes: tuple[Shape, ...]


def strips(layout: Layout) -> Iterator[tuple[Strip, Motion]]:
    """Each side's strip as drawn, where it has one, and how it gets into the quilt."""
    for side in SIDES:
        pocket = Pocket("strip", side)
        lines = strip_lines(layout, side)
        if lines:
            shapes = tuple(Shape("strip", pocket, (line,)) for line in lines)
            yield Strip(pocket, shapes), layout.quilt.motion(side)


def depths(strip: float, spacing: float) -> list[float]:
    """How far the lines of a strip lie from its seam, the farthest first: evenly, about the spacing apart.

    The farthest is where the strip begins; the seam itself is stitched in the ditch.
    """
    if strip < _NARROWEST_IN - ROUNDING_IN:
        return []
    number = max(1, round(strip / spacing))
    return [strip * i / number for i in range(number, 0, -1)]


def strip_lines(layout: Layout, side: SideName) -> list[Line]:
    """The lines of a side in band coordinates, each from miter to miter."""
    bands = layout.quilt.bands
    band, near, far = bands[side], bands[previous_side(side)], bands[next_side(side)]
    lines = []
    for depth in depths(band.strip, layout.plan.strip_spacing_in):
        share = depth / band.strip
        h = band.seam - depth
        lines.append(Line((near.seam - share * near.strip, h), (band.span - far.seam + share * far.strip, h)))
    return lines
