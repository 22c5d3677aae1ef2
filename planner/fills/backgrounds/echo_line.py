"""One echo line round the whole: outside the heads of a fill that stays off its edges, at one distance from them.

It rounds the hollows between heads. Where pockets meet it passes as over a head, straight before the pole of the
circle that both share: so the lines of neighbours are one, all round the quilt. In each pocket a step leads out to
it from what lies next below it. Inches.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from planner.fills.backgrounds.record import BackgroundRecord, Lines
from planner.fills.growing.contour import as_point
from planner.fills.growing.finish import Settled
from planner.fills.growing.ground import Ground, Place
from planner.fills.growing.outline import Outline, across, curves_through
from planner.fills.growing.style import Needs
from planner.fills.record import ThreadFigures
from planner.geometry.arrays import COARSE_CHORD_IN, DIGITS, NOUGHT, SAME, SAME_IN, Numbers
from planner.geometry.curves import Curve, Line
from planner.geometry.polylines import Polylines, even


@dataclass(frozen=True, slots=True)
class _EchoLine:
    """The proportions of an echo line, all but the first in steps. Common practice, no source."""

    step: float = 0.12  # Of the room, off the heads: 1/8 in before feathers that have an inch.
    hollow: float = 0.4  # Radius of a hollow: no notch between two heads is followed to its end ...
    deepest: float = 2.0  # ... nor further than so far from where the line passes over the heads.
    head: float = 0.45  # So far within its edge the fill has a head, as it were, where pockets meet.
    steep: float = 0.4  # Of the step that leads out to it: a short one is hidden best in a deep hollow.
    longest: float = 4.0  # Is that step at most.
    near: float = 0.12  # Steps that it may be hidden less for every inch that it stands nearer to an end.
    turn: float = 0.6  # Radians that a curve of it turns, about.


_LOOK = _EchoLine()
_POINT_IN = 0.02  # along a line, where it is looked at
_QUARTER = 16  # chords of a quarter of a turn: they stray from a round of 1/4 in by 3e-4 in
_OFF_ENDS = 14  # points: no step leads out to the end of a line


def echo_line(pockets: Settled, grounds: Sequence[Ground | None], needs: Needs) -> Iterator[Lines]:
    """The echo line of each pocket, in parts that begin where a step leads out to it."""
    step = _LOOK.step * needs.room
    for n, (pocket, ground) in enumerate(zip(pockets.cells, grounds, strict=True)):
        lines: Lines = []
        if pocket and ground:
            spine, near = Polylines.of([pocket.contour.point]), pockets.near(n, [pocket.domain])
            every = Polylines.joined((pockets.shapes[n].rough, near.rough, spine)).linestrings()
            stitched = Polylines.joined((pockets.own(n).fine, spine))
            for path in _paths(ground, step):
                line = _beyond(path, _ways(path, ground), every, step, ground.mirror)
                lines += _begun(line, stitched, near.fine, step)
        yield lines


def _paths(ground: Ground, step: float) -> Iterator[Numbers]:
    """The edges of a pocket's ground from its end to its begin, (n, 2) each."""
    last, first = (_before(place, ground) for place in (ground.end, ground.begin))
    rim = [np.array(point) for point in ground.rim]
    # Past the end of a seam three pockets meet in its corner: so do their lines.
    if last is None and rim:
        rim[0] = _past(rim[0], rim[1] if len(rim) > 1 else first, ground, step)
    if first is None and rim:
        rim[-1] = _past(rim[-1], rim[-2] if len(rim) > 1 else last, ground, step)
    corners = [point for point in (last, *rim, first) if point is not None]
    path = corners[:1]
    for one, other in pairwise(corners):
        if not _planes((one + other) / 2, ground):
            if len(path) > 1:
                yield np.array(path)
            path = []
        path.append(other)
    if len(path) > 1:
        yield np.array(path)


