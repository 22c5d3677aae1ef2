"""Where neighbouring curls part, plumes fill the throat between them, not a few fat drops."""

from __future__ import annotations

import pytest
import shapely

from planner.border.layout import place
from planner.fills import fill
from planner.solver import propose
from tests.contact_sheet import plan_of


@pytest.mark.parametrize("style", ["lattice", "turning"])
def test_no_fat_drops_in_the_throats(style: str) -> None:
    """In a narrow border with much room: hardly a teardrop is nearly half as broad as that."""
    layout = place(plan := plan_of("feathers", 4, style, 50, 50, 1.0), propose(plan).proposals[0].choice)
    shapes = [one for one in fill(layout).shapes() if one.kind in ("plume", "teardrop")]
    drops = shapely.polygons(
        [shapely.linearrings(one.points(1e-2)) for one in shapes if one.kind == "teardrop"]
    )
    broad = shapely.length(shapely.maximum_inscribed_circle(drops, tolerance=0.01))
    assert (broad > 0.23 * layout.room).sum() < 0.04 * len(shapes)
