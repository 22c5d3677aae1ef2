"""The stitching path: walked from end to end by a judge that knows nothing of how it was made."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import replace
from itertools import groupby, pairwise
from math import asin, cos, hypot, pi, sin

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from shapely import LineString, STRtree, distance, linestrings, points

from planner.border.layout import Layout, place
from planner.fills import fill as filled
from planner.fills.pocket import Pocket
from planner.fills.shape import Cell, Copy, FillOfLayout, Shape
from planner.fills.styles import FILLS
from planner.geometry.arrays import ON_IN
from planner.geometry.curves import Bezier, Curve, Line, Motion
from planner.geometry.curves import Point as Place
from planner.plan import Fill, FillKind
from planner.solver import propose
from planner.stitching.order import path_of
from planner.stitching.segments import Segment, StitchPath
from planner.threads import SpineWhen
from tests.contact_sheet import plan_of
from tests.outside.matching import matched
from tests.planner.landed import STYLES, example, layouts

STRAY_IN = 3e-4  # how far the judge's polylines may stray from the curves


def apart(p: Place, q: Place) -> float:
    return hypot(p[0] - q[0], p[1] - q[1])


def line_string(curves: tuple[Curve, ...]) -> LineString:
    return linestrings(np.array([p for c in curves for p in c.points(STRAY_IN)]))


def with_spine(layout: Layout, when: SpineWhen) -> Layout:
    return replace(layout, plan=layout.plan.model_copy(update={"spine": when}))


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
    drawn = [line_string(segment.curves) for segment in segments]
    new = [n for n, segment in enumerate(segments) if not segment.again]
    tree = STRtree([drawn[n] for n in new])

    def stitched_at(places: list[Place]) -> list[list[int]]:
        """For each place the new segments that pass it."""
        found: list[list[int]] = [[] for _ in places]
        for k, i in tree.query(points(places), predicate="dwithin", distance=2 * STRAY_IN).T.tolist():
            found[k].append(new[i])
        return found

    spots = [part.piece.curve.point(share) for part in layout.spines for share in (0.1, 0.5, 0.9)]
    assert all(any(segments[n].kind == "spine" for n in found) for found in stitched_at(spots))
    sewn: dict[int, list[Segment]] = defaultdict(list)
    for segment in segments:
        if segment.shape is not None and not segment.again:
            assert segment.kind in ("fill", "tip")
            sewn[segment.shape].append(segment)
    shapes = list(fill.shapes()) if fill else []
    assert sorted(sewn) == list(range(len(shapes)))
    for number, shape in enumerate(shapes):
        outline = line_string(shape.curves)
        assert sum(s.length for s in sewn[number]) == pytest.approx(outline.length, abs=2 * ON_IN)
        spots = [curve.point(share) for s in sewn[number] for curve in s.curves for share in (0, 0.3, 0.7, 1)]
        assert distance(outline, points(spots)).max() < 1.5 * ON_IN
        assert {s.pocket or shape.pocket for s in sewn[number]} == {shape.pocket}

    again = [(n, curve.point(0.5)) for n, s in enumerate(segments) if s.again for curve in s.curves]
    before_it = stitched_at([place for _, place in again])
    assert all(min(found, default=n) < n for (n, _), found in zip(again, before_it, strict=True))

    for _, line in groupby(segments, key=lambda s: s.line):
        visits = [pocket for pocket, _ in groupby(s.pocket for s in line if s.kind == "fill")]
        assert len(visits) == len(set(visits)), "a pocket was left and come back to"

    assert path.length == pytest.approx(sum(line.length for line in drawn), rel=1e-3)
    if layout.plan.spine == "first":
        assert path.retraced_spine <= 1.02 * path.least_retraced_spine + 1e-9
    assert path.retraced >= path.least_retraced[0] - 1e-6


def net_of(layout: Layout) -> list[list[tuple[Place, Place, float]]]:
    """The spines as graphs, one for each that hangs together, made here afresh: rings cut by hand."""
    edges: list[tuple[Place, Place, float]] = []
    ends = {rounded(c.end) for c in (part.piece.curve for part in layout.spines)}
    for part in layout.spines:
        curve = part.piece.curve
        if part.piece.part != "ring" or apart(curve.start, curve.end) > 1e-6:  # a full circle is two arcs
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


MIDDLE = Pocket("middle", "top")


def loop(kind: str, pocket: Pocket, curve: Curve, share: float, end: float, high: float) -> Shape:
    """A hump on a spine from one share of it to another, on its left; closed when they are the same."""
    a, b = curve.point(share), curve.point(end)
    up = curve.heading(share) - pi / 2

    def off(p: Place, turn: float, far: float) -> Place:
        return (p[0] + far * cos(up + turn), p[1] + far * sin(up + turn))

    top = off(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), 0.0, high)
    left = Bezier(a, off(a, -0.6, high / 2), off(top, -pi / 2, high / 3), top)
    right = Bezier(top, off(top, pi / 2, high / 3), off(b, 0.6, high / 2), b)
    return Shape(kind, pocket, (left, right))


def invented_fill(layout: Layout) -> FillOfLayout:
    """Shapes that stand at a tip, on a spine, on a shape, from base to base, that only end on one, on nothing."""
    cells, copies = [], []
    for part in layout.spines:
        curve, pocket = part.piece.curve, Pocket("curl", part.place, part.run, part.piece.curl)
        shapes: list[Shape] = []
        if part.piece.part == "tail":
            shapes.append(loop("teardrop", pocket, curve, 1.0, 1.0, 0.4))
        if part.piece.part == "stem":
            plume = loop("plume", pocket, curve, 0.2, 0.2, 0.5)
            shapes += [plume, loop("bud", pocket, plume.curves[0], 0.6, 0.6, 0.2)]
            shapes += [loop("plume", pocket, curve, 0.3 + i / 10, 0.4 + i / 10, 0.5) for i in range(3)]
            stem = loop("stem", pocket, curve, 0.8, 0.8, 0.5).curves[0]
            shapes.append(Shape("stem", pocket, (stem.reversed(),)))
        if shapes:
            cells.append(Cell(tuple(s.moved(Motion(), pocket) for s in shapes)))
            copies.append(Copy(len(cells) - 1, Motion(), pocket))
    middle = layout.quilt.width / 2
    alone = Line((middle, 0.5), (middle, 0.9))
    cells.append(Cell((Shape("lattice", MIDDLE, (alone,)), loop("knot", MIDDLE, alone, 1.0, 1.0, 0.2))))
    copies.append(Copy(len(cells) - 1, Motion(), MIDDLE))
    return FillOfLayout(tuple(cells), tuple(copies))


@pytest.mark.parametrize("style", range(len(STYLES)), ids=lambda i: "-".join(filter(None, STYLES[i][:2])))
def test_with_a_fill(style: int) -> None:
    layout = with_spine(example(style), "first")
    fill = invented_fill(layout)
    path = path_of(layout, fill)
    judge(layout, fill, path)
    bare = path_of(layout)
    assert path.starts == bare.starts + 1, "only what stands on nothing is begun anew"
    assert path.retraced_spine == pytest.approx(bare.retraced_spine)
    tails = sum(part.piece.part == "tail" for part in layout.spines)
    assert sum(s.kind == "tip" for s in path.segments) >= tails


def test_a_line_begun_where_nothing_is_stitched_is_none() -> None:
    """Echo in a wide border: from where a line over the spine would best begin nothing of the fill is in reach."""
    plan = plan_of("echo", 11, "butted", 90, 108, None)
    layout = place(plan, propose(plan).proposals[0].choice)
    path = path_of(layout, filled(layout))
    assert {segment.line for segment in path.segments} == set(range(path.starts))
    assert path.starts == path_of(layout).starts == 4


def test_humps_that_meet_are_stitched_without_travel() -> None:
    """A hump that ends where the next begins leads straight on to it."""
    layout = with_spine(example(4), "first")
    segments = path_of(layout, invented_fill(layout)).segments
    humps = [n for n, s in enumerate(segments) if s.what == "plume" and s.kind == "fill"]
    assert sum(n + 1 in humps for n in humps) >= 2 * sum(part.piece.part == "tail" for part in layout.spines)


def broken(path: StitchPath) -> list[StitchPath]:
    """A path with a piece left out, two swapped, a pocket come back to, a travel over bare cloth."""
    s = path.segments
    fill = next(n for n, one in enumerate(s) if one.kind == "fill")
    pocket = next(one.pocket for one in s if one.kind == "fill" and one.pocket != s[fill].pocket)
    return [
        replace(path, segments=s[:fill] + s[fill + 1 :]),
        replace(path, segments=(*s[:2], s[3], s[2], *s[4:])),
        replace(
            path, segments=(*s[: fill + 1], s[fill + 1]._replace(kind="fill", pocket=pocket), *s[fill + 2 :])
        ),
        replace(path, segments=(s[0]._replace(kind="travel"), *s[1:])),
    ]


def test_the_judge_can_say_no() -> None:
    layout = example(4)
    fill = invented_fill(layout)
    for path in broken(path_of(layout, fill)):
        with pytest.raises((AssertionError, ValueError)):
            judge(layout, fill, path)


USUAL = (("feathers", 0), ("leaves", 5), ("needles", 1), ("flowers", 2), ("echo", 3), ("feathers", 4))


def grown(usual: Collection[tuple[str, int]]) -> list[object]:
    """Every kind of fill in every style; all but the usual ones in the long mode."""
    return [
        pytest.param(
            kind,
            style,
            id="-".join(filter(None, (kind, *STYLES[style][:2]))),
            marks=() if (kind, style) in usual else pytest.mark.long,
        )
        for kind in FILLS
        for style in range(len(STYLES))
    ]


@pytest.mark.parametrize(("kind", "style"), grown(USUAL))
def test_the_fills_as_they_are_grown(kind: FillKind, style: int) -> None:
    """One line for all spines that hang together; it fills every pocket, and nothing is begun anew."""
    layout = example(style, fill=Fill(kind=kind))
    fill = filled(layout)
    bare, found = path_of(layout), {}
    for when in ("first", "on_the_way"):
        chosen = with_spine(layout, when)
        path = found[when] = path_of(chosen, fill)
        judge(chosen, fill, path)
        assert path.starts == bare.starts
    hers = path_of(layout, fill)
    assert hers.length <= min(path.length for path in found.values()) + 1e-6, "left open, it is the shorter"
