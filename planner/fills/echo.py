"""Echo: plain lines at even steps off the spine; for a first border. No motifs, nothing to mark.

Each pocket gets a frame, straight from the spine to the edge of the border, along it, and back to the spine,
half a step inside the pocket, so that the frames of two pockets stand one step apart. The lines are where the
distance to the nearest spine is one step, two steps, and so on: such lines never cross. They begin and end on
the frame; one that closes begins with a short hop from the line before it. Inches.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count, pairwise
from math import hypot, inf

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.curves import Curve, Line, Point
from planner.fills.contour import Contour, Numbers, as_point, points_along, sample
from planner.fills.flow import Lean
from planner.fills.grow import Ground, Needs, Style
from planner.fills.outline import Outline, curves_through, even

_STEP = 0.44  # share of the room from one line to the next
_ROUND = 0.25  # share of a step: the radius of a bend where lines of two sides meet
_LEAST = 1.0  # lines shorter than so many steps are left out
_SPACING_IN = 0.02  # of the points along a line
_CURVE_IN = 1.0  # a curve for so much length
_CURVE_TURN = 0.5  # and one more for so much turn, radians
_CHORD_IN = 1e-4  # how far the spine's polylines stray from it
_SHORT_IN = 0.03  # a line into a corner ends so much short of what it faces
_COARSE_IN = 2e-3  # and where only distances count
_MOST = 8  # so many lines at most across what lies open
_OPEN = 0.57  # steps: the radius of a circle that may lie open
_SHARP = 0.6  # a line that bends so hard within two thirds of a step leaves a corner open before it
_RING = 1.5  # closed lines shorter than so many steps are left out
_FAR_IN = 60.0  # farther than any pocket reaches


def echoes(ground: Ground, needs: Needs) -> list[tuple[Curve, ...]]:
    """The frame of a pocket, its lines in the order in which they begin along the frame, then what closes."""
    step = _STEP * needs.room
    contour = sample(ground.walk)
    sides, inside = _framed(contour, ground, step)
    spines = shapely.simplify(_spines(contour, ground), _COARSE_IN)
    near = shapely.multilinestrings(list(spines))
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
    drawn: list[tuple[Curve, ...]] = [*sides]
    drawn += [_smooth(_on_frame(points, edge)) for _, points in opened if edge is not None]
    stitched = [*_spines(contour, ground), *map(_polyline, drawn)]
    links: list[Line] = []
    for line in stitched[len(stitched) - len(opened) :]:
        others = [other for other in stitched if other is not line]
        links += _crooks(line, shapely.multilinestrings(others), near, step)
    coarse = list(shapely.simplify(stitched, _COARSE_IN))
    tip: Numbers | None = None
    for ring in rings:
        around = shapely.multilinestrings(stitched)
        ring, foot = _hop(ring, around, coarse, tip)
        tip, whole = ring[0], _smooth(ring)
        drawn.append((Line(as_point(foot), as_point(tip)), *whole, Line(as_point(tip), as_point(foot))))
        stitched.append(_polyline(drawn[-1][:-1]))
        coarse.append(stitched[-1].simplify(_COARSE_IN))
        more = _crooks(_polyline(whole), around, near, step)
        links += [link for link in more if np.hypot(*(tip - link.start)) > step / 2]
    for link in links:
        if not shapely.intersects(
            _polyline((Line(link.point(1e-3 / link.length), link.end),)), stitched
        ).any():
            drawn.append((link,))
            stitched.append(_polyline((link,)))
    return drawn + _across(inside, stitched, [link.start for link in links], step)


def _crooks(line: BaseGeometry, others: BaseGeometry, spines: BaseGeometry, step: float) -> list[Line]:
    """Straight lines from a line's bends into the corners that they leave open before the line before it."""
    every = even(np.array(line.coords), spacing=_SPACING_IN)
    off = max(2, int(step / 3 / _SPACING_IN))
    bend = 2 * every[off:-off] - every[: -2 * off] - every[2 * off :]
    sharp = np.hypot(*bend.T) / (off * _SPACING_IN)
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
    near = shapely.buffer(shapely.simplify(stitched, _COARSE_IN), _OPEN * step, quad_segs=5)
    open_ = _areas(inside.difference(shapely.union_all(near)))
    while open_ and len(found) < _MOST:
        part = open_.pop()
        middle = part.centroid if part.contains(part.centroid) else part.representative_point()
        every = shapely.multilinestrings(stitched)
        x, y = middle.coords[0]
        foot = min(tips, key=lambda tip: hypot(tip[0] - x, tip[1] - y), default=(inf, inf))
        if hypot(foot[0] - x, foot[1] - y) > 1.5 * step:
            foot = as_point(np.array(shapely.shortest_line(every, middle).coords[0]))
        link = _ahead(np.array(foot), np.array((x - foot[0], y - foot[1])), every, step)
        if link:
            found.append((link,))
            stitched.append(_polyline((link,)))
            open_ += _areas(part.difference(stitched[-1].buffer(_OPEN * step, quad_segs=5)))
    return found


