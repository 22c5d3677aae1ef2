"""Holly's berries are round, and hang on stems: also where a hole takes no leaf."""

from __future__ import annotations

from math import pi

import pytest
import shapely

from planner.border.layout import place
from planner.fills import fill
from planner.solver import propose
from tests.contact_sheet import plan_of


@pytest.mark.parametrize(("width", "style"), [(6, "turning"), (9, "any")])
def test_no_berry_is_a_pear(width: int, style: str) -> None:
    """A circle's outline is the shortest round its area: 1 by 4 pi area / outline squared; a drop's is longer."""
    plan = plan_of("holly", width, style, 81, 99, None)
    grown = fill(place(plan, propose(plan).proposals[0].choice))
    berries = shapely.polygons(
        [shapely.linearrings(one.points(1e-3)) for one in grown.shapes() if one.kind == "berry"]
    )
    round_ = 4 * pi * shapely.area(berries) / shapely.length(berries) ** 2
    assert round_.min() > 0.97


def test_no_stem_of_berries_is_bare() -> None:
    """In a side of two little spines, 11 in wide, the two stems at its middle had lost a berry each."""
    plan = plan_of("holly", 11, "little_spines", 90, 108, None)
    grown = fill(place(plan, propose(plan).proposals[0].choice), only=lambda one: one.side == "top")
    bare = borne = 0
    for cell in grown.cells:
        lines = [one.points(1e-3) for one in cell.shapes]
        starts = shapely.MultiPoint([line[0] for line in lines])
        for before, one, line in zip(cell.shapes, cell.shapes[1:], lines[1:], strict=False):
            if one.kind == "stem" and before.kind != "leaf":  # a vein lies in the leaf before it
                on = shapely.dwithin(starts, shapely.Point(line[-1]), 2e-3)
                borne, bare = borne + bool(on), bare + (not on)
    assert borne > 5 and not bare
