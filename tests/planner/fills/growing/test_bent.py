"""Bent drops: what one is said to fill is no more than it encloses, or a hole in its hollows would not be seen."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from planner.fills.growing.bent import bent_drops
from planner.fills.styles import FILLS
from planner.fills.styles.fern import FERN
from planner.fills.styles.holly import HOLLY
from planner.geometry.polylines import even


@pytest.mark.parametrize("kind", [HOLLY.kind, FERN.kind])
def test_what_a_drop_fills_lies_within_its_edge(kind: str) -> None:
    look = FILLS[kind].style.bent  # type: ignore[union-attr]
    walls = even(np.array([(0.0, 0), (3, 0), (3, 1), (0, 1), (0, 0)]), 0.04)
    nought = np.zeros_like(walls)
    drops = list(
        bent_drops(np.array([1.5, 0.5]), walls, np.arange(len(walls)), np.array([0.0, 1]), nought, 0.06, look)
    )
    assert drops
    for _, drop, axis, half in drops:
        cloth = shapely.Polygon(look.whole(drop, axis, half, 0.06)[0].points).buffer(0)
        circles = shapely.buffer(shapely.points(axis), look.filled(half))
        assert shapely.difference(shapely.union_all(circles), cloth).area < 0.02 * cloth.area
        assert shapely.union_all(circles).area > 0.5 * cloth.area
