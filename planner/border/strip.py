"""The seam strip of a side: straight lines along the inner seam, evenly spaced, mitered in the corners. Inches.

Where two widths meet, both sides have the same number of lines, so that each goes round the quilt unbroken; but not
where the narrower strip would get them at less than half their spacing. Lines along the miter lead from one to the
next: on them the needle goes in, and they halve the squares that would stay open in the corners.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from planner.border.band import Band, next_side, previous_side
from planner.geometry.arrays import ROUNDING_IN
from planner.geometry.curves import Line
from planner.plan import SideName

_NARROWEST_IN = 1 / 8  # a line nearer to the ditch than this would be lost in it
_CLOSEST = 1 / 2  # of their spacing, and lines are no closer than that for the sake of meeting


def strip_numbers(bands: Mapping[SideName, Band], spacing: float) -> dict[SideName, int]:
    """How many lines each side's strip has: about so far apart."""
    strips = {side: band.strip for side, band in bands.items()}
    everywhere = max(1, round(sum(strips.values()) / len(strips) / spacing))
    if min(strips.values()) >= max(_NARROWEST_IN, _CLOSEST * spacing * everywhere) - ROUNDING_IN:
        return dict.fromkeys(strips, everywhere)
    return {
        side: max(1, round(strip / spacing)) if strip >= _NARROWEST_IN - ROUNDING_IN else 0
        for side, strip in strips.items()
    }


def strip_lines(bands: Mapping[SideName, Band], side: SideName, spacing: float) -> list[Line]:
    """The lines of a side in its band coordinates, the farthest from the seam first, each from miter to miter.

    The farthest is where the strip begins; the seam itself is stitched in the ditch.
    """
    band, near, far = bands[side], bands[previous_side(side)], bands[next_side(side)]
    number = strip_numbers(bands, spacing)[side]
    lines = []
    for i in range(number, 0, -1):
        share = i / number
        h = band.seam - share * band.strip
        lines.append(Line((near.seam - share * near.strip, h), (band.span - far.seam + share * far.strip, h)))
    return lines


def miter_lines(bands: Mapping[SideName, Band], side: SideName, spacing: float) -> list[Line]:
    """From line to line along the miter in a side's first corner, in its band coordinates, the outermost first.

    None where the lines of the two sides do not meet there.
    """
    band, near = bands[side], bands[previous_side(side)]
    numbers = strip_numbers(bands, spacing)
    number = numbers[side]
    if number != numbers[previous_side(side)]:
        return []
    corners = [
        (near.seam - share * near.strip, band.seam - share * band.strip)
        for share in (i / number for i in range(number, 0, -1))
    ]
    return [Line(one, other) for one, other in pairwise(corners)]
