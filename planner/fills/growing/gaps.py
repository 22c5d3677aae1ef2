"""Gaps: where a pocket is still open after its shapes have grown, a drop is hung into the largest circle left.

A drop hangs on what is nearest, spine or shape; where it would cross something, it hangs on the next. Inches.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import chain

import numpy as np
import shapely
from shapely import Point as Place
from shapely.geometry.base import BaseGeometry

from planner.fills.growing.flow import HAIR_IN, BorderEdge
from planner.fills.growing.grown import Beside, Grown, Halves
from planner.fills.growing.holes import GRAIN_IN, Raster
from planner.fills.growing.largest_circle import ROUND_IN, centred, seen_on_the_line, widest
from planner.fills.growing.outline import Curves, Drawn, Outline, nested
from planner.fills.growing.standing import (
    A_CURVE,
    Among,
    Fillings,
    crosses_nothing,
    stitchable,
)
from planner.fills.growing.tries import FARTHEST, NO_ANCHOR, TIP, Gap, on_the_mirror, tried, ways_at
from planner.geometry.arrays import COARSE_CHORD_IN, DIGITS, Indices, Mask, Numbers, square
from planner.geometry.curves import Motion, mirror_at
from planner.geometry.nearby import Nearby
from planner.geometry.polylines import Polylines, even, moved

_HALVED = 0.32  # a hole on the mirror line is seen by half: as a circle of this share of its size
_ASTRAY_IN = 3e-3  # by so much more than the edge of the ground from itself a drop may stray from it
_MOST = 300  # drops a pocket: more would be a failed fill, not a gap
_FINE = 12  # points along each curve of a drop that is hung
_HERE = (
    -2
)  # nor on what is stitched in one only of the pocket and its image: where it stands in the pocket ...
_THERE = -3  # ... and where in the image: in each of them the place in the other is open
# Less the number of a shape of another pocket, which lies beside some of the copies only:
_SOMETIMES = -1_000_000
_SLIVER_IN = (
    0.015  # by so much more of its radius a hole on the edge of the ground reaches out over it, at most
)


def drops(
    grown: Grown, shapes: Drawn, have: Fillings, beside: Beside
) -> tuple[list[tuple[int, Outline]], Halves, list[Numbers]]:
    """A drop for every hole, each with the number of groups before it; shapes: the whole ones of the pocket.

    Then those that are stitched in one only of the pocket and its image: in the pocket what stands on the line in
    which they face each other, and in either what fills a gap that this leaves open there. And round holes in which
    nothing fits that may hang on the pocket's own (n, 2).
    """
    gaps = _Gaps(grown, shapes, have, beside)
    gaps.fill()
    return gaps.found, gaps.halves, gaps.left


class _Gaps:
    """A pocket while its gaps are filled.

    kinds: how many shapes it has of each; hung: what hangs in the pocket and in its image; alone: what stands in
    the one of them only, and in the other.
    """

    def __init__(self, grown: Grown, shapes: Drawn, have: Fillings, beside: Beside) -> None:
        self.grown, self.have, self.beside = grown, have, beside
        self.found: list[tuple[int, Outline]] = []
        self.kinds = Counter(outline.kind for _, outline in grown.whole)
        self.halves: Halves = ([], [])
        self.left: list[Numbers] = []
        self.hung: list[shapely.Geometry] = []
        self.alone: tuple[list[shapely.Geometry], list[shapely.Geometry]] = ([], [])
        verges = [verge for verge in beside.verges if verge is not None]
        spines = [grown.contour.point, *(even(points, GRAIN_IN) for points in beside.spines)]
        grounds = [grown.domain, *map(_outline, verges), *beside.left]
        self.spine = np.concatenate(spines)
        self.ground = _whole(grounds)
        self.inside = shapely.buffer(self.ground, _ASTRAY_IN)
        shapely.prepare(self.inside)
        self.raster = _raster(grounds, spines, shapes, beside)
        self.walls = self._walls(shapes)
        self.fixed = Polylines.joined((Polylines.of([*grown.spine, *beside.spines]), shapes.fine))
        self.tree = shapely.STRtree(Polylines.joined((self.fixed, beside.shapes.fine)).linestrings())
        self.halved: dict[bool, tuple[shapely.STRtree, BaseGeometry]] = {}
        self.ways = grown.ways

    def _walls(self, shapes: Drawn) -> Nearby:
        """All that is stitched, and the edges of the ground: of each point on which group it is, if any."""
        grown, bent, others = self.grown, self.have.bent, self.beside.shapes.rough
        own, q = grown.own, np.array([q for q, _ in grown.groups])
        hosts = [NO_ANCHOR if o.kind in bent.shuns else i + 1 for i, o in grown.whole]
        theirs = np.repeat(np.array(hosts, dtype=np.int64), shapes.rough.sizes)
        place = np.where(_tips(shapes.rough, bent.foot), TIP - theirs, theirs)
        always = np.logical_and.reduce([shown for shown, _ in self.beside.settings])
        beside = np.where(always, NO_ANCHOR, _SOMETIMES - np.arange(len(always)))
        bare = np.concatenate((self.spine, *_edges(self.ground)))
        return Nearby(
            np.concatenate((grown.contour.point[own], shapes.rough.points, others.points, bare)),
            np.concatenate(
                (
                    np.searchsorted(q, grown.contour.q[own], side="right"),
                    place,
                    np.repeat(beside, others.sizes),
                    np.full(len(bare), NO_ANCHOR),
                )
            ),
        )

    def fill(self) -> None:
        """Fill one hole after another, the widest first."""
        mirror, least = self.grown.mirror, self.have.least
        coarse = max(least - GRAIN_IN, GRAIN_IN)  # the raster shows a hole no finer
        while len(self.found) + sum(map(len, self.halves)) < _MOST:
            centre, room = self.raster.widest()
            if room < coarse and mirror is not None:
                self.raster.keep_beside(mirror)
                centre, room = self.raster.widest()
            if room < (coarse if mirror is None else _HALVED * least):
                break
            middle, radius, seen = self._measured(centre, room)
            if seen < least and (
                seen < least - _SLIVER_IN or self.ground.boundary.distance(Place(middle)) > seen
            ):
                self.raster.leave(centre)
                continue
            near, place = self.walls.within(centre, FARTHEST * (room + GRAIN_IN))
            # Half a hair in front of the mirror line: the image keeps the other half.
            at_mirror = mirror is not None and mirror - middle[0] < radius + GRAIN_IN
            every = np.where(place <= _SOMETIMES, NO_ANCHOR, place)
            if mirror is not None and at_mirror and self._on_the_line(mirror, middle, radius, near, every):
                continue
            if mirror is not None and radius < least and self._in_one(mirror, centre, room, near, place):
                continue
            off = HAIR_IN / 2 if at_mirror else HAIR_IN
            self._in_both(middle, radius - off, near, every, room)

    def _measured(self, centre: Numbers, room: float) -> tuple[Numbers, float, float]:
        """The middle and the radius of a gap, and how wide it seems beside the copy where it seems widest.

        Of a gap that is wide enough anyway nothing more is asked.
        """
        mirror = self.grown.mirror
        near, place = self.walls.within(centre, room + ROUND_IN)
        middle, radius = centred(centre, room, near)
        seen = radius
        if radius < self.have.least:
            others = self._settings(near, place, middle, radius)
            seen = max([radius, *(centred(centre, room, walls)[1] for walls in others)])
            if mirror is not None and mirror - middle[0] < 2 * radius:
                near, _ = self.walls.within(middle, FARTHEST * radius)
                seen = max(seen, seen_on_the_line(mirror, middle, radius, near))
        return middle, radius, seen

    def _settings(self, near: Numbers, place: Indices, middle: Numbers, radius: float) -> Iterator[Numbers]:
        """What bounds a gap beside each copy of the pocket in which there is less of it than beside all of them."""
        for shown, half in self.beside.settings:
            stands = _standing_there(place, shown, half)
            if not stands.all() and square(near[~stands] - middle).min() < (radius + GRAIN_IN) ** 2:
                yield near[stands]

    def _on_the_line(
        self, mirror: float, centre: Numbers, radius: float, near: Numbers, place: Indices
    ) -> bool:
        """Fill a gap with what stands on the line in which the pocket faces its image, if anything fits."""
        everything = [*self.hung, *self.alone[0], *self.alone[1]]
        gap = Gap(centre, radius, near, place, self._out(centre))
        standing = on_the_mirror(mirror, gap, self.have, Among(self.tree, self.inside, everything))
        if not standing:
            return False
        whole, filled = standing
        centres, radii = filled()
        # What it fills on one side of the line and not on the other is open in the one or in the image.
        aside = np.abs(centres[:, 0] - mirror)
        on_line = np.stack((np.full(len(centres), mirror), centres[:, 1]), axis=1)
        self.raster.fill(on_line, np.maximum(radii - aside, GRAIN_IN))
        self._stand_alone(False, whole)
        return True

    def _in_one(self, mirror: float, centre: Numbers, room: float, near: Numbers, place: Indices) -> bool:
        """Fill a gap that is open in one only of the pocket and its image, if anything fits."""
        image = moved(self.grown.contour.point, mirror_at(mirror))
        image = image[(np.abs(image - centre) < FARTHEST * (room + GRAIN_IN)).all(axis=1)]
        line = (place == NO_ANCHOR) & (np.abs(near[:, 0] - mirror) < HAIR_IN / 8)
        every = np.where(place <= _SOMETIMES, NO_ANCHOR, place)
        for half in (False, True):
            shown = np.logical_or.reduce([shown for shown, which in self.beside.settings if which == half])
            stands = _standing_there(place, shown, half) & ~line
            walls = np.concatenate((near[stands], image))
            middle, radius = widest(centre, room, walls)
            if radius < self.have.least or any(_encloses(line, middle) for line in self.alone[half]):
                continue
            places = np.pad(every[stands], (0, len(image)), constant_values=NO_ANCHOR)
            gap = Gap(middle, radius - HAIR_IN, walls, places, self._out(middle))
            one = self._first(gap, self._half(mirror, half, shown))
            if one and shapely.covers(self.halved[half][1], one[4].rough().linestrings()).all():
                self._stand_alone(half, one[1])
                return True
        return False

    def _half(self, mirror: float, half: bool, shown: Mask) -> Among:
        """Among what something stands that is stitched in one only of the pocket and its image."""
        if half not in self.halved:
            motion = mirror_at(mirror)
            image = shapely.transform(self.ground, lambda points: moved(points, motion))
            inside: BaseGeometry = shapely.buffer(shapely.union_all([self.ground, image]), _ASTRAY_IN)
            shapely.prepare(inside)
            others = self.beside.shapes.fine.chosen(shown)
            fixed = Polylines.joined((self.fixed, self.fixed.moved(motion), others))
            self.halved[half] = shapely.STRtree(fixed.linestrings()), inside
        tree, inside = self.halved[half]
        return Among(tree, inside, [*self.hung, *self.alone[half]])

    def _in_both(self, centre: Numbers, radius: float, near: Numbers, place: Indices, room: float) -> None:
        """Fill a gap in the pocket and in its images; room: how wide it is beside the copy where it is widest."""
        bent, images = self.have.bent, self.beside.images
        farthest = np.inf if self.grown.mirror is None else self.grown.mirror - HAIR_IN / 4
        everything = [*self.hung, *self.alone[0], *self.alone[1]]
        gap = Gap(centre, radius, near, place, self._out(centre))
        one = self._first(gap, Among(self.tree, self.inside, everything, images, farthest))
        if not one:
            self.raster.fill(centre[None], np.array([max(radius, room / 2, GRAIN_IN)]))
            self.left.append(shapely.get_coordinates(Place(centre).buffer(radius)))
            return
        after, whole, centres, radii, curves = one
        self.found += [(after, outline) for outline in whole]
        self.kinds.update(one.kind for one in whole)
        self.hung += _hung(curves, images)
        here = curves.rough()
        if bent.lopsided:
            for points in here.each():
                self.raster.cover(points)
        else:
            self.raster.fill(centres, np.maximum(radii, GRAIN_IN))
        hosts = [NO_ANCHOR if one.kind in bent.shuns else after for one in whole if not one.within]
        host = np.array(hosts)[here.owner]
        tips = _tips(here, bent.foot) & (host >= 0)
        self.walls.add(here.points, np.where(tips, TIP - host, host))
        for motion in images:
            self.walls.add(moved(here.points, motion), NO_ANCHOR)

    def _first(
        self, gap: Gap, among: Among
    ) -> tuple[int, Sequence[Outline], Numbers, Numbers, Curves] | None:
        """The first of what may fill a gap that crosses nothing: after which group it comes."""
        place = np.where(gap.place <= TIP, TIP - gap.place, gap.place)
        ways = ways_at(self.grown, gap.centre, self.have.least, self.ways[np.maximum(place, 0)])
        berries = self.kinds["berry"] / max(self.kinds.total(), 1)
        for k, whole, filled in tried(gap, ways, self.have, among.inside, berries=berries):
            if _on_cloth(whole, self.grown.edges, among.inside):
                every, within = Curves.of(whole), nested(whole)
                curves = every.chosen(~within)
                lines = curves.points(A_CURVE)
                if crosses_nothing(lines, among) and stitchable(every, within, lines, 2 * self.have.thin):
                    return int(place[k]), whole, *filled(), curves
        return None

    def _out(self, centre: Numbers) -> Numbers:
        """The way from the spine to a gap, an inch long."""
        out = centre - self.spine[int(np.argmin(square(self.spine - centre).round(DIGITS)))]
        return np.asarray(out / np.hypot(*out))

    def _stand_alone(self, half: bool, whole: Sequence[Outline]) -> None:
        """Stitch shapes in one only of the pocket and its image."""
        here, there = (_HERE, _THERE) if not half else (_THERE, _HERE)
        self.halves[half].extend(whole)
        curves, images = Curves.of(whole).chosen(~nested(whole)), self.beside.images
        self.alone[half].extend(_hung(curves, ()))
        for motion in images:
            self.alone[1 - half].extend(curves.points(_FINE).moved(motion).linestrings())
        points = curves.rough().points
        self.walls.add(points, here)
        for motion in images:
            self.walls.add(moved(points, motion), there)


def _raster(grounds: Sequence[Numbers], spines: Sequence[Numbers], shapes: Drawn, beside: Beside) -> Raster:
    """What is open of a pocket, beside any of its copies."""
    settings = [shown for shown, _ in beside.settings]
    always = np.logical_and.reduce(settings)
    every = Drawn.joined((shapes, beside.shapes.chosen(always)))
    sometimes = [beside.shapes.chosen(shown & ~always) for shown in settings]
    return Raster(grounds, spines, every, sometimes)


def _standing_there(place: Indices, shown: Mask, half: bool) -> Mask:
    """Which points of these places stand beside a copy: what lies there, and what stands in that half only."""
    stands = place != (_HERE if half else _THERE)
    some = place <= _SOMETIMES
    stands[some] = shown[_SOMETIMES - place[some]]
    return np.asarray(stands)


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


def _encloses(line: shapely.Geometry, place: Numbers) -> bool:
    """Whether a place lies in what a line goes round."""
    return bool(shapely.contains_xy(shapely.Polygon(shapely.get_coordinates(line)), *place))


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
