"""Gaps: where a pocket is still open after its shapes have grown, a drop is hung into the largest circle left.

A drop hangs on what is nearest, spine or shape; where it would cross something, it hangs on the next. Inches.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import chain
from math import pi, sqrt

import numpy as np
import shapely
from shapely import Point as Place
from shapely.geometry.base import BaseGeometry

from planner.fills.growing.bent import Standing, bent_drops
from planner.fills.growing.contour import as_point
from planner.fills.growing.flow import HAIR_IN, BorderEdge
from planner.fills.growing.grown import Beside, Grown
from planner.fills.growing.holes import GRAIN_IN, Raster
from planner.fills.growing.middle import along_the_line, on_the_line, onto_the_line, towards
from planner.fills.growing.outline import Curves, Drawn, Outline, bare
from planner.fills.growing.standing import (
    A_CURVE,
    Fillings,
    Hole,
    circles_filled,
    crosses_nothing,
    depths,
    stitchable,
)
from planner.geometry.arrays import COARSE_CHORD_IN, DIGITS, Indices, Mask, Numbers, square
from planner.geometry.curves import Motion, mirror_at
from planner.geometry.nearby import Nearby
from planner.geometry.polylines import Polylines, even, moved

_HALVED = 0.32  # a hole on the mirror line is seen by half: as a circle of this share of its size
_ASTRAY_IN = 6e-3  # by so much more than the edge of the ground from itself a drop may stray from it
_MOST = 300  # drops a pocket: more would be a failed fill, not a gap
_SECTORS = 8  # a drop may hang on the nearest thing in any of so many directions
_ASKEW = 0.1  # radians by which those are turned: what lies straight ahead lies in one of them
_AROUND = np.array([(x, y) for y in (-1, 0, 1) for x in (-1, 0, 1)])
_FINE = 12  # points along each curve of a drop that is hung
_NO_ANCHOR = -1  # where no drop may hang
_HERE = -2  # nor on what stands on the line to the image and is stitched in the one of the two only ...
_THERE = -3  # ... or in the other: in each of them the place of its image is open
_TIP = -4  # less the number of what it is a tip of: where one hangs only if it must
_SLIVER_IN = (
    0.015  # by so much more of its radius a hole on the edge of the ground reaches out over it, at most
)
_STANDING = 2.0  # holes as large as the least that is filled: a shape at the line to the image is no wider
_AT_EDGE = 3.0  # a gap is near the edge of the border if it is so many radii of the least from there
_AT_LINE = 7.0  # and near the line to its image if it is so many
_ROOMY = 1.4  # and wide if its own radius is so many
_SLIM = 1.3  # radii it hangs off its middle at least, or it would be a ball
_FARTHEST = 3.0  # no drop hangs on what is farther from its middle than so many of its radii


def drops(
    grown: Grown, shapes: Drawn, have: Fillings, beside: Beside
) -> tuple[list[tuple[int, Outline]], list[Outline], list[Numbers]]:
    """A drop for every hole, each with the number of groups before it; shapes: the whole ones of the pocket.

    Then those that stand on the line in which it faces its image, which are stitched in one of the two only; and
    round holes in which nothing fits that may hang on the pocket's own (n, 2).
    """
    bent, least = have.bent, have.least
    q, contour, own = np.array([q for q, _ in grown.groups]), grown.contour, grown.own
    every = Drawn.joined((shapes, beside.shapes))
    verges = [verge for verge in beside.verges if verge is not None]
    spines = [contour.point, *(even(points, GRAIN_IN) for points in beside.spines)]
    grounds = [grown.domain, *map(_outline, verges), *beside.left]
    ground = _whole(grounds)
    inside = shapely.buffer(ground, _ASTRAY_IN)
    shapely.prepare(inside)
    raster = Raster(grounds, spines, every.rough, every.cloth.chosen(~every.open_))
    anchors = np.concatenate((contour.point[own], shapes.rough.points))
    place = np.searchsorted(q, contour.q[own], side="right")
    hosts = [_NO_ANCHOR if o.kind in bent.shuns else i + 1 for i, o in grown.whole]
    theirs = np.repeat(np.array(hosts, dtype=np.int64), shapes.rough.sizes)
    place = np.concatenate((place, np.where(_tips(shapes.rough, bent.foot), _TIP - theirs, theirs)))
    others = np.concatenate((*spines, beside.shapes.rough.points, *_edges(ground)))
    walls = Nearby(
        np.concatenate((anchors, others)), np.pad(place, (0, len(others)), constant_values=_NO_ANCHOR)
    )
    stitched = Polylines.joined((Polylines.of([*grown.spine, *beside.spines]), every.fine))
    tree = shapely.STRtree(stitched.linestrings())
    ways = grown.ways
    found: list[tuple[int, Outline]] = []
    between: list[Outline] = []
    left: list[Numbers] = []
    hung: list[shapely.Geometry] = []
    spine = np.concatenate(spines)
    coarse = max(least - GRAIN_IN, GRAIN_IN)  # the raster shows a hole no finer
    while len(found) < _MOST:
        centre, room = raster.widest()
        if room < coarse and grown.mirror is not None:
            raster.keep_beside(grown.mirror)
            centre, room = raster.widest()
        if room < (coarse if grown.mirror is None else _HALVED * least):
            break
        near, place = walls.within(centre, _FARTHEST * (room + GRAIN_IN))
        middle, radius = _centred(centre, room, near)
        seen = radius
        for gone in (_HERE, _THERE) if between else ():
            seen = max(seen, _centred(centre, room, near[place != gone])[1])
        if grown.mirror is not None and grown.mirror - middle[0] < 2 * radius:
            seen = max(seen, _seen(grown.mirror, middle, radius, near))
        if seen < least and (seen < least - _SLIVER_IN or ground.boundary.distance(Place(middle)) > seen):
            raster.leave(centre)
            continue
        centre = middle
        # Half a hair in front of the mirror line: the image keeps the other half.
        at_mirror = grown.mirror is not None and grown.mirror - centre[0] < radius + GRAIN_IN
        if grown.mirror is not None and at_mirror:
            standing = _standing(grown.mirror, centre, radius, near, place, have, tree, hung)
            if standing:
                whole, centres, radii = standing
                between += whole
                # What it fills on one side of the line and not on the other is open in the one or in the image.
                aside = np.abs(centres[:, 0] - grown.mirror)
                on_line = np.stack((np.full(len(centres), grown.mirror), centres[:, 1]), axis=1)
                raster.fill(on_line, np.maximum(radii - aside, GRAIN_IN))
                curves = Curves.of(bare(whole))
                hung += _hung(curves, beside.images)
                here = curves.rough()
                walls.add(here.points, _HERE)
                for motion in beside.images:
                    walls.add(moved(here.points, motion), _THERE)
                continue
        radius -= HAIR_IN / 2 if at_mirror else HAIR_IN
        low, hangs = _anchors(place)
        place = np.where(place <= _TIP, _TIP - place, place)
        out = centre - spine[int(np.argmin(square(spine - centre).round(DIGITS)))]
        there = _ways(grown, centre, least, ways[np.maximum(place, 0)])
        farthest = np.inf if grown.mirror is None else grown.mirror - HAIR_IN / 4
        tried = _tried(centre, radius, near, low, hangs, out / np.hypot(*out), there, have, inside)
        stands = next(
            (
                one
                for one in tried
                if _on_cloth(one[1], grown.edges, inside)
                and crosses_nothing(
                    fine := (curves := Curves.of(bare(one[1]))).points(A_CURVE),
                    tree,
                    hung,
                    beside.images,
                    farthest,
                )
                and stitchable(one[1], fine, 2 * have.thin)
            ),
            None,
        )
        if not stands:
            raster.fill(centre[None], np.array([max(radius, GRAIN_IN)]))
            left.append(shapely.get_coordinates(Place(centre).buffer(radius)))
            continue
        k, whole, centres, radii = stands
        after = int(place[k])
        found += [(after, one) for one in whole]
        hung += _hung(curves, beside.images)
        here = curves.rough()
        if bent.lopsided:
            for points in here.each():
                raster.cover(points)
        else:
            raster.fill(centres, np.maximum(radii, GRAIN_IN))
        host = np.array([_NO_ANCHOR if one.kind in bent.shuns else after for one in bare(whole)])[here.owner]
        walls.add(here.points, np.where(_tips(here, bent.foot) & (host >= 0), _TIP - host, host))
        for motion in beside.images:
            walls.add(moved(here.points, motion), _NO_ANCHOR)
    return found, between, left


def _on_cloth(whole: Sequence[Outline], edges: Sequence[BorderEdge], inside: BaseGeometry) -> bool:
    """Whether shapes lie nowhere beyond an edge of the border, but where the ground goes on round its corner."""
    points = np.concatenate([one.points for one in whole])
    beyond = (
        np.any([edge.off(points) < 0 for edge in edges], axis=0)
        if edges
        else np.zeros(len(points), dtype=bool)
    )
    return not beyond.any() or bool(shapely.covers(inside, shapely.points(points[beyond])).all())


def _hung(curves: Curves, images: Sequence[Motion]) -> Iterator[shapely.Geometry]:
    """A drop and its images as lines so fine that what stands on a narrow tip is seen to cross its other side."""
    fine = curves.points(_FINE)
    return chain.from_iterable(lines.linestrings() for lines in (fine, *map(fine.moved, images)))


def _ways(grown: Grown, centre: Numbers, least: float, ways: Numbers) -> Numbers:
    """Which way a drop should grow by what it hangs on (n, 2): near the border's edge towards it, else as that.

    Beside the line to its image, where all flows meet, any way (nought).
    """
    if grown.mirror is not None and grown.mirror - centre[0] < _AT_LINE * least:
        return np.zeros_like(ways)
    for off, way in (edge.towards(centre) for edge in grown.edges):
        if off < _AT_EDGE * least:
            return np.broadcast_to(way, ways.shape)
    return ways


def _tried(
    centre: Numbers,
    radius: float,
    near: Numbers,
    low: Indices,
    hangs: Indices,
    out: Numbers,
    ways: Numbers,
    have: Fillings,
    inside: BaseGeometry,
) -> Iterator[tuple[int, *Standing]]:
    """What may fill a gap, in turn, each with the number of the point it hangs on.

    First what hangs on no tip; in a wide gap, or where all flows meet, whatever goes along it.
    """

    def hung(
        on: Indices, what: Callable[[Hole], Sequence[Sequence[Outline]]]
    ) -> Iterator[tuple[int, *Standing]]:
        for k in on[list(_nearest(centre, near[on], _FARTHEST * radius))].tolist():
            for whole in what(Hole(as_point(centre), radius, as_point(near[k]))):
                yield k, whole, *circles_filled(whole, centre)

    either = (low, hangs) if len(low) < len(hangs) else (hangs,)
    roomy = radius > _ROOMY * have.least or not ways.any()
    for on in either:
        for k, drop, axis, half in bent_drops(centre, near, on, out, ways, have.thin, have.bent):
            if shapely.covers(inside, shapely.LineString(drop.points)):
                yield k, *have.bent.standing(drop, axis, half, have.thin)
        if not roomy:
            yield from hung(on, have.sprigs)
    if roomy:
        yield from hung(hangs, have.sprigs)
    yield from hung(hangs, have.drop)


def _standing(
    mirror: float,
    centre: Numbers,
    radius: float,
    near: Numbers,
    place: Indices,
    have: Fillings,
    tree: shapely.STRtree,
    hung: Sequence[shapely.Geometry],
) -> Standing | None:
    """What stands on the line in which a pocket faces its image, and fills the gap on both sides, if anything fits.

    A leaf along the line; or what stands in the fill's crooks, or a drop, on what is nearest to the line.
    """
    mine = near[:, 0] < mirror - HAIR_IN / 8  # without the line itself
    own, place = near[mine], place[mine]
    middle, free = on_the_line(mirror, centre, radius, own)
    low, hangs = _anchors(place)
    # Else what it leaves open on one side its image would leave open on the other.
    even = not have.bent.lopsided

    def fits(whole: Sequence[Outline]) -> bool:
        fine = Curves.of(bare(whole)).points(A_CURVE)
        if not stitchable(whole, fine, 2 * have.thin):
            return False
        both = Polylines.joined((fine, fine.moved(mirror_at(mirror))))
        return crosses_nothing(both, tree, hung, (), np.inf)

    radius = min(free, _STANDING * have.least) - HAIR_IN

    def along() -> Iterator[Standing]:
        for _, drop, axis, half in along_the_line(mirror, middle, own, hangs, have.thin, have.bent):
            yield have.bent.standing(drop, axis, half, have.thin)

    def wedged() -> Iterator[Standing]:
        for k in towards(middle, radius, own, hangs, _SLIM):
            axis = onto_the_line(own[k], middle)
            if whole := have.wedge(axis, radius * np.linspace(0, 1, len(axis))):
                yield whole, axis, depths(whole[0], axis)

    def hung_there() -> Iterator[Standing]:
        for k in chain(towards(middle, radius, own, low), towards(middle, radius, own, hangs)):
            hole = Hole(as_point(middle), radius, as_point(own[k]))
            for whole in (*(have.sprigs(hole) if even else ()), *have.drop(hole)):
                yield whole, *circles_filled(whole, middle)

    if not even:
        tried = wedged()
    elif have.bent.vein:
        tried = chain(along(), wedged())
    else:
        tried = chain(wedged(), along())
    return next((one for one in chain(tried, hung_there()) if fits(one[0])), None)


def _anchors(place: Indices) -> tuple[Indices, Indices]:
    """Points on which a drop may hang: all that are no tips, and those with the tips."""
    low = place >= 0
    return np.flatnonzero(low), np.flatnonzero(low | (place <= _TIP))


def _tips(outlines: Polylines, foot: float) -> Mask:
    """Which points of some outlines lie farther than a share of them from both their ends."""
    whole, first = outlines.sizes[outlines.owner], outlines.first[outlines.owner]
    share = (np.arange(len(outlines.points)) - first) / whole
    return np.asarray(np.abs(share - 0.5) < 0.5 - foot)


def _whole(grounds: Sequence[Numbers]) -> BaseGeometry:
    """Several grounds taken together."""
    polygons = [shapely.Polygon(ground) for ground in grounds]
    valid = shapely.make_valid(shapely.simplify(polygons, COARSE_CHORD_IN, preserve_topology=False))
    wider = shapely.union_all(shapely.buffer(valid, GRAIN_IN / 2, quad_segs=2))
    return shapely.buffer(wider, -GRAIN_IN / 2, quad_segs=2)


def _edges(ground: BaseGeometry) -> list[Numbers]:
    """Points along the edges of a ground, (n, 2) each."""
    rings = shapely.get_parts(ground.boundary)
    return [even(shapely.get_coordinates(ring), GRAIN_IN) for ring in rings]


def _outline(verge: Numbers) -> Numbers:
    """The outline of a strip of flow lines (lines, levels, 2)."""
    return np.concatenate((verge[0], verge[1:, -1], verge[-1, -2::-1], verge[-2:0:-1, 0]))


def _centred(centre: Numbers, room: float, walls: Numbers) -> tuple[Numbers, float]:
    """The centre moved within its cell of the raster to where the largest circle fits, and its radius."""
    far = np.abs(walls - centre) < room + 4 * GRAIN_IN
    near = walls[far[:, 0] & far[:, 1]]
    if not len(near):
        return centre, room
    for step in (GRAIN_IN / 2, GRAIN_IN / 4):
        tried = centre + step * _AROUND
        free = square(near - tried[:, None]).min(axis=1).round(DIGITS)
        centre = tried[int(np.argmax(free))]
    return centre, sqrt(free.max())


def _seen(mirror: float, centre: Numbers, room: float, walls: Numbers) -> float:
    """The radius of the hole on the mirror line of which a hole beside it is a half."""
    y = centre[1] + room * np.linspace(-1, 1, 9)
    own = walls[walls[:, 0] < mirror - HAIR_IN]
    free = square(own - np.stack((np.full(9, mirror), y), axis=1)[:, None])
    return sqrt(free.min(axis=1, initial=np.inf).max())


def _nearest(centre: Numbers, anchors: Numbers, farthest: float) -> Iterator[int]:
    """The nearest anchor in every direction, nearest first."""
    away = square(anchors - centre)
    near = np.flatnonzero(away < farthest**2)
    near = near[np.argsort(away[near].round(DIGITS), kind="stable")]
    x, y = (anchors[near] - centre).T
    seen = set()
    for k, sector in zip(
        near.tolist(), ((np.arctan2(y, x) + _ASKEW) // (2 * pi / _SECTORS) % _SECTORS).tolist(), strict=True
    ):
        if sector not in seen:
            seen.add(sector)
            yield k
