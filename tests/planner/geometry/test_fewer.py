"""Fewer curves: where one is drawn for two it lies where they lay, and a corner stays one."""

from __future__ import annotations

from math import hypot, pi, tan

import pytest
import shapely

from planner.border.layout import place
from planner.fills import fill
from planner.geometry.arrays import DRAWN_IN
from planner.geometry.curves import Arc, Bezier, Curve
from planner.geometry.fewer import fewer
from planner.solver import propose
from tests.contact_sheet import plan_of


def arc(radius: float, begin: float, turn: float) -> Bezier:
    """A piece of a circle about the origin as a cubic: handles of 4/3 tan(turn/4) radii, as every book has it."""
    track = Arc((0.0, 0.0), radius, begin, turn)
    reach = 4 / 3 * tan(turn / 4) * radius
    (x, y), (u, v) = track.start, track.end
    return Bezier(
        (x, y),
        (x - reach * y / radius, y + reach * x / radius),
        (u + reach * v / radius, v - reach * u / radius),
        (u, v),
    )


@pytest.mark.parametrize(("radius", "turn"), [(0.05, 1.2), (0.5, 0.5), (1.0, 0.4)])
def test_two_arcs_of_one_circle_are_drawn_as_one(radius: float, turn: float) -> None:
    [line] = fewer([(arc(radius, 0.3, turn), arc(radius, 0.3 + turn, turn))], 1e-3)
    [curve] = line
    track = Arc((0.0, 0.0), radius, 0.3, 2 * turn)
    assert curve.start == pytest.approx(track.start) and curve.end == pytest.approx(track.end)
    assert curve.heading(0) == pytest.approx(track.heading(0))
    off = [abs(hypot(*curve.point(k / 100)) - radius) for k in range(101)]
    assert max(off) < 1e-3


def test_what_would_be_seen_stays() -> None:
    wide = (arc(2.0, 0.0, 1.2), arc(2.0, 1.2, 1.2))  # one cubic for 2.4 radians of this is 0.01 in off
    corner = (Bezier((0, 0), (1, 0), (2, 0), (3, 0)), Bezier((3, 0), (3, 1), (3, 2), (3, 3)))
    apart = (arc(0.05, 0.0, 1.0), arc(0.05, 1.5, 1.0))
    track: tuple[Curve, ...] = (Arc((0.0, 0.0), 1.0, 0.0, pi), Arc((0.0, 0.0), 1.0, pi, pi))
    lines = [wide, corner, apart, track, ()]
    assert fewer(lines, 1e-3) == lines


def test_of_three_two_are_one_and_lines_keep_their_order() -> None:
    three = tuple(arc(0.1, k * 0.8, 0.8) for k in range(3))
    one, straight, other = fewer([three, (Arc((0.0, 0.0), 1.0, 0.0, 1.0),), three[1:]], 1e-3)
    assert [len(line) for line in (one, straight, other)] == [2, 1, 1]
    assert one[1] == three[2] and one[0].end == three[1].end


@pytest.mark.parametrize("kind", ["fern", "leaves"])
def test_a_fill_is_drawn_with_fewer_curves_where_it_is_stitched(kind: str) -> None:
    plan = plan_of(kind, 6, "butted", 60, 60, None)
    found = fill(place(plan, propose(plan).proposals[0].choice))
    lines = [shape.curves for cell in found.cells for shape in cell.shapes]
    drawn = fewer(lines, DRAWN_IN)
    assert sum(map(len, drawn)) < 0.9 * sum(map(len, lines))
    changed = [(one, other) for one, other in zip(lines, drawn, strict=True) if len(one) > len(other)]
    stitched, seen = (
        [[p for curve in line for p in curve.points(1e-4)] for line in every]
        for every in zip(*changed, strict=True)
    )
    off = [
        shapely.distance(shapely.LineString(a), shapely.points(b)).max()
        for a, b in zip(stitched, seen, strict=True)
    ]
    assert 1e-4 < max(off) < 1.2 * DRAWN_IN  # it is compared at a few places only
