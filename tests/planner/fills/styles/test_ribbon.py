"""A ribbon never crosses itself; its folds lie within it, and where it is drawn broad enough it is broad enough."""

from __future__ import annotations

from itertools import pairwise, takewhile
from math import pi

import numpy as np
import pytest
import shapely

from planner.border.band import CORNERS
from planner.border.layout import place
from planner.fills import fill
from planner.fills.growing.outline import Outline, curves_through
from planner.fills.growing.standing import Hole
from planner.fills.growing.style import Needs
from planner.fills.styles import FILLS
from planner.fills.styles.ribbon import small_loop
from planner.fills.styles.streamers import along
from planner.geometry.curves import Bezier
from planner.solver import propose
from tests.contact_sheet import plan_of

SMALLEST_IN = FILLS["ribbon"].needs.smallest_feature


def _lines(grown: list[Outline]) -> list[shapely.LineString]:
    return [shapely.LineString(_points(curves)) for curves in curves_through(grown)]


def _points(curves: tuple[Bezier, ...]) -> list[tuple[float, float]]:
    return [curves[0].start, *(point for curve in curves for point in curve.points(1e-4)[1:])]


@pytest.mark.parametrize("half", [0.11, 0.15, 0.2, 0.3])
@pytest.mark.parametrize("length", [0.6, 1.0, 1.6, 2.4, 3.5])
@pytest.mark.parametrize("bend", [0.0, 0.25])
def test_a_streamer_is_whole(half: float, length: float, bend: float) -> None:
    """Along a straight axis and one that bends."""
    if half > 0.3 * length:
        pytest.skip("so broad none is drawn")
    t = np.linspace(0, 1, 49)
    axis = length * np.stack((t, bend * 4 * t * (1 - t)), axis=1)
    grown = along(axis, half * np.clip(t / 0.3, 0, 1) ** 0.6, SMALLEST_IN)
    outline, *folds = _lines(grown)
    cloth = shapely.Polygon(outline)
    assert outline.is_simple, "crosses itself"
    assert 2 * shapely.maximum_inscribed_circle(cloth, tolerance=1e-3).length > SMALLEST_IN
    for fold in folds:
        assert cloth.buffer(1e-3).covers(fold), "a fold leaves its ribbon"
        ends = shapely.points([fold.coords[0], fold.coords[-1]])
        assert outline.distance(ends).max() < 2e-4, "a fold ends in the air"
    for one, other in pairwise(folds):
        assert one.distance(other) > 0.03, "folds touch"


def test_ribbons_fork_and_bow() -> None:
    """Nearly all that is stitched are ribbons: few loops, hardly a bead, and a bow of four in a corner's circle."""
    plan = plan_of("ribbon", 6, "butted", 50, 50, None)
    shapes = list(fill(place(plan, propose(plan).proposals[0].choice)).shapes())
    bodies = [one for one in shapes if one.kind != "fold"]
    cloth = shapely.polygons([shapely.linearrings(one.points(1e-3)) for one in bodies])
    round_ = 4 * pi * shapely.area(cloth) / shapely.length(cloth) ** 2
    assert np.mean(round_ > 0.9) <= 0.02
    assert sum(one.kind == "ribbon" for one in bodies) > 0.8 * len(bodies)
    knots = [one.pocket.corner for one in bodies if one.kind == "knot" and one.pocket]
    assert sorted(knots, key=str) == sorted(CORNERS)


def test_no_ribbon_hangs_within_a_loop() -> None:
    """On the line in which a pocket faces its image a loop stands; what is open beside it is not its inside."""
    plan = plan_of("ribbon", 8, "butted", 74, 92, None)
    shapes = list(fill(place(plan, propose(plan).proposals[0].choice)).shapes())
    loops = shapely.polygons([shapely.linearrings(one.points(1e-3)) for one in shapes if one.kind == "loop"])
    inside = shapely.STRtree(loops).query(
        [shapely.Point(np.mean(one.points(1e-2), axis=0)) for one in shapes if one.kind == "ribbon"], "within"
    )
    assert not inside.size


def test_few_ribbons_are_corkscrews() -> None:
    """Narrow strips have none, and small ones are plain flags: folded over and over they would be confetti."""
    plan = plan_of("ribbon", 7, "little_spines", 60, 60, None)
    kinds = [one.kind for one in fill(place(plan, propose(plan).proposals[0].choice)).shapes()]
    folds = np.array([len(list(takewhile("fold".__eq__, kinds[n + 1 :]))) for n in _ribbons(kinds)])
    assert np.mean(folds >= 4) < 0.05
    assert np.mean(folds == 0) > 0.25


@pytest.mark.parametrize("away", [0.2, 0.25, 0.4])
def test_a_loop_in_a_hole_is_no_bead(away: float) -> None:
    """Wherever it hangs, it is slimmer than a ball."""
    hole = Hole((0.0, 0.0), 0.2, (away, 0.0))
    body, *_ = _lines(small_loop(hole, Needs(0.875, SMALLEST_IN, seed=1)))
    assert 4 * pi * shapely.Polygon(body).area / body.length**2 < 0.9


def _ribbons(kinds: list[str]) -> list[int]:
    return [n for n, kind in enumerate(kinds) if kind == "ribbon"]
