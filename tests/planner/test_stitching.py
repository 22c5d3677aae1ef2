"""The stitching path: walked from end to end by a judge that knows nothing of how it was made."""

from __future__ import annotations

from collections import Counter
from itertools import groupby, pairwise
from math import asin, hypot, pi

import pytest
from hypothesis import HealthCheck, given, settings
from shapely import LineString, Point, STRtree

from planner.curves import Curve
from planner.curves import Point as Place
from planner.fills.shape import FillOfLayout
from planner.layout import Layout
from planner.stitching import StitchPath, path_of
from tests.outside.matching import matched
from tests.planner.landed import STYLES, example, layouts

Mark = frozenset[tuple[float, float]]


def apart(p: Place, q: Place) -> float:
    return hypot(p[0] - q[0], p[1] - q[1])


def mark(curves: tuple[Curve, ...]) -> Mark:
    """What a chain of curves is known by, whichever way it runs."""
    return frozenset((round(x, 6), round(y, 6)) for x, y in (c.point(0.5) for c in curves))


def line_string(curves: tuple[Curve, ...]) -> LineString:
    return LineString([p for c in curves for p in c.points(1e-4)])


def judge(layout: Layout, fill: FillOfLayout | None, path: StitchPath) -> None:
    """Every rule of the stitching order; fails where one is broken."""
    segments = path.segments
    for before, after in pairwise(segments):
        assert after.line in (before.line, before.line + 1)
        if after.line == before.line:
            assert apart(before.curves[-1].end, after.curves[0].start) <= 1e-9
    for segment in segments:
        assert all(apart(a.end, b.start) <= 1e-9 for a, b in pairwise(segment.curves))

    spine = sum(s.length for s in segments if s.kind == "spine")
    assert spine == pytest.approx(sum(part.piece.curve.length for part in layout.spines), abs=1e-6)
    new = [(n, s) for n, s in enumerate(segments) if not s.again]
    tree = STRtree([line_string(s.curves) for _, s in new])

    def stitched_at(point: Place) -> list[int]:
        return [new[i][0] for i in tree.query(Point(point), predicate="dwithin", distance=2e-4).tolist()]

    for part in layout.spines:
        for share in (0.1, 0.5, 0.9):
            assert any(segments[n].kind == "spine" for n in stitched_at(part.piece.curve.point(share)))
    shapes = Counter(mark(shape.curves) for shape in fill.shapes()) if fill else Counter()
    assert Counter(mark(s.curves) for s in segments if s.kind in ("fill", "tip")) == shapes

    for n, segment in enumerate(segments):
        if segment.again:
            for curve in segment.curves:
                assert min(stitched_at(curve.point(0.5))) < n

    for _, line in groupby(segments, key=lambda s: s.line):
        visits = [pocket for pocket, _ in groupby(s.pocket for s in line if s.kind == "fill")]
        assert len(visits) == len(set(visits)), "a pocket was left and come back to"

    assert path.length == pytest.approx(sum(c.length for s in segments for c in s.curves), rel=1e-6)
    assert path.retraced_spine <= 1.02 * path.least_retraced_spine + 1e-9


def net_of(layout: Layout) -> list[list[tuple[Place, Place, float]]]:
    """The spines as graphs, one for each that hangs together, made here afresh: rings cut by hand."""
    edges: list[tuple[Place, Place, float]] = []
    ends = {rounded(c.end) for c in (part.piece.curve for part in layout.spines)}
    for part in layout.spines:
        curve = part.piece.curve
        if part.piece.part != "ring":
            edges.append((rounded(curve.start), rounded(curve.end), curve.length))
            continue
        ring = next(r for _, r in layout.rings if apart(r.centre, curve.centre) < 1e-6)  # type: ignore[union-attr]
        touched = [p for p in ends if abs(apart(p, ring.centre) - ring.radius) < 2e-6]
        assert len(touched) == 2
        chord = apart(*touched)
        inner = 2 * ring.radius * asin(min(1.0, chord / (2 * ring.radius)))
        edges += [(*touched, inner), (*touched, 2 * pi * ring.radius - inner)]
    groups: list[tuple[set[Place], list[tuple[Place, Place, float]]]] = []
    for edge in edges:
        nodes, members = {edge[0], edge[1]}, [edge]
        rest = []
        for group in groups:
            if group[0] & nodes:
                nodes |= group[0]
                members += group[1]
            else:
                rest.append(group)
        groups = [*rest, (nodes, members)]
    return [members for _, members in groups]


def rounded(p: Place) -> Place:
    return (round(p[0], 6), round(p[1], 6))


@pytest.mark.parametrize("style", range(len(STYLES)), ids=lambda i: "-".join(filter(None, STYLES[i][:2])))
def test_spines_of_every_style(style: int) -> None:
    layout = example(style)
    path = path_of(layout)
    judge(layout, None, path)
    assert path.retraced_spine == pytest.approx(path.least_retraced_spine, abs=1e-6)
    separate = STYLES[style][1] in ("butted", "little_spines", "lattice")
    assert path.starts == (4 if separate else 1)


@pytest.mark.parametrize("style", range(len(STYLES)), ids=lambda i: "-".join(filter(None, STYLES[i][:2])))
def test_least_retrace_against_matching(style: int) -> None:
    layout = example(style)
    least = sum(matched(line) for line in net_of(layout))
    assert path_of(layout).least_retraced_spine == pytest.approx(least, abs=1e-4)


def test_a_tail_is_stitched_there_and_back_before_going_on() -> None:
    """Every tail but the two at the ends of a line is retraced at once, its tip between."""
    layout = example(4)
    segments = path_of(layout).segments
    out = [n for n, s in enumerate(segments) if s.kind == "spine" and s.what == "tail"]
    straight_back = [n for n in out if n + 1 < len(segments) and segments[n + 1].kind == "backtrack"]
    assert len(straight_back) >= len(out) - 2


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(layouts())
def test_any_layout(layout: Layout) -> None:
    judge(layout, None, path_of(layout))
