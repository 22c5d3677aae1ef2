"""The drawings of the chalk sheet hold all of what they show."""

from __future__ import annotations

from functools import partial

import pytest
from svgpathtools import parse_path

from planner.border.layout import Layout, place
from planner.chalk.marking import Stance, side_marks
from planner.geometry.svg import svg_path
from planner.sheets.figures import strip
from tests import strategies
from tests.planner.landed import STYLES, example

LARGE = (78, 124)  # plans whose corner circles stand out over the seam by more than an inch


def large(seed: int) -> Layout:
    drawn = strategies.landing(seed)
    assert drawn is not None
    return place(*drawn)


LAYOUTS = [
    *(partial(example, style) for style in range(len(STYLES))),
    *(partial(large, seed) for seed in LARGE),
]


@pytest.mark.parametrize("number", range(len(LAYOUTS)))
def test_a_side_with_its_numbers_holds_every_circle_whole(number: int) -> None:
    """A corner circle that stands out over the seam, too."""
    for table in side_marks(LAYOUTS[number](), Stance()):
        drawing = strip(table)
        top, bottom = drawing.box.y, drawing.box.y + drawing.box.height
        chalked = [stroke for stroke in drawing.strokes if stroke.layer in ("now", "done")]
        assert len(chalked) >= len(table.marks)
        for stroke in chalked:
            _, _, least, most = parse_path(svg_path(stroke.curves)).bbox()
            assert top < least
            assert most < bottom
