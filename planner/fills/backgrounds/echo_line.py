"""One echo line round the whole: outside the heads of a fill that stays off its edges, at one distance from them.

It rounds the hollows between heads. Where pockets meet it passes as over a head, straight before the pole of the
circle that both share, and as far out as what stands there asks in any of them: so the lines of neighbours are one,
all round the quilt. In each pocket a step leads out to it from what lies next below it. Inches.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.fills.backgrounds.record import BackgroundRecord, Lines
from planner.fills.growing.contour import as_point
from planner.fills.growing.finish import Settled
from planner.fills.growing.ground import Ground, Place
from planner.fills.growing.grown import Grown
from planner.fills.growing.outline import Outline, across, curves_through
from planner.fills.growing.style import Needs
from planner.fills.record import ThreadFigures
from planner.geometry.arrays import COARSE_CHORD_IN, DIGITS, ROUNDING, SAME_IN, Numbers, square
from planner.geometry.curves import Curve, Line, Motion
from planner.geometry.polylines import Polylines, even, moved


@dataclass(frozen=True, slots=True)
class _EchoLine:
    """The proportions of an echo line, all but the first in steps. Common practice, no source."""

    step: float = 0.12  # Of the room, off the heads: 1/8 in before feathers that have an inch.
    hollow: float = 0.4  # Radius of a hollow: no notch between two heads is followed to its end ...
    deepest: float = 2.0  # ... nor further than so far from where the line passes over the heads.
    head: float = 0.45  # So far within its edge the fill has a head, as it were, where pockets meet.
    level: float = 0.25  # So far to either side it passes there no lower: so it goes on without a bend.
    steep: float = 0.4  # Of the step that leads out to it: a short one is hidden best in a deep hollow.
    longest: float = 4.0  # Is that step at most.
    near: float = 0.12  # Steps that it may be hidden less for every inch that it stands nearer to an end.
    turn: float = 0.6  # Radians that a curve of it turns, about.


_LOOK = _EchoLine()
_POINT_IN = 0.02  # along a line, where it is looked at
_QUARTER = 16  # chords of a quarter of a turn: they stray from a round of 1/4 in by 3e-4 in
_ASIDE = 1.5  # steps from an edge, on either side: its line runs between
_OFF_ENDS = 14  # points: no step leads out to the end of a line


@dataclass(frozen=True, slots=True)
class _Edge:
    """An edge of a ground, along which a line goes.

    path: its corners from the end of the ground to its begin (n, 2); out: straight out from each of these, in a
    corner over both edges.
    """

    path: Numbers
    out: Numbers

    @property
    def ends(self) -> Numbers:
        """Where it ends, and where it begins (2, 2)."""
        return self.path[[0, -1]]

    @property
    def ahead(self) -> Numbers:
        """Unit vectors straight out from its ends (2, 2)."""
        out = self.out[[0, -1]]
        return np.asarray(out / np.hypot(*out.T)[:, None])

    def beyond(self, far: float) -> Numbers:
        """The same, so far out (n, 2)."""
        return self.path + far * self.out


@dataclass(frozen=True, slots=True)
class _Verge:
    """The edges of a pocket, and what is stitched along them.

    own: what belongs to the pocket in each of its copies, others: all else, fine both; every: all (geometries), as
    fine as distances ask.
    """

    edges: Sequence[_Edge]
    own: Polylines
    others: Polylines
    every: Numbers

    @staticmethod
    def of(pockets: Settled, n: int, pocket: Grown, ground: Ground, step: float) -> _Verge:
        """That of a pocket."""
        edges, spine = list(_edges(ground)), Polylines.of([pocket.contour.point])
        near = pockets.near(n, [pocket.domain, *(edge.beyond(-_LOOK.deepest * step) for edge in edges)])
        own, some = pockets.own(n), pockets.in_some(n)
        every = Polylines.joined((own.rough, some.rough, near.rough, spine)).linestrings()
        others = Polylines.joined((some.fine, near.fine))
        return _Verge(edges, Polylines.joined((own.fine, spine)), others, every)


def echo_line(
    pockets: Settled, grounds: Sequence[Ground | None], shown: Container[int], needs: Needs
) -> Iterator[Lines]:
    """The echo line of each pocket, in parts that begin where a step leads out to it."""
    step = _LOOK.step * needs.room
    verges = [
        _Verge.of(pockets, n, pocket, ground, step) if pocket and ground else None
        for n, (pocket, ground) in enumerate(zip(pockets.cells, grounds, strict=True))
    ]
    for n, (verge, passed) in enumerate(zip(verges, _agreed(verges, pockets.beside, step), strict=True)):
        lines: Lines = []
        if verge and n in shown:
            for edge, far in zip(verge.edges, passed, strict=True):
                line = _beyond(edge, far, verge.every, step)
                lines += _begun(line, verge.own, verge.others, step)
        yield lines


def _agreed(
    verges: Sequence[_Verge | None], beside: Sequence[Sequence[tuple[int, Motion]]], step: float
) -> Iterator[Numbers]:
    """How far out the line passes both ends of each edge of some pockets (edges, 2): where some meet, all alike.

    beside: which pockets lie beside each, with their motions there.
    """
    ends = [np.array([e.ends for e in one.edges] if one else []).reshape(-1, 2) for one in verges]
    far = np.array([x for one in verges if one for e in one.edges for x in _passed(e, one.every, step)])
    first = np.cumsum([0, *map(len, ends)])
    meet = [
        (one + first[n], another + first[other])
        for n, around in enumerate(beside)
        for other, motion in around
        for one, another in zip(
            *np.nonzero(square(ends[n][:, None] - moved(ends[other], motion)) < SAME_IN**2), strict=True
        )
    ]
    here, there = np.array(meet, dtype=np.int64).reshape(-1, 2).T
    while True:
        known = far.copy()
        np.maximum.at(far, here, known[there])
        if (far == known).all():
            break
    return (far[low:high].reshape(-1, 2) for low, high in pairwise(first))


def _passed(edge: _Edge, every: Numbers, step: float) -> Iterator[float]:
    """How far out the line passes each end of an edge: as over a head, or over what stands there."""
    head = _LOOK.head * step
    for foot, ahead in zip(edge.ends, edge.ahead, strict=True):
        ray = shapely.LineString((foot, foot + _ASIDE * step * ahead))
        way = shapely.buffer(ray, _LOOK.level * step, cap_style="flat")
        near = every[shapely.dwithin(every, way, 2 * step)]
        grown = _grown([*near, shapely.Point(foot - head * ahead)], step)
        reached = shapely.get_coordinates(shapely.intersection(grown, way)) - foot
        yield float((reached @ ahead).max(initial=step - head))


def _edges(ground: Ground) -> Iterator[_Edge]:
    """The edges of a pocket's ground from its end to its begin."""
    last, first = (_before(place, ground) for place in (ground.end, ground.begin))
    corners = [point for point in (last, *map(np.array, ground.rim), first) if point is not None]
    paths = [corners[:1]]
    for one, other in pairwise(corners):
        if not _planes((one + other) / 2, ground):
            paths.append([])
        paths[-1].append(other)
    for path in paths:
        if len(path) > 1:
            out = np.array([np.sum(list(_planes(point, ground)), axis=0) for point in path], dtype=np.float64)
            for k, on, place in ((0, 1, last), (-1, -2, first)):
                if path[k] is corners[k] and place is None and len(_planes(path[k], ground)) == 1:
                    # Past a corner of the seam, where more pockets meet: along its own edge the other one lies.
                    way = path[k] - path[on]
                    out[k] -= way / np.hypot(*way)
            yield _Edge(np.array(path), out)


