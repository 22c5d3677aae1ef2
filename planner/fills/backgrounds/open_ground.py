"""What a fill leaves open in a pocket, for a background to lie in. Inches."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.fills.backgrounds.record import Lines
from planner.fills.growing.contour import SAMPLE_IN
from planner.fills.growing.finish import SAME_FOOT_IN, Settled
from planner.fills.growing.grown import Grown
from planner.fills.growing.outline import Drawn, Outline, flank_points
from planner.fills.growing.style import Needs
from planner.geometry.arrays import Mask, Numbers, square
from planner.geometry.curves import Motion
from planner.geometry.polylines import Polylines, moved

STEP_IN = 0.03  # along lines and edges: a circle of 1/16 in that rolls over them sinks in by 0.002 in
_EVERY = 3  # of the points along lines are feet
_AHEAD = 3  # points from its foot on it is seen to which side a shape rises
_BESIDE_IN = 0.015  # so far beside a line it is asked whether cloth of a shape lies there


@dataclass(frozen=True, slots=True)
class OpenGround:
    """What is open in a pocket.

    ground: all of the pocket; beside: that of the pockets beside it; cloth: what shapes enclose of it;
    stitched: all lines there and close by, as fine as it takes to see what crosses.
    feet: points on the spine and on shapes with open ground beside them, ways: unit vectors into it (n, 2) each;
    lines: points along all that is stitched, and its corners (m, 2), that of neighbouring pockets included; edges:
    points along the pocket's own edge (k, 2).
    """

    ground: BaseGeometry
    beside: list[BaseGeometry]
    cloth: list[BaseGeometry]
    stitched: list[BaseGeometry]
    feet: Numbers
    ways: Numbers
    lines: Numbers
    edges: Numbers


def _open_grounds(pockets: Settled, shown: Container[int]) -> Iterator[OpenGround | None]:
    """What each pocket leaves open; None for one that did not grow from a spine, or is not asked for.

    Where two pockets do not quite agree on the line between them, the ground is the first one's: what both take,
    and what neither does.
    """
    grounds = [
        shapely.union_all([_area(cell.domain), *_between(n, pockets)]) if cell else shapely.Polygon()
        for n, cell in enumerate(pockets.cells)
    ]
    for n, cell in enumerate(pockets.cells):
        beside = [(other, _moved(grounds[other], motion)) for other, motion in pockets.beside[n]]
        taken = shapely.union_all([one for other, one in beside if other < n])
        ground = grounds[n] = shapely.difference(grounds[n], taken)
        near = pockets.near(n, [cell.domain, shapely.get_coordinates(ground)]) if cell else None
        yield (
            _open_ground(cell, pockets.shapes[n], ground, [one for _, one in beside], near)
            if cell and near and n in shown
            else None
        )


def in_open_grounds(
    draw: Callable[[OpenGround, Needs], Lines],
    pockets: Settled,
    shown: Container[int],
    needs: Needs,
) -> Iterator[Lines]:
    """What is drawn in what each pocket leaves open, by a chance of its own; nothing where no ground is."""
    for n, ground in enumerate(_open_grounds(pockets, shown)):
        yield draw(ground, replace(needs, seed=needs.seed + n)) if ground else []


def _area(outline: Numbers) -> BaseGeometry:
    """All that an outline (n, 2) encloses, though it may cross itself."""
    return _sound(shapely.Polygon(outline))


def _sound(ground: BaseGeometry) -> BaseGeometry:
    return shapely.make_valid(ground, method="structure", keep_collapsed=False)


def _between(n: int, pockets: Settled) -> Iterator[BaseGeometry]:
    """What lies between the lines at which a pocket ends and those at which others begin beside it.

    Both go to the border, or to a corner of it where that is a corner of both.
    """
    cell = pockets.cells[n]
    for other, motion in pockets.beside[n]:
        another = pockets.cells[other]
        if cell and another and other != n:
            rim = moved(another.rim, motion)
            shared = [corner for corner in cell.rim if (square(rim - corner) < SAME_FOOT_IN**2).any()]
            for mine, line in product(_flanks(cell), _flanks(another)):
                theirs = moved(line, motion)
                if np.hypot(*(mine[0] - theirs[0])) < SAME_FOOT_IN:
                    corner = sorted(shared, key=lambda one: float(np.hypot(*(one - mine[-1]))))[:1]
                    yield _area(np.concatenate((mine, *([one] for one in corner), theirs[::-1])))


def _flanks(cell: Grown) -> tuple[Numbers, Numbers]:
    """The lines at which a pocket begins and ends, from the spine to the border (n, 2)."""
    (first, *_), (last, *_) = cell.verges
    return np.concatenate((first, cell.ends[:1])), np.concatenate((last, cell.ends[1:]))


def _moved(ground: BaseGeometry, m: Motion) -> BaseGeometry:
    """A ground after a motion, and sound: where two of its edges all but touch, rounding may cross them."""
    return _sound(shapely.transform(ground, lambda points: moved(points, m)))


def _open_ground(
    pocket: Grown, shapes: Drawn, ground: BaseGeometry, beside: list[BaseGeometry], near: Drawn
) -> OpenGround:
    """What the shapes of a pocket and of those beside it leave open of its ground."""
    whole = [outline for _, outline in pocket.whole]
    on, across = flank_points(whole, STEP_IN)
    spine, into = pocket.contour.point[pocket.own], pocket.contour.normal[pocket.own]
    bare = _bare(spine, into, whole)
    feet = np.concatenate((on[::_EVERY], on[::_EVERY], spine[bare]))
    ways = np.concatenate((across[::_EVERY], -across[::_EVERY], into[bare]))
    tried = feet + _BESIDE_IN * ways
    shapely.prepare(ground)
    free = np.flatnonzero(shapely.contains_xy(ground, *tried.T))
    cloth = cloth_of(whole, shapes)
    free = free[~_within(tried[free], cloth)]
    edge = shapely.segmentize(ground, STEP_IN)  # its boundary would be none, were it areas and lines
    corners = [outline.points[list(outline.corners)] for outline in whole if outline.corners]
    lines = np.concatenate((on, *corners, spine, near.rough.points))
    fine = Polylines.joined((shapes.fine, near.fine, Polylines.of([pocket.contour.point])))
    return OpenGround(
        ground,
        beside,
        cloth,
        list(fine.linestrings()),
        feet[free],
        ways[free],
        lines,
        shapely.get_coordinates(edge),
    )


def _bare(spine: Numbers, into: Numbers, outlines: Sequence[Outline]) -> Mask:
    """Which points of the spine lie under no shape (n,): one stands on all that is between its two feet.

    into: unit vectors to the side on which the pocket lies: it may lie on both.
    """
    bare = np.ones(len(spine), dtype=bool)
    if len(spine) and outlines:
        ends, ahead = (
            np.array([(o.points[k], o.points[-1 - k]) for o in outlines]).reshape(-1, 2) for k in (0, _AHEAD)
        )
        far = np.hypot(*(ends[:, None] - spine).transpose(2, 0, 1))
        far[(ahead - ends) @ into.T < 0] = np.inf
        near = np.where(far.min(axis=1) < SAMPLE_IN, far.argmin(axis=1), -1).reshape(-1, 2)
        for low, high in np.sort(near[(near >= 0).all(axis=1)], axis=1).tolist():
            bare[low : high + 1] = False
    return bare


def _within(points: Numbers, cloth: Sequence[BaseGeometry]) -> Mask:
    """Which of some points lie in the cloth of a shape (n,)."""
    inside = np.zeros(len(points), dtype=bool)
    tree = shapely.STRtree(np.asarray(shapely.points(points)))
    inside[tree.query(np.array(cloth, dtype=object), predicate="contains")[1]] = True
    return inside


def cloth_of(outlines: Sequence[Outline], shapes: Drawn) -> list[BaseGeometry]:
    """What shapes enclose; a plume that shares a line is told whole by its points."""
    told = zip(outlines, shapes.rough.linestrings(), strict=True)
    rings = [
        shapely.Polygon(o.points if o.row else shapely.get_coordinates(line))
        for (o, line), open_ in zip(told, shapes.open_, strict=True)
        if not open_
    ]
    return [
        ring if ring.is_valid else shapely.make_valid(ring, method="structure", keep_collapsed=False)
        for ring in rings
    ]
