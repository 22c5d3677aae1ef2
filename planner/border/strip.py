"""The seam strip of a side: straight lines along the inner seam, evenly spaced, mitered in the corners. Inches."""

from __future__ import annotations

from collections.abc import Mapping

from planner.border.band import Band, next_side, previous_side
from planner.geometry.arrays import ROUNDING_IN
from planner.geometry.curves import Line
from planner.plan import SideName

_NARROWEST_IN = 1 / 8  # a line nearer to the ditch than this would be lost in it


def strip_depths(strip: float, spacing: float) -> list[float]:
    """How far the lines of a strip lie from its seam, the farthest first: evenly, about the spacing apart.

    The farthest is where the strip begins; the seam itself is stitched in the ditch.
    """
    if strip < _NARROWEST_IN - ROUNDING_IN:
        return []
    number = max(1, round(strip / spacing))
    return [strip * i / number for i in range(number, 0, -1)]


def strip_lines(bands: Mapping[SideName, Band], side: SideName, spacing: float) -> list[Line]:
    """The lines of a side in its band coordinates, each from miter to miter."""
    band, near, far = bands[side], bands[previous_side(side)], bands[next_side(side)]
    lines = []
    for depth in strip_depths(band.strip, spacing):
        share = depth / band.strip
        h = band.seam - depth
        lines.append(Line((near.seam - share * near.strip, h), (band.span - far.seam + share * far.strip, h)))
    return lines
