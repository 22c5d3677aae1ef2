"""Gaps: where a pocket is still open after its shapes have grown, a drop is hung into the largest circle left.

A drop hangs on what is nearest, spine or shape; where it would cross something, it hangs on the next. Inches.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import hypot, pi

import numpy as np
import shapely

from planner.curves import Point
from planner.fills.contour import Contour, Numbers, as_point, points_along
from planner.fills.flow import HAIR_IN
from planner.fills.holes import GRAIN_IN, Raster
from planner.fills.outline import Outline, even
from planner.fills.settle import between_ends

_CHORD_IN = 1e-4  # how far polylines stray from the spine
_BEAK_IN = 0.015  # so far from where it hangs, a drop is clear of everything
_OFF_IN = 0.004  # by so much
_FINE = 24  # points a curve where a drop may cross one
_POINT_IN = 1e-3  # and so far from there, it at least crosses nothing
_ROUNDEST = 0.84  # radius of a drop, at most this share of the way to its base: or it would have no point
_HALVED = 0.62  # a hole on the mirror line is seen by half: as a circle of this share of its size
_MOST = 60  # drops a pocket: more would be a failed fill, not a gap
_SECTORS = 8  # a drop may hang on the nearest thing in any of so many directions
_FARTHEST = 3.0  # no drop hangs on what is farther from its middle than so many of its radii


@dataclass(frozen=True, slots=True)
class Hole:
    """A circle that fits into a gap, and the point of a shape or of the spine on which a drop in it hangs."""

    centre: Point
    radius: float
    nearest: Point


@dataclass(frozen=True, slots=True)
class Grown:
    """A pocket's shapes as they grew: groups that stay or go together, each with the q of its base.

    domain: the outline of the ground that may be filled (n, 2); begin, end: q of the spine that is its own;
    mirror: x of the line in which the pocket faces its own image, if it does.
    """

    groups: tuple[tuple[float, tuple[Outline, ...]], ...]
    contour: Contour
    domain: Numbers
    begin: float
    end: float
    mirror: float | None


def drops(grown: Grown, hang: Callable[[Hole], list[Outline]], least: float) -> list[tuple[int, Outline]]:
    """A drop for every hole of a radius of at least ``least``, each with the number of groups before it."""
    q, contour = np.array([q for q, _ in grown.groups]), grown.contour
    whole = [(i, o) for i, (_, group) in enumerate(grown.groups) for o in group if not o.within]
    bodies = [o.drawn for _, o in whole]
    raster = Raster(grown.domain, contour.point, bodies, [o.kind == "stem" for _, o in whole])
    own = (contour.q > grown.begin) & (contour.q < grown.end)
    anchors = np.concatenate((contour.point[own], *bodies))
    place = np.searchsorted(q, contour.q[own], side="right")
    place = np.concatenate(
        (place, *(np.full(len(b), i + 1) for (i, _), b in zip(whole, bodies, strict=True)))
    )
    closed = np.concatenate((grown.domain, grown.domain[:1]))
    walls = np.concatenate((anchors, contour.point[~own], even(closed, GRAIN_IN)))
    spine = [points_along(s.curve, _CHORD_IN) for s in contour.stretches if s.label != "tip"]
    fine = [o.along(_FINE) for _, o in whole]
    tree = shapely.STRtree([shapely.LineString(points) for points in (*spine, *fine)])
    found: list[tuple[int, Outline]] = []
    hung: list[shapely.Geometry] = []
    for _ in range(_MOST):
        centre, room = raster.widest()
        if room < _HALVED * least:
            break
        if room < least and (grown.mirror is None or grown.mirror - centre[0] > 2 * room):
            raster.fill(centre, GRAIN_IN)
            continue
        centre, radius = _centred(centre, room, walls)
        radius -= HAIR_IN
        for k in _nearest(centre, anchors, _FARTHEST * radius):
            for drop in hang(Hole(as_point(centre), radius, as_point(anchors[k]))):
                points = drop.drawn
                line = shapely.LineString(between_ends(points, _BEAK_IN))
                near = tree.query(line, predicate="dwithin", distance=_OFF_IN)
                point = shapely.LineString(between_ends(points, _POINT_IN))
                near = np.concatenate((near, tree.query(point, predicate="intersects")))
                if len(near) or any(line.dwithin(other, _OFF_IN) for other in hung):
                    continue
                found.append((int(place[k]), drop))
                hung.append(shapely.LineString(points))
                anchors, walls = np.concatenate((anchors, points)), np.concatenate((walls, points))
                place = np.concatenate((place, np.full(len(points), place[k])))
                break
            else:
                continue
            break
        raster.fill(centre, max(radius, GRAIN_IN))
    return found


def _centred(centre: Numbers, room: float, walls: Numbers) -> tuple[Numbers, float]:
    """The centre moved within its cell of the raster to where the largest circle fits, and its radius."""
    near = walls[np.abs(walls - centre).max(axis=1) < room + 4 * GRAIN_IN]
    if not len(near):
        return centre, room
    for step in (GRAIN_IN / 2, GRAIN_IN / 4):
        moves = step * np.stack(np.meshgrid((-1, 0, 1), (-1, 0, 1)), axis=-1).reshape(-1, 2)
        tried = centre + moves
        free = np.hypot(*(near[None] - tried[:, None]).transpose(2, 0, 1)).min(axis=1)
        centre = tried[int(np.argmax(free))]
    return centre, float(free.max())


def _nearest(centre: Numbers, anchors: Numbers, farthest: float) -> Iterator[int]:
    """The nearest anchor in every direction, nearest first."""
    way = anchors - centre
    away = np.hypot(*way.T)
    near = np.flatnonzero(away < farthest)
    near = near[np.argsort(away[near], kind="stable")]
    sector = (np.arctan2(way[near, 1], way[near, 0]) // (2 * pi / _SECTORS)).astype(int)
    _, first = np.unique(sector, return_index=True)
    for k in np.sort(first).tolist():
        yield int(near[k])


def drop(base: Point, centre: Point, radius: float, kind: str) -> Outline:
    """A drop from its base: two tangents to a circle and the way round it between them."""
    x, y = base[0] - centre[0], base[1] - centre[1]
    away = hypot(x, y)
    radius = min(radius, _ROUNDEST * away)
    off = np.arccos(radius / away)
    angle = np.arctan2(y, x) + np.linspace(off, 2 * pi - off, 60)
    ring = np.array(centre) + radius * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    return Outline.of(kind, np.concatenate(((base,), ring, (base,))), 7)
