"""The frame of a pocket of echo lines: from the spine to the edge of the border, along it, and back. Inches.

It stands half a step inside the pocket, so that the frames of two pockets stand one step apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.fills.growing.contour import Contour, as_point, points_along
from planner.fills.growing.grow import Ground
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Arc, Line, Point

SPACING_IN = 0.02  # of points along a line
_CHORD_IN = 5e-6  # how far the spine's polylines stray from it
_FAR_IN = 60.0  # farther than any pocket reaches
_SLIVER_SQ_IN = 1e-3  # areas so small are left out

Lines = tuple[Line, ...]


def framed(contour: Contour, ground: Ground, step: float) -> tuple[list[Lines], BaseGeometry, list[Lines]]:
    """A pocket's frame, in parts that begin on the spine, and the area inside; without edges there is none.

    And where its sides meet before the corner of the seam, the line from there into that corner.
    """
    begin, end = contour.q_at(*ground.begin), contour.q_at(*ground.end)
    if not ground.edges:
        return [], shapely.Polygon(_bare(contour, begin, end)), []
    foot_a, head_a, begin = _gate(contour, ground, begin, step / 2)
    foot_z, head_z, end = _gate(contour, ground, end, -step / 2)
    rim = [p for p in reversed(ground.rim) if _left_of(p, foot_z, head_z) and not _left_of(p, foot_a, head_a)]
    heads = [head_a, *(np.array(p) for p in rim), head_z]
    met = shapely.LineString((foot_a, head_a)).intersection(shapely.LineString((foot_z, head_z)))
    miter: list[Lines] = []
    if not met.is_empty:
        heads = [np.array(met.coords[0])]
        miter = [(Line(as_point(heads[0]), p),) for p in ground.rim]
    corners = [foot_a, *heads, foot_z]
    ring = np.array([*_bare(contour, begin, end), *corners[::-1]])
    area = shapely.make_valid(shapely.Polygon(ring))
    wall = _wall(ground, step)
    curl: BaseGeometry = shapely.Polygon()
    if wall is not None:
        # A curl nearer to the wall than half a step keeps all its inside.
        curl = _curl(ground, wall)
        area = _without_slivers(area.intersection(shapely.box(-_FAR_IN, -_FAR_IN, wall, _FAR_IN).union(curl)))
        corners = [np.array((min(x, wall), y)) for x, y in corners]
    spines = spines_of(contour, ground)
    frame: list[Lines] = []
    for a, b in pairwise(corners):
        for line in _parts(a, b, spines, area.difference(curl)):
            joined = frame and np.hypot(*np.subtract(frame[-1][-1].end, line.start)) < 1e-6
            frame = [*frame[:-1], (*frame[-1], line)] if joined else [*frame, (line,)]
    return frame, area, miter


def _without_slivers(geometry: BaseGeometry) -> BaseGeometry:
    """A geometry without its points, lines and slivers."""
    return shapely.union_all([part for part in shapely.get_parts(geometry) if part.area > _SLIVER_SQ_IN])


def _left_of(point: Point, foot: Numbers, head: Numbers) -> bool:
    """Whether a point lies on the left of a line, with h pointing up."""
    (x, y), (u, v) = head - foot, np.array(point) - foot
    return bool(x * v - y * u > 0)


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


def _curl(ground: Ground, wall: float) -> BaseGeometry:
    """The circles round the tails of a pocket that stand before its wall."""
    tails = [s.curve for s in ground.flank if s.label == "tail" and isinstance(s.curve, Arc)]
    return shapely.union_all(
        [shapely.Point(c.centre).buffer(c.radius, quad_segs=64) for c in tails if c.centre[0] < wall]
    )


def _bare(contour: Contour, begin: float, end: float) -> Numbers:
    """The spine along a pocket without its tail. Shape (n, 2)."""
    q = np.linspace(begin, end, int((end - begin) / SPACING_IN))
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


def spines_of(contour: Contour, ground: Ground) -> list[shapely.LineString]:
    """All spine that the pocket faces: its own, and its image in the middle."""
    once = (s for s in contour.stretches if s.label != "tip" and not (s.label == "tail" and s.flow < 0))
    points = [points_along(s.curve, _CHORD_IN) for s in once]
    if ground.mirror is not None:
        points += [p * (-1.0, 1.0) + (2 * ground.mirror, 0.0) for p in points]
    return [shapely.LineString(p) for p in points]
