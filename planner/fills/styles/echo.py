"""Echo: plain lines at even steps off the spine; for a first border. No motifs, nothing to mark.

Each pocket gets a frame (planner.fills.styles.echo_frame). The lines are where the distance to the nearest spine is
one step, two steps, and so on: such lines never cross. They begin and end on the frame; one that closes
begins with a short hop from the line before it. Inches.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, count
from math import hypot

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.fills.growing.contour import as_point, sample
from planner.fills.growing.grow import Ground, Needs
from planner.fills.growing.outline import Outline, curves_through, flattened
from planner.fills.record import FillRecord, ThreadFigures
from planner.fills.styles.echo_frame import SPACING_IN, framed, spines_of
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Curve, Line, Point
from planner.geometry.polylines import even
from planner.kinds import NeedRange

_STEP = 0.44  # share of the room from one line to the next
_ROUND = 0.25  # share of a step: the radius of a bend where lines of two sides meet
_LEAST = 1.0  # lines shorter than so many steps are left out
_CURVE_IN = 1.0  # a curve for so much length
_CURVE_TURN = 0.5  # and one more for so much turn, radians
_CHORD_IN = 1e-4  # how far polylines stray from the lines
_SHORT_IN = 0.024  # a line into a corner ends so much short of what it faces
_COARSE_IN = 2e-3  # and where only distances count
_MOST = 16  # so many lines at most across what lies open
_OPEN = 0.55  # steps: the radius of a circle that may lie open
_SHARP = 0.6  # a line that bends so hard within two thirds of a step leaves a corner open before it
_ASIDE = 0.2  # a straight line leaves others at least by so much of its length, half way and so near
_NEAR_IN = 0.008
_WAYS = 12  # directions in which a line across is tried
_HEART = 0.52  # steps: the radius of a ring in the middle, at most
_RING = 1.5  # closed lines shorter than so many steps are left out


def echoes(ground: Ground, needs: Needs) -> list[tuple[Curve, ...]]:
    """The frame of a pocket, its lines in the order in which they begin along the frame, then what closes."""
    step = _STEP * needs.room
    contour = sample(ground.flank)
    sides, inside, miter = framed(contour, ground, step)
    spines = _coarse(spines_of(contour, ground))
    near = shapely.multilinestrings(spines)
    edge = (
        shapely.LineString([sides[0][0].start, *(line.end for side in sides for line in side)])
        if sides
        else None
    )
    opened: list[tuple[float, Numbers]] = []
    rings: list[Numbers] = []
    for level in count(1):
        reach = shapely.union_all(shapely.buffer(spines, (level + _ROUND) * step, quad_segs=8))
        reach = reach.buffer(-_ROUND * step, quad_segs=4)
        if reach.covers(inside):
            break
        lines = shapely.line_merge(reach.boundary.intersection(inside))
        for line in shapely.get_parts(lines):
            points = np.array(line.coords)
            if line.is_ring:
                if line.length > _RING * step:
                    rings.append(points)
            elif edge is not None and line.length > _LEAST * step:
                begins, ends = (edge.project(shapely.Point(p)) for p in (points[0], points[-1]))
                opened.append((min(begins, ends), points if begins < ends else points[::-1]))
    opened.sort(key=lambda one: one[0])
    holders = rings if sides else [shapely.get_coordinates(inside), *rings]
    rings = [one for ring in holders for one in (ring, *_heart(ring, holders, step))]
    rings = rings if sides else rings[1:]
    drawn: list[tuple[Curve, ...]] = [*sides, *miter]
    outlines = [_smooth(_on_frame(points, edge)) for _, points in opened if edge is not None]
    drawn += curves_through(outlines)
    own = flattened(outlines, _CHORD_IN).linestrings()
    stitched = [*spines_of(contour, ground), *map(_polyline, (*sides, *miter)), *own]
    links: list[Line] = []
    for line in own:
        others = [other for other in stitched if other is not line]
        links += _crooks(line, shapely.multilinestrings(others), near, step)
    coarse = _coarse(stitched)
    tip: Numbers | None = None
    for ring in rings:
        around = shapely.multilinestrings(stitched)
        ring, foot = _hop(ring, around, coarse, tip)
        tip, outline = ring[0], _smooth(ring)
        (whole,), points = curves_through([outline]), flattened([outline], _CHORD_IN).points
        drawn.append((Line(as_point(foot), as_point(tip)), *whole, Line(as_point(tip), as_point(foot))))
        stitched.append(shapely.LineString(np.concatenate(([foot], points))))
        coarse += _coarse(stitched[-1:])
        more = _crooks(shapely.LineString(points), around, near, step)
        links += [link for link in more if np.hypot(*(tip - link.start)) > step / 2]
    for link in links:
        off = shapely.LineString((link.point(1e-3 / link.length), link.end))
        if not shapely.intersects(off, stitched).any():
            drawn.append((link,))
            stitched.append(_polyline((link,)))
    return drawn + _across(inside, stitched, [link.start for link in links], step)


def _heart(ring: Numbers, rings: Sequence[Numbers], step: float) -> list[Numbers]:
    """A ring about the middle of one that holds no other and would stay open."""
    area = shapely.Polygon(ring)
    if any(other is not ring and area.contains(shapely.Point(other[0])) for other in rings):
        return []
    radius = shapely.maximum_inscribed_circle(area, tolerance=step / 50).length
    if radius < _OPEN * step:
        return []
    return [np.array(area.buffer(min(radius / 2, _HEART * step) - radius).exterior.coords)]


def _crooks(line: BaseGeometry, others: BaseGeometry, spines: BaseGeometry, step: float) -> list[Line]:
    """Straight lines from a line's bends into the corners that they leave open before the line before it."""
    every = even(np.array(line.coords), spacing=SPACING_IN)
    off = max(2, int(step / 3 / SPACING_IN))
    bend = 2 * every[off:-off] - every[: -2 * off] - every[2 * off :]
    sharp = np.hypot(*bend.T) / (off * SPACING_IN)
    found: list[Line] = []
    for at in np.argsort(-sharp).tolist():
        if sharp[at] < _SHARP:
            break
        tip = np.array(line.interpolate(line.project(shapely.Point(every[at + off]))).coords[0])
        if any(hypot(tip[0] - link.start[0], tip[1] - link.start[1]) < step for link in found):
            continue
        out = bend[at] / np.hypot(*bend[at])
        here, ahead = (spines.distance(shapely.Point(p)) for p in (tip, tip + 0.2 * step * out))
        link = _ahead(tip, out, others, step) if ahead < here else None
        if link and link.length > 1.1 * step - _SHORT_IN:
            found.append(link)
    return found


