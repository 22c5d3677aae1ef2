"""What is tried in a gap, in turn: bent drops, what the fill has for its crooks, and drops, on what is nearest.

A place says on which group of its pocket a point lies, or what else it is. Inches.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import chain
from math import pi

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.fills.growing.bent import Standing, bent_drops
from planner.fills.growing.contour import as_point
from planner.fills.growing.flow import HAIR_IN
from planner.fills.growing.grown import Grown
from planner.fills.growing.middle import along_the_line, on_the_line, onto_the_line, towards
from planner.fills.growing.outline import OPEN, Curves, Outline, drawn, nested
from planner.fills.growing.standing import (
    A_CURVE,
    Among,
    Fillings,
    Hole,
    circles_filled,
    crosses_nothing,
    depths,
    stitchable,
)
from planner.geometry.arrays import DIGITS, Indices, Numbers, square
from planner.geometry.curves import mirror_at
from planner.geometry.polylines import Polylines

_SECTORS = 8  # a drop may hang on the nearest thing in any of so many directions
_ASKEW = 0.1  # radians by which those are turned: what lies straight ahead lies in one of them
NO_ANCHOR = -1  # where no drop may hang
TIP = -4  # less the number of what it is a tip of: where one hangs only if it must
_STANDING = 2.0  # holes as large as the least that is filled: a shape at the line to the image is no wider
_MANY, _TOO_MANY = 0.06, 0.12  # of a pocket's shapes that are berries: so of all hardly one in ten is
_AT_EDGE = 3.0  # a gap is near the edge of the border if it is so many radii of the least from there
_AT_LINE = 7.0  # and near the line to its image if it is so many
_ROOMY = 1.4  # and wide if its own radius is so many
_SLIM = 1.3  # radii it hangs off its middle at least, or it would be a ball
FARTHEST = 3.0  # no drop hangs on what is farther from its middle than so many of its radii


@dataclass(frozen=True, slots=True)
class Gap:
    """The largest circle that fits into a gap, and what is round it.

    near: points on that (n, 2); place: what each of these lies on (n,); out: the way from the spine to the gap, an
    inch long.
    """

    centre: Numbers
    radius: float
    near: Numbers
    place: Indices
    out: Numbers


def tried(
    gap: Gap, ways: Numbers, have: Fillings, inside: BaseGeometry, *, berries: float
) -> Iterator[tuple[int, *Standing]]:
    """What may fill a gap, in turn, each with the number of the point it hangs on.

    First what hangs on no tip; in a wide gap, or where all flows meet, whatever goes along it. ways: which way what
    hangs on each point should grow, see ``ways_at``. berries: their share of what the pocket has; where there are
    many, leaves come first, where there are too many, sprigs last.
    """
    centre, radius, near = gap.centre, gap.radius, gap.near
    low, hangs = anchors_of(gap.place)

    def hung(
        on: Indices, what: Callable[[Hole], Sequence[Sequence[Outline]]]
    ) -> Iterator[tuple[int, *Standing]]:
        for k in on[list(_nearest(centre, near[on], FARTHEST * radius))].tolist():
            for whole in what(Hole(as_point(centre), radius, as_point(near[k]))):
                yield k, whole, partial(circles_filled, whole, centre)

    either = (low, hangs) if len(low) < len(hangs) else (hangs,)
    sparing = berries > _MANY
    roomy = radius > _ROOMY * have.least or not ways.any()
    for on in either:
        for k, drop, axis, half in bent_drops(centre, near, on, gap.out, ways, have.thin, have.bent):
            if shapely.covers(inside, shapely.LineString(drop.points)):
                yield k, *have.bent.standing(drop, axis, half, have.thin)
        if sparing:
            away = centre - near[on]
            lies = (away * ways[on]).sum(axis=1) > have.bent.along * np.hypot(*away.T)
            yield from hung(on[lies], have.drop)
            if berries < _TOO_MANY:
                yield from hung(on, lambda hole: have.sprigs(hole)[-1:])
        elif not roomy:
            yield from hung(on, have.sprigs)
    if roomy or sparing:
        yield from hung(hangs, have.sprigs)
    yield from hung(hangs, have.drop)


def on_the_mirror(mirror: float, gap: Gap, have: Fillings, among: Among) -> Standing | None:
    """What stands on the line in which a pocket faces its image, and fills the gap on both sides, if anything fits.

    A leaf along the line; or what stands in the fill's crooks, grown out from the spine; or a drop, on what is
    nearest to the line.
    """
    mine = gap.near[:, 0] < mirror - HAIR_IN / 8  # without the line itself
    own = gap.near[mine]
    middle, free = on_the_line(mirror, gap.centre, gap.radius, own)
    low, hangs = anchors_of(gap.place[mine])
    # Else what it leaves open on one side its image would leave open on the other.
    even = not have.bent.lopsided

    def fits(whole: Sequence[Outline]) -> bool:
        if all(one.kind in OPEN for one in whole):
            return False  # a tendril curls to one side: in the image it curls to the other
        curves, within = Curves.of(whole), nested(whole)
        fine = curves.chosen(~within).points(A_CURVE)
        if not stitchable(curves, within, fine, 2 * have.thin):
            return False
        both = Polylines.joined((fine, fine.moved(mirror_at(mirror))))
        return crosses_nothing(both, among)

    radius = min(free, _STANDING * have.least) - HAIR_IN

    def along() -> Iterator[Standing]:
        for _, drop, axis, half in along_the_line(mirror, middle, own, hangs, have.thin, have.bent):
            yield have.bent.standing(drop, axis, half, have.thin)

    def wedged() -> Iterator[Standing]:
        for k in towards(middle, radius, own, hangs, _SLIM):
            if (middle - own[k]) @ gap.out < 0:
                continue
            axis = onto_the_line(own[k], middle)
            if whole := have.wedge(axis, radius * np.linspace(0, 1, len(axis))):
                yield whole, partial(_filled_along, axis, whole[0])

    def hung_there() -> Iterator[Standing]:
        for k in chain(towards(middle, radius, own, low), towards(middle, radius, own, hangs)):
            hole = Hole(as_point(middle), radius, as_point(own[k]))
            for whole in (*(have.sprigs(hole) if even else ()), *have.drop(hole)):
                yield whole, partial(circles_filled, whole, middle)

    if not even:
        tried = wedged()
    elif have.bent.vein:
        tried = chain(along(), wedged())
    else:
        tried = chain(wedged(), along())
    return next((one for one in chain(tried, hung_there()) if fits(one[0])), None)


def _filled_along(axis: Numbers, one: Outline) -> tuple[Numbers, Numbers]:
    """Circles that a shape fills along its axis (n, 2)."""
    return axis, depths(drawn([one]).points, axis)


def ways_at(grown: Grown, centre: Numbers, least: float, ways: Numbers) -> Numbers:
    """Which way a drop should grow by what it hangs on (n, 2): near the border's edge towards it, else as that.

    Beside the line to its image, where all flows meet, any way (nought).
    """
    if grown.mirror is not None and grown.mirror - centre[0] < _AT_LINE * least:
        return np.zeros_like(ways)
    for off, way in (edge.towards(centre) for edge in grown.edges):
        if off < _AT_EDGE * least:
            return np.broadcast_to(way, ways.shape)
    return ways


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


def anchors_of(place: Indices) -> tuple[Indices, Indices]:
    """Points on which a drop may hang: all that are no tips, and those with the tips."""
    low = place >= 0
    return np.flatnonzero(low), np.flatnonzero(low | (place <= TIP))