def _past(corner: Numbers, on: Numbers | None, ground: Ground, step: float) -> Numbers:
    """So far past a corner of the seam, on the edge of a ground that has but one there."""
    if on is None or len(_planes(corner, ground)) > 1:
        return corner
    way = corner - on
    return np.asarray(corner + step * way / (np.hypot(*way) + NOUGHT))


def _before(place: Place, ground: Ground) -> Numbers | None:
    """Where the ground ends straight before a place of the spine; None where no edge lies square to it."""
    curve = ground.flank[place[0]].curve
    heading = curve.heading(place[1])
    foot, way = np.array(curve.point(place[1])), np.array((-np.sin(heading), np.cos(heading)))
    far = (
        offset - x * foot[0] - y * foot[1]
        for edge in ground.edges
        for x, y, offset in edge.planes
        if x * way[0] + y * way[1] > 1 - SAME
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


def _ways(path: Numbers, ground: Ground) -> Numbers:
    """From points of an edge straight out; in a corner over both edges."""
    return np.array([np.sum(list(_planes(point, ground)), axis=0) for point in path])


def _beyond(path: Numbers, out: Numbers, stitched: Numbers, step: float, mirror: float | None) -> Numbers:
    """The line along an edge of the ground (n, 2). stitched: all lines about it (geometries).

    Rounds as wide as these leave cloth bare within large shapes, but that is not where the longest line runs. On
    the line in which the ground faces its image it goes over what stands there, however near that is to the edge.
    """
    low = shapely.LineString(path - _LOOK.deepest * step * out)
    near = shapely.simplify(stitched[shapely.dwithin(stitched, low, 2 * step)], COARSE_CHORD_IN)
    hollow, passed = _LOOK.hollow * step, path[[0, -1]] - _LOOK.head * step * out[[0, -1]]
    rounds = shapely.buffer([*near, low, *map(shapely.Point, passed)], step + hollow, quad_segs=_QUARTER)
    grown = shapely.buffer(shapely.union_all(rounds), -hollow, quad_segs=_QUARTER)
    strip = shapely.Polygon(
        np.concatenate((path - (_LOOK.deepest - 0.5) * step * out, (path + 1.5 * step * out)[::-1]))
    )
    lines = shapely.get_parts(shapely.line_merge(shapely.intersection(shapely.boundary(grown), strip)))
    line = shapely.get_coordinates(max(lines, key=shapely.length))
    ends = passed + step * out[[0, -1]]
    if np.hypot(*(line[0] - ends[0])) > np.hypot(*(line[-1] - ends[0])):
        line = line[::-1]
    for k in (0, -1):
        if mirror is not None and abs(ends[k, 0] - mirror) < SAME_IN:
            ends[k] += max(0.0, (line[k] - ends[k]) @ out[k]) * out[k]
    return np.concatenate((ends[:1], line[1:-1], ends[1:]))


def _begun(line: Numbers, stitched: Polylines, others: Polylines, step: float) -> Iterator[tuple[Curve, ...]]:
    """A line in parts, with the steps that lead out to it and back, one near each of its ends.

    So the needle goes along it once, and comes back as it fills the pocket. others: what no step crosses.
    """
    points = even(line, _POINT_IN)
    off = min(_OFF_ENDS, len(points) // 3)
    there, square = points[off:-off], across(points)[off:-off]
    longest = _LOOK.longest * step
    rays = np.asarray(shapely.linestrings(np.stack((there, there - longest * square), axis=1)))
    pieces = stitched.segments(there.min(axis=0) - longest, there.max(axis=0) + longest)
    tree = shapely.STRtree(pieces)
    ray, hit = tree.query(rays, predicate="intersects")
    if not len(ray):
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
    some, feet, far = some[clear], feet[clear], far[clear]
    if not len(some):
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
    if one < other:
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
    edge=1.8 * _LOOK.step,
    draw=echo_line,
    shape="echo_line",
    shapes={"echo_line": "an echo line"},
    fill_kept=1.08,
    thread=ThreadFigures(area=-0.46, spine=0.86, feature=0.91),
)
