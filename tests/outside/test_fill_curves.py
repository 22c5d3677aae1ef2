"""Bézier curves judged by svgpathtools."""

from __future__ import annotations

import re
from itertools import pairwise
from math import ceil, hypot, pi, sin

import numpy as np
import pytest
import shapely
import svgpathtools
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from planner.border.layout import place
from planner.fills import fill
from planner.fills.shape import PER_IN
from planner.geometry.arrays import DRAWN_IN
from planner.geometry.curves import Arc, Bezier, Curve, Line
from planner.geometry.svg import svg_path, whole_path, whole_paths
from planner.plan import SIDES, Plan
from planner.solver import propose

coordinate = st.floats(-10, 10).map(lambda v: round(v, 3))
point = st.tuples(coordinate, coordinate)
bezier = st.builds(Bezier, point, point, point, point)


def invented(kind: str) -> Plan:
    return Plan.model_validate(
        {
            "sides_in": {"top": 40, "right": 50, "bottom": 40, "left": 50},
            "border_in": dict.fromkeys(SIDES, 6),
            "tin_in": [n / 8 for n in range(8, 60)],
            "meeting": "lattice",
            "fill": {"kind": kind, "room_in": 1.0},
        }
    )


@given(bezier)
def test_length_of_an_outline_curve(curve: Bezier) -> None:
    judge = svgpathtools.CubicBezier(*(complex(*p) for p in (curve.p0, curve.p1, curve.p2, curve.p3)))
    assert curve.length == pytest.approx(judge.length(error=1e-9), rel=2e-3, abs=2e-3)


@given(point, st.floats(0.06, 3), st.floats(-4, 4), st.sampled_from((-pi, pi)))
def test_two_halves_are_a_circle_in_whole_numbers_too(
    centre: tuple[float, float], radius: float, begin: float, sweep: float
) -> None:
    """Rounded, yet round: every point as far from the middle, to two thousandths of an inch."""
    halves = [Arc(centre, radius, begin, sweep), Arc(centre, radius, begin + sweep, sweep)]
    drawn = svgpathtools.parse_path(whole_path(halves, PER_IN))
    off = [abs(drawn.point(t) / PER_IN - complex(*centre)) - radius for t in (0.1, 0.3, 0.5, 0.6, 0.9)]
    assert max(map(abs, off)) < 2e-3
    assert drawn.length() / PER_IN == pytest.approx(2 * pi * radius, abs=0.01)


def test_lines_in_one_path_lie_where_they_do_alone() -> None:
    """Each begins so far from where the one before it ended, circles too."""
    circle = (Arc((0.4, 0.3), 0.1, 1.0, pi), Arc((0.4, 0.3), 0.1, 1.0 + pi, pi))
    lines = [(Line((0.123, -1), (0.5, 0.2)),), circle, (Line((-2, 3), (-2.5, 3.25)),), circle]
    drawn = svgpathtools.parse_path(whole_paths(lines, PER_IN)).continuous_subpaths()
    alone = [svgpathtools.parse_path(whole_path(line, PER_IN)) for line in lines]
    assert len(drawn) == len(alone)
    for one, other in zip(drawn, alone, strict=True):
        assert max(abs(one.point(t) - other.point(t)) for t in (0, 0.3, 0.6, 1)) < 1e-6


def quadratic(begin: tuple[float, float], handle: tuple[float, float], end: tuple[float, float]) -> Bezier:
    one, other = (tuple((2 * h + e) / 3 for h, e in zip(handle, at, strict=True)) for at in (begin, end))
    return Bezier(begin, one, other, end)  # type: ignore[arg-type]


@given(st.lists(st.tuples(st.booleans(), point, point, point), min_size=1, max_size=8), point)
def test_curves_of_both_degrees_in_whole_numbers(
    drawn: list[tuple[bool, tuple[float, float], tuple[float, float], tuple[float, float]]],
    begin: tuple[float, float],
) -> None:
    """Whichever follows on whichever: what goes without saying is never the other's handle."""
    curves: list[Bezier] = []
    for squared, one, other, end in drawn:
        curves.append(quadratic(begin, one, end) if squared else Bezier(begin, one, other, end))
        begin = end
    read = svgpathtools.parse_path(whole_path(curves, PER_IN))
    assert len(read) == len(curves)
    for part, curve in zip(read, curves, strict=True):
        off = max(abs(part.point(t) / PER_IN - complex(*curve.point(t))) for t in (0, 0.3, 0.6, 1))
        assert off < 3 / PER_IN


