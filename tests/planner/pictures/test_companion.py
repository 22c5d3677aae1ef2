"""One circle at a time: each picture holds all of what it shows."""

from __future__ import annotations

import re

import pytest
from svgpathtools import parse_path

from planner.chalk.companion import to_chalk
from planner.chalk.marking import Stance, side_marks
from planner.pictures.companion import near_view, side_strip
from tests.planner.landed import STYLES, example


@pytest.mark.parametrize("style", range(len(STYLES)))
def test_a_circle_that_stands_out_over_the_seam_is_seen_whole(style: int) -> None:
    """Where it is chalked and the arrow's head, and on the strip the circle itself."""
    for one in to_chalk(side_marks(example(style), Stance())):
        if one.mark.kind == "corner":
            near, strip = near_view(one), side_strip(one)
            _, top, _, high = box_of(near)
            ink = parse_path(re.findall(r'class="now" d="([^"]+)"', near)[0])
            assert top < ink.bbox()[2]
            assert ink.bbox()[3] < top + high
            _, top, _, high = box_of(strip)
            y, radius = (float(re.findall(rf' {name}="([^"]+)"', strip)[0]) for name in ("cy", "r"))
            assert top < y - radius
            assert y + radius < top + high


def box_of(svg: str) -> list[float]:
    return [float(number) for number in re.findall(r'viewBox="([^"]+)"', svg)[0].split()]