def _across(
    inside: BaseGeometry, stitched: list[shapely.LineString], tips: Sequence[Point], step: float
) -> list[tuple[Curve, ...]]:
    """Straight lines across what still lies open between lines of three sides."""
    found: list[tuple[Curve, ...]] = []
    near = shapely.buffer(shapely.multilinestrings(_coarse(stitched)), _OPEN * step, quad_segs=5)
    open_ = _areas(inside.difference(near))
    while open_ and len(found) < _MOST:
        part = open_.pop()
        middle = part.centroid if part.contains(part.centroid) else part.representative_point()
        every = shapely.multilinestrings(stitched)
        x, y = middle.coords[0]
        feet = [tip for tip in tips if hypot(tip[0] - x, tip[1] - y) < 1.5 * step]
        feet.sort(key=lambda tip: hypot(tip[0] - x, tip[1] - y))
        around = chain(feet, _round(np.array((x, y)), every, step))
        links = (_ahead(np.array(p), np.array((x - p[0], y - p[1])), every, step) for p in around)
        link = next(filter(None, links), None)
        if link:
            found.append((link,))
            stitched.append(_polyline((link,)))
            open_ += _areas(part.difference(stitched[-1].buffer(_OPEN * step, quad_segs=5)))
    return found


def _round(middle: Numbers, others: BaseGeometry, step: float) -> Iterator[Point]:
    """Points on some others round a middle, the nearest first, then one in each direction."""
    yield as_point(np.array(shapely.shortest_line(others, shapely.Point(middle)).coords[0]))
    for angle in np.linspace(0, 2 * np.pi, _WAYS, endpoint=False):
        out = np.array((np.cos(angle), np.sin(angle)))
        met = shapely.LineString((middle, middle + 2 * step * out)).intersection(others)
        if not met.is_empty:
            yield as_point(np.array(shapely.shortest_line(met, shapely.Point(middle)).coords[0]))