def _before(place: Place, ground: Ground) -> Numbers | None:
    """Where the ground ends straight before a place of the spine; None where no edge lies square to it."""
    curve = ground.flank[place[0]].curve
    heading = curve.heading(place[1])
    foot, way = np.array(curve.point(place[1])), np.array((-np.sin(heading), np.cos(heading)))
    # a thousandth of a radian off is no right angle: in the image of the pocket it might be one
    far = (
        offset - x * foot[0] - y * foot[1]
        for edge in ground.edges
        for x, y, offset in edge.planes
        if x * way[0] + y * way[1] > 1 - ROUNDING
    )
    ahead = min((one for one in far if one > 0), default=None)
    return None if ahead is None else np.asarray(foot + ahead * way)


def _planes(point: Numbers, ground: Ground) -> set[tuple[float, float]]:
    """The normals of the edges on which a point lies."""
    return {
        (x, y)
        for edge in ground.edges
        for x, y, offset in edge.planes
        if abs(x * point[0] + y * point[1] - offset) < SAME_IN
    }


def _grown(lines: Sequence[BaseGeometry], step: float) -> BaseGeometry:
    """All that lies within a step of some lines, and the hollows of it filled.

    Rounds as wide as these leave cloth bare within large shapes, but that is not where the longest line runs.
    """
    hollow = _LOOK.hollow * step
    rounds = shapely.buffer(lines, step + hollow, quad_segs=_QUARTER)
    return shapely.buffer(shapely.union_all(rounds), -hollow, quad_segs=_QUARTER)


