"""Bézier curves judged by svgpathtools."""

from __future__ import annotations

import pytest
import svgpathtools
from hypothesis import given
from hypothesis import strategies as st

from planner.curves import Bezier, svg_path

coordinate = st.floats(-10, 10).map(lambda v: round(v, 3))
point = st.tuples(coordinate, coordinate)
bezier = st.builds(Bezier, point, point, point, point)


@given(bezier)
def test_length_of_an_outline_curve(curve: Bezier) -> None:
    judge = svgpathtools.CubicBezier(*(complex(*p) for p in (curve.p0, curve.p1, curve.p2, curve.p3)))
    assert curve.length == pytest.approx(judge.length(error=1e-9), rel=2e-3, abs=2e-3)


def test_length_of_a_plume_like_curve() -> None:
    curve = Bezier((0, 0), (0.3, 0.8), (1.1, 1.2), (1.4, 0.6))
    judge = svgpathtools.parse_path(svg_path([curve]))
    assert curve.length == pytest.approx(judge.length(error=1e-12), abs=1e-9)


@given(bezier, st.floats(0, 1))
def test_split_parts_lie_on_the_curve(curve: Bezier, t: float) -> None:
    before, after = curve.split(t)
    judge = svgpathtools.CubicBezier(*(complex(*p) for p in (curve.p0, curve.p1, curve.p2, curve.p3)))
    assert complex(*before.point(0.5)) == pytest.approx(judge.point(t / 2), abs=1e-9)
    assert complex(*after.point(0.5)) == pytest.approx(judge.point((1 + t) / 2), abs=1e-9)


@given(bezier)
def test_chords_stay_within_the_tolerance(curve: Bezier) -> None:
    points = curve.points(0.01)
    n = len(points) - 1
    for i in range(n):
        on, chord = curve.point((i + 0.5) / n), points[i : i + 2]
        middle = ((chord[0][0] + chord[1][0]) / 2, (chord[0][1] + chord[1][1]) / 2)
        assert abs(complex(*on) - complex(*middle)) < 0.01 + 1e-9
