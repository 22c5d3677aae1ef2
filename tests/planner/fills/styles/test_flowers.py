"""A flower of any size has its eye; a tendril winds in its hole."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, sin

import numpy as np
import pytest
import shapely

from planner.border.layout import place
from planner.fills import fill
from planner.fills.growing.standing import Hole
from planner.fills.growing.style import Needs
from planner.fills.styles import FILLS
from planner.fills.styles.flowers import flower, tendril
from planner.solver import propose
from tests.contact_sheet import plan_of

RANGE = FILLS["flowers"].needs


@pytest.mark.parametrize("room", [RANGE.least_room, 0.8125, RANGE.comfortable_room, RANGE.most_room])
def test_every_flower_has_its_eye(room: float) -> None:
    """Where it has one ring of petals and where it has two, from the smallest that stands in a curl."""
    needs = Needs(room, RANGE.smallest_feature, seed=1)
    for radius in np.arange(0.32, 1.2, 0.002).tolist():
        stem = radius * np.stack((np.linspace(2, 0, 50), np.zeros(50)), axis=1)
        kinds = [one.kind for one in flower(stem, radius, needs).outlines]
        assert kinds.count("eye") == 1, f"a blank flower {radius:.3f} in wide by half"


@pytest.mark.parametrize("turn", [0.0, 1.0, 4.0])
def test_a_tendril_winds_inwards(turn: float) -> None:
    """From where it hangs, 1.3 to 1.8 turns, never out again, its turns apart; none in too small a hole."""
    needs, radius = Needs(1.0, RANGE.smallest_feature, seed=1), 0.4
    hole = Hole((0.0, 0.0), radius, (radius * cos(turn), radius * sin(turn)))
    (grown,) = tendril(hole, needs)
    line = shapely.LineString(grown.points)
    reach, angle = np.hypot(*grown.points.T), np.unwrap(np.arctan2(*grown.points.T[::-1]))
    assert grown.points[0] == pytest.approx(hole.nearest)
    assert 1.3 <= abs(angle[-1] - angle[0]) / (2 * pi) <= 1.8
    assert np.all(np.diff(reach) < 0)
    assert line.is_simple and reach[-1] < radius / 4
    assert not tendril(replace(hole, radius=0.2), needs)


def test_a_tendril_stands_where_no_leaf_does() -> None:
    """One at least in a quilt that has such holes, begun on a stem, a leaf or the spine, never on a berry."""
    plan = plan_of("flowers", 6, "wreath", 60, 60, None)
    shapes = list(fill(place(plan, propose(plan).proposals[0].choice)).shapes())
    feet = shapely.points([one.start for one in shapes if one.kind == "tendril"])
    berries = [shapely.Polygon(one.points(1e-3)).exterior for one in shapes if one.kind == "berry"]
    assert len(feet)
    assert shapely.union_all(berries).distance(shapely.multipoints(feet)) > 0.01


def test_no_tendril_lies_across_the_middle_line() -> None:
    """One curls to one side: three did, where what stands on the line is its own image."""
    plan = plan_of("flowers", 6, "little_spines", 81, 99, None)
    layout = place(plan, propose(plan).proposals[0].choice)
    grown = fill(layout, only=lambda pocket: pocket.side == "top" and pocket.curl >= 4)
    tendrils = [np.array(shape.points(1e-2)) for shape in grown.shapes() if shape.kind == "tendril"]
    middle = layout.quilt.width / 2
    assert not [one for one in tendrils if one[:, 0].min() < middle < one[:, 0].max()]
    assert [shape for shape in grown.shapes() if abs(shape.start[0] - middle) < 1.0]
