"""What stands in a gap: shapes of a fill, a drop among them; and whether they cross nothing there. Inches."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from math import acos, atan2, hypot, inf, pi, sqrt

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.fills.growing.bent import Bent
from planner.fills.growing.outline import OPEN, Curves, Outline, crosses_host, drawn, thinner
from planner.geometry.arrays import SAME_IN, Mask, Numbers, square
from planner.geometry.curves import Motion, Point
from planner.geometry.polylines import Polylines

_BEAK_IN = 0.015  # so far from where it hangs, a drop is clear of everything
_OFF_IN = 0.004  # by so much
_POINT_IN = 2e-3  # and so far from there
_POINT_OFF_IN = 3e-4  # by this: it stands off at a tenth of a radian or more
_OFF = np.array([_OFF_IN, _POINT_OFF_IN, _POINT_OFF_IN])
A_CURVE = 40  # points along each curve of a drop, where it is asked whether it crosses anything
_SKIPPED = 5  # every so many of these are enough where it is asked how broad it is
ROUNDEST = 0.84  # radius of a drop, at most this share of the way to its base: or it would have no point
_POINTS = 121  # along a drop
_ROUND = 4  # curves round its head


@dataclass(frozen=True, slots=True)
class Hole:
    """A circle that fits into a gap, and the point of a shape or of the spine on which what fills it hangs."""

    centre: Point
    radius: float
    nearest: Point


@dataclass(frozen=True, slots=True)
class Fillings:
    """What a fill has for gaps of a radius of at least ``least``.

    bent: along one; sprigs, drop: for a hole, tried in turn, each as shapes that stay or go together; wedge: its
    shape about an axis (n, 2) of half widths (n,); thin: half the smallest feature.
    """

    bent: Bent
    sprigs: Callable[[Hole], Sequence[Sequence[Outline]]]
    drop: Callable[[Hole], Sequence[Sequence[Outline]]]
    wedge: Callable[[Numbers, Numbers], Sequence[Outline]]
    least: float
    thin: float


@dataclass(frozen=True, slots=True)
class Among:
    """Among what a shape stands: all that it may cross nothing of, with its own images, and the ground it lies on.

    farthest: x that it must not reach, where it would meet its mirror image.
    """

    tree: shapely.STRtree
    inside: BaseGeometry
    hung: Sequence[shapely.Geometry] = ()
    images: Sequence[Motion] = ()
    farthest: float = inf


def circles_filled(whole: Sequence[Outline], middle: Numbers) -> tuple[Numbers, Numbers]:
    """Circles that shapes fill, centres (n, 2) and radii (n,): about a place, or where each has its own middle."""
    bodies = [one for one in whole if not one.within and one.kind != "stem"]
    lines = drawn(bodies).each()
    if bodies[0].kind in OPEN:
        return lines[0], np.zeros(len(lines[0]))
    if len(bodies) == 1:
        return middle[None], np.hypot(*(lines[0] - middle).T).min(keepdims=True)
    centres = np.array([one.points.mean(axis=0) for one in bodies])
    return centres, np.concatenate([depths(line, at[None]) for line, at in zip(lines, centres, strict=True)])


def stitchable(curves: Curves, within: Mask, bare: Polylines, smallest: float) -> bool:
    """Whether no shape is too thin or crosses that in which it is nested: see ``crosses_host``."""
    if thinner(bare.every(_SKIPPED), smallest).any():
        return False
    return not (within.any() and crosses_host(curves, within, bare).any())


def depths(line: Numbers, places: Numbers) -> Numbers:
    """How far each of some places (n, 2) is from an outline (m, 2), shape (n,); nought for those outside it."""
    far = np.hypot(*(line - places[:, None]).transpose(2, 0, 1)).min(axis=1)
    return np.where(shapely.contains_xy(shapely.Polygon(line), *places.T), far, 0.0)


def crosses_nothing(shapes: Polylines, among: Among) -> bool:
    """Whether shapes cross nothing, nor other drops or their own images, and but for their points are near none.

    Nor does anything lie within one: the end of the spine it hangs on may run in by its point, crossing no side.
    """
    if shapes.points[:, 0].max() > among.farthest:
        return False
    lines = Polylines.of(chain.from_iterable(map(_body_and_beaks, shapes.each())))
    parts = lines.linestrings()
    shapely.prepare(parts)
    if among.tree.query(parts, predicate="dwithin", distance=np.tile(_OFF, len(shapes.sizes))).size:
        return False
    images = (shapes.moved(motion).linestrings() for motion in among.images)
    others = np.array([*among.hung, *chain.from_iterable(images)], dtype=object)
    parts = parts.reshape(-1, len(_OFF), 1)
    if any(shapely.dwithin(parts[:, n], others, off).any() for n, off in enumerate(_OFF.tolist())):
        return False
    bodies = np.zeros(len(lines.sizes), dtype=bool)
    bodies[:: len(_OFF)] = square(shapes.points[shapes.first] - shapes.points[shapes.last]) < SAME_IN**2
    cloth = lines.chosen(bodies).polygons()
    return not (
        among.tree.query(cloth, predicate="intersects").size
        or shapely.intersects(cloth[:, None], others).any()
    )


def _body_and_beaks(points: Numbers) -> Iterator[Numbers]:
    """A shape (n, 2) without its point, and both sides of that, begun a little off it."""
    away = square(points - points[0])
    body, off = np.flatnonzero(away > _BEAK_IN**2), away > _POINT_IN**2
    first, last = int(body[0]), int(body[-1])
    yield points[first : last + 1]
    for side in (points[: first + 1][off[: first + 1]], points[last:][off[last:]][::-1]):
        way = side[0] - points[0]
        yield np.concatenate((points[:1] + _POINT_IN * way / np.hypot(*way), side))


def drop(base: Point, centre: Point, radius: float, kind: str) -> Outline:
    """A drop from its base: two tangents to a circle and the way round it between them."""
    x, y = base[0] - centre[0], base[1] - centre[1]
    away = hypot(x, y)
    radius = min(radius, ROUNDEST * away)
    side, off = sqrt(away**2 - radius**2), acos(radius / away)
    round_ = radius * 2 * (pi - off)
    way = np.linspace(-side, round_ + side, _POINTS)
    on = np.clip(way, 0, round_)
    angle = atan2(y, x) + off + on / radius
    out, ahead = np.stack((np.cos(angle), np.sin(angle))), np.stack((-np.sin(angle), np.cos(angle)))
    points = np.array(centre) + (radius * out + (way - on) * ahead).T
    nodes = (side + np.linspace(0, round_, _ROUND + 1)) / (2 * side + round_) * (_POINTS - 1)
    return Outline(kind, points, np.array([0, *nodes.round().astype(int), _POINTS - 1]))