def _beyond(edge: _Edge, far: Numbers, every: Numbers, step: float) -> Numbers:
    """The line along an edge of a ground (n, 2). far: how far out it passes both ends (2,)."""
    low, ends = shapely.LineString(edge.beyond(-_LOOK.deepest * step)), edge.ends + far[:, None] * edge.ahead
    near = shapely.simplify(every[shapely.dwithin(every, low, 2 * step)], COARSE_CHORD_IN)
    grown = _grown([*near, low, *map(shapely.Point, ends - step * edge.ahead)], step)
    strip = shapely.Polygon(np.concatenate((edge.beyond(-_ASIDE * step), edge.beyond(_ASIDE * step)[::-1])))
    lines = shapely.get_parts(shapely.line_merge(shapely.intersection(shapely.boundary(grown), strip)))
    line = shapely.get_coordinates(max(lines, key=shapely.length))
    if np.hypot(*(line[0] - ends[0])) > np.hypot(*(line[-1] - ends[0])):
        line = line[::-1]
    return np.concatenate((ends[:1], line[1:-1], ends[1:]))


def _begun(line: Numbers, stitched: Polylines, others: Polylines, step: float) -> Iterator[tuple[Curve, ...]]:
    """A line in parts, with the steps that lead out to it and back, one near each of its ends; one where two cross.

    So the needle goes along it once, and comes back as it fills the pocket. Where none leads out to it, it is gone
    along from its neighbours. others: what no step crosses.
    """
    points = even(line, _POINT_IN)
    off = min(_OFF_ENDS, len(points) // 3)  # none on an edge a rounding long
    there, aside = (each[off : len(points) - off] for each in (points, across(points)))
    longest = _LOOK.longest * step
    rays = np.asarray(shapely.linestrings(np.stack((there, there - longest * aside), axis=1)))
    pieces = stitched.segments(there.min(axis=0) - longest, there.max(axis=0) + longest)
    tree = shapely.STRtree(pieces)
    ray, hit = tree.query(rays, predicate="intersects")
    if not len(ray):
        yield _curves(points)
        return
    feet = shapely.get_coordinates(
        shapely.shortest_line(shapely.points(there[ray]), shapely.intersection(rays[ray], pieces[hit]))
    )[1::2]
    far = np.hypot(*(feet - there[ray]).T)
    order = np.lexsort((far.round(DIGITS), ray))
    some, first = np.unique(ray[order], return_index=True)
    feet, far = feet[order[first]], far[order[first]]
    steps = np.asarray(shapely.linestrings(np.stack((there[some], feet), axis=1)))
    clear = np.ones(len(some), dtype=bool)
    clear[shapely.STRtree(steps).query(others.linestrings(), "dwithin", _POINT_IN)[1]] = False
    some, feet, far, steps = some[clear], feet[clear], far[clear], steps[clear]
    if not len(some):
        yield _curves(points)
        return
    free = tree.query_nearest(shapely.points(there[some]), return_distance=True, all_matches=False)[1]
    hidden = free - _LOOK.steep * far
    along = some / len(there)
    low, high = (
        int(np.argmax(hidden - _LOOK.near * step * np.abs(along - end) * len(there) * _POINT_IN))
        for end in (0, 1)
    )
    one, other = some[low] + off, some[high] + off
    begin = Line(as_point(feet[low]), as_point(points[one]))
    if one < other and not shapely.intersects(steps[low], steps[high]):
        yield (begin, *_curves(points[one : other + 1]))
        yield (Line(as_point(feet[high]), as_point(points[other])), *_curves(points[other:]))
    else:
        yield (begin, *_curves(points[one:]))
    yield _curves(points[: one + 1][::-1])


def _curves(points: Numbers) -> tuple[Curve, ...]:
    ahead = np.diff(points, axis=0)
    turn = np.abs(np.angle(np.exp(1j * np.diff(np.arctan2(ahead[:, 1], ahead[:, 0]))))).sum()
    curves = max(2, int(turn / _LOOK.turn) + 1)
    outline = Outline.of("echo_line", points, curves, count=max(2 * len(points), 8 * curves + 1))
    return curves_through([outline])[0]


ECHO_LINE = BackgroundRecord(
    kind="echo_line",
    listed="one echo line round the whole",
    spoken="one echo line behind",
    by_hand="Keep the echo line at one distance from the heads, and round the hollows between them.",
    edge=1.75 * _LOOK.step,
    draw=echo_line,
    shape="echo_line",
    shapes={"echo_line": "an echo line"},
    fill_kept=1.08,
    thread=ThreadFigures(area=-0.46, spine=0.86, feature=0.91),
)
