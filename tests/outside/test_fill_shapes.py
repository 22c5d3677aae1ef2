"""The feather fill judged by shapely: nothing crosses, nothing is thinner than the plan allows, no large hole."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely
from shapely.ops import substring

from planner.fills import fill
from planner.fills.shape import Shape
from planner.layout import Layout, place
from planner.plan import SIDES, Plan
from planner.solver import propose

_AT_AN_END_IN = 0.012  # where one shape begins on another they meet, and a needle is as wide
_WIDTH_IN = 6.0


@cache
def feathers() -> tuple[Layout, list[Shape], list[shapely.LineString]]:
    """An invented quilt, its feather fill, and each shape's outline."""
    plan = Plan.model_validate(
        {
            "sides_in": {"top": 44.0, "right": 50.0, "bottom": 44.0, "left": 50.0},
            "border_in": dict.fromkeys(SIDES, _WIDTH_IN),
            "tin_in": (3.0, 3.25, 3.5, 4.0, 4.25, 4.5),
            "meeting": "butted",
        }
    )
    layout = place(plan, propose(plan).proposals[0].choice)
    shapes = list(fill(layout).shapes())
    return layout, shapes, [shapely.LineString(s.points(0.002)) for s in shapes]


@pytest.fixture(scope="module")
def spines() -> shapely.Geometry:
    return shapely.unary_union([shapely.LineString(s.piece.curve.points(1e-5)) for s in feathers()[0].spines])


def test_no_shape_crosses_a_spine(spines: shapely.Geometry) -> None:
    _, shapes, lines = feathers()
    for shape, line in zip(shapes, lines, strict=True):
        middle = substring(line, 0.02, line.length - 0.02)
        assert not middle.intersects(spines), (shape.kind, shape.pocket)


def test_no_two_shapes_cross() -> None:
    _, shapes, lines = feathers()
    for i, j in zip(*shapely.STRtree(lines).query(lines, predicate="intersects"), strict=True):
        if i < j:
            meeting = lines[i].intersection(lines[j])
            ends = shapely.MultiPoint([c for k in (i, j) for c in (lines[k].coords[0], lines[k].coords[-1])])
            far = [p for p in getattr(meeting, "geoms", [meeting]) if p.distance(ends) > _AT_AN_END_IN]
            assert not far, (shapes[i].kind, shapes[j].kind, shapes[i].pocket, far[0])


def test_no_shape_is_narrower_than_the_smallest_feature() -> None:
    layout, shapes, lines = feathers()
    half = layout.plan.fill.smallest_feature_in / 2
    for shape, line in zip(shapes, lines, strict=True):
        assert not shapely.Polygon(line.coords).buffer(-0.99 * half).is_empty, (shape.kind, shape.pocket)


def test_no_hole_is_wider_than_half_the_room(spines: shapely.Geometry) -> None:
    """The largest empty circle on the left half of the top border, on a raster of 1/20 in."""
    layout, _, lines = feathers()
    s = layout.plan.binding_allowance_in
    x, y = np.meshgrid(np.arange(s, 23.0, 0.05), np.arange(s, _WIDTH_IN - 0.04, 0.05))
    points = shapely.points(x.ravel(), y.ravel())
    bodies = shapely.unary_union([shapely.Polygon(line.coords).buffer(0) for line in lines])
    shapely.prepare(bodies)
    free = points[~shapely.contains(bodies, points)]
    edge = np.minimum(
        np.minimum(shapely.get_x(free), shapely.get_y(free)) - s, _WIDTH_IN - shapely.get_y(free)
    )
    stitched = shapely.distance(free, shapely.union(shapely.unary_union(lines), spines))
    assert 2 * np.minimum(stitched, edge).max() <= 0.5 * layout.plan.fill.room_in
