"""Leaves point the way that their neighbours do; what is left between their tips takes berries on a stem."""

from __future__ import annotations

from collections import Counter
from math import atan2, degrees, sin, tan

import numpy as np
import pytest
import shapely

from planner.border.layout import place
from planner.fills import fill
from planner.fills.growing.contour import Stretch, sample
from planner.fills.growing.flow import LEVELS, FlowLines
from planner.fills.growing.outline import drawn
from planner.fills.growing.style import FlowStrips, Needs
from planner.fills.styles.leaves import leaves
from planner.geometry.curves import Line
from planner.solver import propose
from tests.contact_sheet import plan_of


@pytest.mark.parametrize(("width", "style"), [(6, "turning"), (5, "wreath")])
def test_no_leaf_lies_along_the_edge_across_the_tips_of_others(width: int, style: str) -> None:
    """Of the leaves no longer than the room that hung there, half and a third lay within 25 degrees of the edge."""
    plan = plan_of("leaves", width, style, 81, 99, None)
    layout = place(plan, propose(plan).proposals[0].choice)
    grown = fill(layout)
    far = np.array([layout.quilt.width, layout.quilt.height])
    among_tips = across = 0
    for shape in (shape for shape in grown.shapes() if shape.kind == "leaf"):
        points = np.array(shape.points(1e-2))
        reach = np.hypot(*(points - points[0]).T)
        ends = points[[0, int(np.argmax(reach))]]
        # Of both ends how far they are from the left, top, right and bottom: the edge to which both are nearest.
        off = np.concatenate((ends, far - ends), axis=1)
        edge = int(np.argmin(off.max(axis=0)))
        if off[:, edge].max() < plan.binding_allowance_in + 1.25 * layout.room and reach.max() < layout.room:
            out, along = off[0, edge] - off[1, edge], ends[1, (edge + 1) % 2] - ends[0, (edge + 1) % 2]
            among_tips += 1
            across += degrees(atan2(out, abs(along))) < 25
    assert among_tips
    assert across <= 0.02 * among_tips
    count = Counter(shape.kind for shape in grown.shapes())
    assert 0.02 < count["berry"] / count.total() < 0.12


def turning_strip(turn: float) -> tuple[FlowStrips, shapely.Polygon]:
    """A strip half an inch wide and two long that turns so far at once, four fifths up; and its ground."""
    wide, long = 0.5, 2.0
    way, sides = np.linspace(0, 1, LEVELS + 1) * long, []
    for x in (0.0, wide):
        up = 0.8 * long - x * tan(turn / 2)
        on = np.maximum(way - up, 0)
        sides.append(np.stack((x + on * sin(turn), np.minimum(way, up) + on * np.cos(turn)), axis=1))
    q = np.array([0.0, wide])
    contour = sample([Stretch(Line((0.0, 0.0), (wide, 0.0)), 1.0, "stem")])
    lines = FlowLines(contour, q, q, np.full(2, long), np.array(sides), np.full(2, long))
    strip = FlowStrips(lines, np.zeros(1), np.ones(1), np.array([wide]), np.array([long]))
    return strip, shapely.buffer(shapely.Polygon(np.concatenate((sides[0], sides[1][::-1]))), 0.01)


@pytest.mark.parametrize("turn", [1.0, 1.8, 2.2])
def test_where_its_strip_turns_sharply_a_leaf_ends_before_it(turn: float) -> None:
    """It was torn there: .06 and .4 in of its outline lay off the strip."""
    strip, ground = turning_strip(turn)
    (grown,) = leaves(strip, Needs(room=1.0, smallest=0.125, seed=1))
    assert [one.kind for one in grown] == ["leaf", "stem"]
    assert shapely.covers(ground, drawn(grown, 40).linestrings()).all()