def test_a_smooth_line_of_quadratic_curves_is_said_by_its_ends() -> None:
    """A spline whose handles lie in every second unit: exact, however long it is."""
    handles = [(2 * round(40 * sin(n)) / PER_IN, 2 * (30 * n) / PER_IN) for n in range(500)]
    nodes = [((a + c) / 2, (b + d) / 2) for (a, b), (c, d) in pairwise(handles)]
    curves = [quadratic(a, h, b) for (a, b), h in zip(pairwise(nodes), handles[1:], strict=False)]
    text = whole_path(curves, PER_IN)
    assert re.findall("[a-zA-Z]", text) == ["M", "q", "t"]
    for part, curve in zip(svgpathtools.parse_path(text), curves, strict=True):
        assert abs(part.point(0.5) / PER_IN - complex(*curve.point(0.5))) < 1e-9


def test_length_of_a_plume_like_curve() -> None:
    curve = Bezier((0, 0), (0.3, 0.8), (1.1, 1.2), (1.4, 0.6))
    judge = svgpathtools.parse_path(svg_path([curve]))
    assert curve.length == pytest.approx(judge.length(error=1e-12), abs=1e-9)


@pytest.mark.parametrize("kind", ["feathers", "needles", "flowers"])
def test_lengths_of_what_is_sewn(kind: str) -> None:
    """Every seventh curve of a fill to a millionth of an inch, the sharply bent ones of needles and cones too."""
    plan = invented(kind)
    sewn = [
        c
        for cell in fill(place(plan, propose(plan).proposals[0].choice)).cells
        for s in cell.shapes
        for c in s.curves
    ]
    for curve in [c for c in sewn if isinstance(c, Bezier)][::7]:
        judge = quad(lambda t: hypot(*curve.velocity(t)), 0, 1, epsabs=1e-12, epsrel=1e-12, limit=400)[0]  # noqa: B023
        assert curve.length == pytest.approx(judge, rel=0, abs=1e-6)


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


def drawn_as(curve: Curve) -> list[Curve]:
    """A picture shows an arc that turns far in parts, so that rounding does not turn it over."""
    count = ceil(abs(curve.sweep) / 1.6) if isinstance(curve, Arc) else 1
    if not isinstance(curve, Arc) or count == 1:
        return [curve]
    sweep = curve.sweep / count
    return [Arc(curve.centre, curve.radius, curve.begin + i * sweep, sweep) for i in range(count)]


EVEN = np.linspace(0, 1, 33)


@pytest.mark.parametrize("kind", ["feathers", "needles", "echo"])
def test_the_picture_of_a_fill_shows_its_shapes(kind: str) -> None:
    """Kind by kind, to what nobody sees and a number is rounded by; an invented quilt with a lattice of arcs."""
    plan = invented(kind)
    grown = fill(place(plan, propose(plan).proposals[0].choice))
    cells = re.findall("<g id=.*?</g>", grown.svg_defs())
    assert len(cells) == len(grown.cells)
    for cell, group in zip(grown.cells, cells, strict=True):
        for kind, path in re.findall('class="(.*?)" d="(.*?)"', group):
            parts = svgpathtools.parse_path(path)
            curves = [curve for shape in cell.shapes if shape.kind == kind for curve in shape.curves]
            assert len(parts) <= sum(len(drawn_as(curve)) for curve in curves)
            shown = [[(z.real, z.imag) for z in map(part.point, EVEN)] for part in parts]
            drawn = [PER_IN * np.array([curve.point(t) for t in EVEN]) for curve in curves]
            lines = (shapely.multilinestrings(shapely.linestrings(np.array(each))) for each in (shown, drawn))
            assert shapely.hausdorff_distance(*lines) < (1.2 * DRAWN_IN + 0.002) * PER_IN
