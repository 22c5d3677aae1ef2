"""Holly's berries are round, and hang on stems: also where a hole takes no leaf."""

from __future__ import annotations

from math import pi

import pytest
import shapely

from planner.border.layout import place
from planner.fills import fill
from planner.plan import SIDES, Plan
from planner.solver import propose


@pytest.mark.parametrize(("width", "corner"), [(6, "turning"), (9, "mirrored")])
def test_no_berry_is_a_pear(width: int, corner: str) -> None:
    """A circle's outline is the shortest round its area: 1 by 4 pi area / outline squared; a drop's is longer."""
    plan = Plan.model_validate(
        {
            "sides_in": {side: (81 if side in ("top", "bottom") else 99) - 2 * width for side in SIDES},
            "border_in": dict.fromkeys(SIDES, width),
            "tin_in": [n / 8 for n in range(8, 60, 2)],
            "corner": corner,
            "fill": {"kind": "holly"},
        }
    )
    grown = fill(place(plan, propose(plan).proposals[0].choice))
    berries = shapely.polygons(
        [shapely.linearrings(one.points(1e-3)) for one in grown.shapes() if one.kind == "berry"]
    )
    round_ = 4 * pi * shapely.area(berries) / shapely.length(berries) ** 2
    assert round_.min() > 0.97