def _areas(geometry: BaseGeometry) -> list[BaseGeometry]:
    """The areas of a geometry, the largest last."""
    areas = [
        part for part in shapely.get_parts(geometry) if part.geom_type == "Polygon" and not part.is_empty
    ]
    return sorted(areas, key=lambda part: part.area)


def _ahead(tip: Numbers, out: Numbers, others: BaseGeometry, step: float) -> Line | None:
    """A straight line from a point that way, up to a little before the first of some others.

    None where it would be short, or run along one of them.
    """
    out = out / np.hypot(*out)
    met = shapely.LineString((tip + 1e-3 * out, tip + 4 * step * out)).intersection(others)
    if met.is_empty:
        return None
    way = met.distance(shapely.Point(tip)) - _SHORT_IN
    if way < step / 2:
        return None
    along = any(others.distance(shapely.Point(tip + d * out)) < _ASIDE * d for d in (_NEAR_IN, way / 2))
    return None if along else Line(as_point(tip), as_point(tip + way * out))


def _on_frame(points: Numbers, edge: BaseGeometry) -> Numbers:
    """A line whose ends lie on the frame exactly."""
    ends = [edge.interpolate(edge.project(shapely.Point(p))).coords[0] for p in points[[0, -1]]]
    return np.array([ends[0], *points[1:-1], ends[1]])


def _hop(
    ring: Numbers, stitched: BaseGeometry, coarse: Sequence[shapely.LineString], before: Numbers | None
) -> tuple[Numbers, Numbers]:
    """A closed line begun at its sharpest bend (or where the one before it began), and the point from which
    the needle hops there: on what is stitched, farther out."""
    ring = even(ring, spacing=SPACING_IN)[:-1]
    gap = np.full(len(ring), np.nan)
    gap[::3] = shapely.distance(shapely.points(ring[::3]), shapely.multilinestrings(coarse))
    at = int(np.nanargmax(gap))
    if before is not None and np.nanmax(gap) < 1.1 * np.nanmin(gap):
        at = 3 * int(np.argmin(np.hypot(*(ring[::3] - before).T)))
    out = ring[at] - ring.mean(axis=0)
    ray = shapely.LineString((ring[at], ring[at] + 3 * gap[at] * out / np.hypot(*out)))
    met = ray.intersection(stitched)
    ring = np.concatenate((ring[at:], ring[: at + 1]))
    foot = shapely.shortest_line(met if not met.is_empty else stitched, shapely.Point(ring[0])).coords[0]
    return ring, np.array(foot)


def _coarse(lines: Sequence[shapely.LineString]) -> list[shapely.LineString]:
    """Lines with as few points as do where only distances count."""
    return list(shapely.simplify(lines, _COARSE_IN, preserve_topology=False))


def _polyline(lines: Sequence[Line]) -> shapely.LineString:
    return shapely.LineString([lines[0].start, *(line.end for line in lines)])


def _smooth(points: Numbers) -> Outline:
    """A line drawn with few curves."""
    points = even(points, spacing=SPACING_IN)
    ahead = np.diff(points, axis=0)
    turn = np.abs(np.diff(np.unwrap(np.arctan2(ahead[:, 1], ahead[:, 0])))).sum()
    curves = max(2, int(SPACING_IN * len(points) / _CURVE_IN + turn / _CURVE_TURN))
    return Outline.of("echo", points, min(curves, len(points) - 1), count=len(points))


ECHO = FillRecord(
    kind="echo",
    listed="plain echo",
    spoken="echo lines",
    by_hand="Keep each line as far from the one before as the foot is wide, and slow down in the bends.",
    needs=NeedRange(
        least_room=0.25,
        comfortable_room=0.5,
        most_room=1.25,
        longest_ratio=6.0,
        longest_most=6.0,
        curl_share=1.0,
        smallest_feature=0.125,
    ),
    thread=ThreadFigures(area=1.99, spine=3.22, feature=-0.43),
    style=echoes,
    shapes={"echo": "an echo line"},
)