def _areas(geometry: BaseGeometry) -> list[BaseGeometry]:
    """The areas of a geometry, the largest last."""
    areas = [
        part for part in shapely.get_parts(geometry) if part.geom_type == "Polygon" and not part.is_empty
    ]
    return sorted(areas, key=lambda part: part.area)


def _ahead(tip: Numbers, out: Numbers, others: BaseGeometry, step: float) -> Line | None:
    """A straight line from a point that way, up to a little before the first of some others."""
    out = out / np.hypot(*out)
    met = shapely.LineString((tip + 1e-3 * out, tip + 4 * step * out)).intersection(others)
    if met.is_empty:
        return None
    way = met.distance(shapely.Point(tip)) - _SHORT_IN
    return Line(as_point(tip), as_point(tip + way * out)) if way > step / 2 else None


def _on_frame(points: Numbers, edge: BaseGeometry) -> Numbers:
    """A line whose ends lie on the frame exactly."""
    ends = [edge.interpolate(edge.project(shapely.Point(p))).coords[0] for p in points[[0, -1]]]
    return np.array([ends[0], *points[1:-1], ends[1]])


def _framed(contour: Contour, ground: Ground, step: float) -> tuple[list[tuple[Line, ...]], BaseGeometry]:
    """A pocket's frame, in parts that begin on the spine, and the area inside; without edges there is none."""
    begin, end = contour.q_at(*ground.begin), contour.q_at(*ground.end)
    if not ground.edges:
        return [], shapely.Polygon(_bare(contour, begin, end))
    foot_a, head_a, begin = _gate(contour, ground, begin, step / 2)
    foot_z, head_z, end = _gate(contour, ground, end, -step / 2)
    heads = [head_a, *(np.array(p) for p in reversed(ground.rim)), head_z]
    ring = np.array([*_bare(contour, begin, end), foot_z, *heads[::-1], foot_a])
    area = shapely.make_valid(shapely.Polygon(ring))
    wall = _wall(ground, step)
    if wall is not None:
        area = area.intersection(shapely.box(-_FAR_IN, -_FAR_IN, wall, _FAR_IN))
        heads = [np.array((min(x, wall), y)) for x, y in heads]
    spines = _spines(contour, ground)
    frame: list[tuple[Line, ...]] = []
    for a, b in pairwise((foot_a, *heads, foot_z)):
        for line in _parts(a, b, spines, area):
            joined = frame and np.hypot(*np.subtract(frame[-1][-1].end, line.start)) < 1e-6
            frame = [*frame[:-1], (*frame[-1], line)] if joined else [*frame, (line,)]
    return frame, area


def _parts(a: Numbers, b: Numbers, spines: Sequence[shapely.LineString], area: BaseGeometry) -> list[Line]:
    """A side of a frame, in parts where it would cross a spine, as it does where two curls meet in the middle."""
    if np.hypot(*(b - a)) < 1e-6:
        return []
    side = shapely.LineString((a, b))
    bit = 1e-3 * (b - a) / np.hypot(*(b - a))
    between = shapely.LineString((a + bit, b - bit))
    met = [spine.buffer(1e-5) for spine in spines if spine.intersects(between)]
    if not met:
        return [Line(as_point(a), as_point(b))]
    parts = []
    for part in shapely.get_parts(side.difference(shapely.union_all(met))):
        ends = sorted(np.array(part.coords), key=lambda end: float(np.hypot(*(end - a))))
        if part.length > 1e-3 and area.distance(part.centroid) < 1e-3:
            parts.append(Line(as_point(ends[0]), as_point(ends[-1])))
    return sorted(parts, key=lambda part: hypot(part.start[0] - a[0], part.start[1] - a[1]))


def _wall(ground: Ground, step: float) -> float | None:
    """How far the pocket may go towards its image, or towards a lattice."""
    if ground.mirror is not None:
        return ground.mirror - step / 2
    return ground.rim[0][0] - step / 2 if len(ground.rim) == 2 else None


def _bare(contour: Contour, begin: float, end: float) -> Numbers:
    """The spine along a pocket without its tail. Shape (n, 2)."""
    q = np.linspace(begin, end, int((end - begin) / _SPACING_IN))
    stretch = np.clip(np.searchsorted(contour.starts, q, side="right") - 1, 0, len(contour.stretches) - 1)
    bare = np.array([s.label not in ("tail", "tip") for s in contour.stretches])[stretch]
    return contour.at(q[bare], np.zeros(bare.sum()))


def _gate(contour: Contour, ground: Ground, q: float, off: float) -> tuple[Numbers, Numbers, float]:
    """Where a side of the frame stands on the spine, where it meets the edge, and q there: ``off`` from q on."""
    here = np.array([q])
    point, ahead = contour.at(here, np.zeros(1))[0], contour.at(here, np.ones(1))[0]
    normal = ahead - point
    along = np.array((normal[1], -normal[0]))
    near = q + np.linspace(0, 3 * off, 61)
    way = (contour.at(near, np.zeros_like(near)) - point) @ along
    there = float(np.interp(abs(off), np.abs(way), near))
    foot = contour.at(np.array([there]), np.zeros(1))
    planes = np.array([plane for edge in ground.edges for plane in edge.planes])
    towards, left = planes[:, :2] @ normal, planes[:, 2] - planes[:, :2] @ foot[0]
    depth = (left[towards > 0.5] / towards[towards > 0.5]).min()
    return foot[0], foot[0] + depth * normal, there


def _spines(contour: Contour, ground: Ground) -> list[shapely.LineString]:
    """All spine that the pocket faces: its own, and its image in the middle."""
    points = [points_along(s.curve, _CHORD_IN / 20) for s in contour.stretches if s.label != "tip"]
    if ground.mirror is not None:
        points += [p * (-1.0, 1.0) + (2 * ground.mirror, 0.0) for p in points]
    return [shapely.LineString(p) for p in points]


def _hop(
    ring: Numbers, stitched: BaseGeometry, coarse: Sequence[shapely.LineString], before: Numbers | None
) -> tuple[Numbers, Numbers]:
    """A closed line begun at its sharpest bend (or where the one before it began), and the point from which
    the needle hops there: on what is stitched, farther out."""
    ring = even(ring, spacing=_SPACING_IN)[:-1]
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


def _polyline(curves: Sequence[Curve]) -> shapely.LineString:
    return shapely.LineString([curves[0].start, *(p for c in curves for p in c.points(_CHORD_IN)[1:])])


def _smooth(points: Numbers) -> tuple[Curve, ...]:
    points = even(points, spacing=_SPACING_IN)
    ahead = np.diff(points, axis=0)
    turn = np.abs(np.diff(np.unwrap(np.arctan2(ahead[:, 1], ahead[:, 0])))).sum()
    curves = max(2, int(_SPACING_IN * len(points) / _CURVE_IN + turn / _CURVE_TURN))
    return curves_through(Outline.of("echo", points, min(curves, len(points) - 1), count=len(points)))


STYLE = Style(
    lean=Lean(0.0, 0.0),
    width=1.0,
    shortest=1.0,
    strips=lambda strips, needs: [],
    tip=lambda tail, needs: None,
    crook=lambda axis, width, needs: None,
    crook_radius=0.3,
    parting=lambda strips, needs: [],
    heart=lambda base, centre, needs: None,
    drop=lambda hole, needs: [],
    lines=echoes,
)
