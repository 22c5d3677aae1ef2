"""From shapes as they grew to shapes as they are stitched: what crosses goes, and what that leaves is filled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot

import numpy as np
import shapely

from planner.fills.growing.flow import HAIR_IN
from planner.fills.growing.gaps import drops
from planner.fills.growing.grown import Beside, Grown, Halves, Setting
from planner.fills.growing.outline import Drawn, Outline
from planner.fills.growing.settle import Group, drop_crossing, sharing
from planner.fills.growing.standing import Fillings
from planner.fills.growing.style import Motif, Needs, Style
from planner.fills.shape import Copy
from planner.geometry.arrays import Indices, Mask, Numbers
from planner.geometry.curves import Motion, mirror_at
from planner.geometry.polylines import Polylines, moved, turned

SAME_FOOT_IN = 0.05  # two pockets share a flow line if its feet are so near, and a corner of the border
_APART = 3.0  # and their heads so many rooms: the flow may not be quite the same in both
_CORNER = 4.0  # a corner of the border lies between the heads if it is so many rooms from them
_LARGEST = 0.25  # radius of the largest hole that stays open, as a share of the room
_WIDER_IN = 0.035  # less what the sliver along an edge adds to a hole there, and what a raster does not show


@dataclass(frozen=True, slots=True)
class Settled:
    """Pockets with the shapes that stay.

    beside: of each, which others lie beside it, with their motions there; settings: which of these, by number, lie
    beside one of its copies, for each set that differs, and whether that copy is in a run that ends in a corner;
    between: how many of its shapes, the last ones, are stitched in one only of the two copies that face each other.
    """

    cells: list[Grown | None]
    shapes: list[Drawn]
    beside: list[list[tuple[int, Motion]]]
    settings: list[list[tuple[frozenset[int], bool]]]
    between: list[int]

    @property
    def outlines(self) -> list[list[Outline]]:
        """The outlines of each cell in stitching order; none for a cell that did not grow from a spine."""
        return [_in_order([group for _, group in one.groups] if one else [], []) for one in self.cells]

    def own(self, n: int) -> Drawn:
        """The shapes of a pocket that are in each of its copies."""
        return self.shapes[n].chosen(self._in_each(n))

    def in_some(self, n: int) -> Drawn:
        """The shapes of a pocket that are in one only of the two copies that face each other."""
        return self.shapes[n].chosen(~self._in_each(n))

    def _in_each(self, n: int) -> Mask:
        count = len(self.shapes[n].open_)
        return np.arange(count) < count - self.between[n]

    def near(self, n: int, grounds: Sequence[Numbers]) -> Drawn:
        """The shapes of other pockets near some of the ground about a pocket, in its frame."""
        return self.near_by(n, grounds)[0]

    def near_by(self, n: int, grounds: Sequence[Numbers]) -> tuple[Drawn, Indices]:
        """The same, and the number of the pocket beside it that each of them belongs to."""
        reaches = [(ground.min(axis=0), ground.max(axis=0)) for ground in grounds]
        near = [Drawn.of([])]
        for other, motion in self.beside[n]:
            low, high = self.shapes[other].rough.boxes()
            middle, half = moved((low + high) / 2, motion), turned((high - low) / 2, motion)
            close = [((middle - half < b) & (middle + half > a)).all(axis=1) for a, b in reaches]
            near.append(self.shapes[other].chosen(np.logical_or.reduce(close)).moved(motion))
        return Drawn.joined(near), np.repeat(np.arange(len(near)) - 1, [len(part.open_) for part in near])

    def seen(self, n: int, whose: Indices) -> list[Setting]:
        """Which of some shapes of these pockets beside one lie beside its copies."""
        masks = {(half, tuple(np.isin(whose, sorted(some)).tolist())) for some, half in self.settings[n]}
        return [(np.array(mask, dtype=bool), half) for half, mask in sorted(masks)]


def settled(cells: Sequence[Grown | None], copies: Sequence[Copy], spines: Numbers, needs: Needs) -> Settled:
    """What crosses something greater goes."""
    groups = [[group for _, group in cell.groups] if cell else [] for cell in cells]
    copies, beside, settings = _neighbourhoods(cells, copies, needs.room / 2)
    stay = drop_crossing(groups, [_weights(one) for one in groups], copies, spines)
    grown = [
        replace(cell, groups=_staying(cell, stays)) if cell else None
        for cell, stays in zip(cells, stay, strict=True)
    ]
    shapes = [Drawn.of([o for _, o in one.whole] if one else []) for one in grown]
    return Settled(grown, shapes, beside, settings, [0] * len(grown))


def filled(
    pockets: Settled, order: Sequence[int], style: Style, needs: Needs
) -> tuple[list[list[Outline]], dict[int, Halves]]:
    """The outlines of each cell in stitching order, with the drops that fill what stayed open.

    order: of cells, in which their gaps are filled.

    And of some what is stitched in one of the two copies only that face each other.
    """
    grown, shapes = pockets.cells, pockets.shapes
    hung: list[list[tuple[int, Outline]]] = [[] for _ in grown]
    shared: dict[int, Halves] = {}
    left: list[list[Numbers]] = [[] for _ in grown]
    have = Fillings(
        replace(style.bent, widest=style.bent.widest * needs.room),
        lambda hole: style.sprigs(hole, needs),
        lambda hole: _each(style.drop(hole, needs)),
        lambda axis, half: _wedged(style.crook(axis, half, needs)),
        max(_LARGEST * needs.room - _WIDER_IN, needs.smallest / 2 + HAIR_IN),
        needs.smallest / 2,
    )
    for n in order:
        if one := grown[n]:
            hung[n], halves, left[n] = drops(one, shapes[n], have, _beside(n, one, pockets, left, needs))
            between = [*halves[0], *halves[1]]
            if between:
                shared[n] = halves
                pockets.between[n] = len(between)
            shapes[n] = Drawn.joined((shapes[n], Drawn.of([drop for _, drop in hung[n]] + between)))
    outlines = [
        _in_order([group for _, group in one.groups] if one else [], more)
        for one, more in zip(grown, hung, strict=True)
    ]
    return outlines, shared


def _each(drops: Sequence[Outline]) -> list[list[Outline]]:
    """Each drop, with what is nested in it."""
    found: list[list[Outline]] = []
    for drop in drops:
        if drop.within:
            found[-1].append(drop)
        else:
            found.append([drop])
    return found


def _wedged(motif: Motif | None) -> Sequence[Outline]:
    return motif.outlines if motif else ()


def _staying(cell: Grown, stays: Mask) -> tuple[tuple[float, Group], ...]:
    """The groups of a cell that stay, as they are stitched."""
    kept = [group for group, ok in zip(cell.groups, stays, strict=True) if ok]
    return tuple(zip((q for q, _ in kept), sharing([group for _, group in kept]), strict=True))


def _weights(groups: Sequence[Group]) -> Numbers:
    """The size of the largest shape of each group."""
    sizes = Polylines.of([o.points for group in groups for o in group]).areas()
    first = np.cumsum([0, *map(len, groups)])[:-1]
    return np.maximum.reduceat(sizes, first) if len(first) else sizes


def _neighbourhoods(
    cells: Sequence[Grown | None], copies: Sequence[Copy], apart: float
) -> tuple[list[Copy], list[list[tuple[int, Motion]]], list[list[tuple[frozenset[int], bool]]]]:
    """Copies enough to show every way in which two cells lie beside each other, at most ``apart``.

    And these ways: for each cell which others lie beside it, each with its motion into the cell's frame. And which
    of these, by number, lie beside one of its copies, for each set that differs and is not part of another, and
    whether that copy is in a run that ends in a corner.
    """
    corners = [_corners([cell.domain, *(o.points for _, o in cell.whole)] if cell else []) for cell in cells]
    there = [moved(corners[copy.cell], copy.motion) for copy in copies]
    far = apart / 2
    boxes = [shapely.box(*points.min(axis=0) - far, *points.max(axis=0) + far) for points in there]
    known: dict[tuple[float, ...], int] = {}
    around: list[set[int]] = [set() for _ in copies]
    shown: set[int] = set()
    beside: list[list[tuple[int, Motion]]] = [[] for _ in cells]
    for i, j in sorted(zip(*shapely.STRtree(boxes).query(boxes).tolist(), strict=True)):
        one, other = copies[i], copies[j]
        m = one.motion.undone().after(other.motion)
        alike = (one.cell, other.cell, *(round(v, 3) + 0.0 for v in (m.a, m.b, m.c, m.d, m.e, m.f)))
        if alike not in known:
            known[alike] = len(beside[one.cell])
            shown |= {i, j}
            if i != j:
                beside[one.cell].append((other.cell, m))
        if i != j:
            around[i].add(known[alike])
    sets: list[set[tuple[frozenset[int], bool]]] = [set() for _ in cells]
    for copy, one_set in zip(copies, around, strict=True):
        sets[copy.cell].add((frozenset(one_set), copy.pocket.run == "end"))
    settings = [
        [(one, half) for one, half in every if not any(one < other for other, h in every if h == half)]
        for every in sets
    ]
    return [copies[i] for i in sorted(shown)], beside, settings


def _beside(
    n: int, pocket: Grown, pockets: Settled, left: Sequence[Sequence[Numbers]], needs: Needs
) -> Beside:
    """What lies beside a pocket across its first and last flow lines, with the drops that hang there by now.

    Where no pocket is found there, all that lies near: something else may meet it. left: the holes that each pocket
    could not fill by now.
    """
    others = pockets.beside[n]
    spines: list[Numbers] = []
    verges: list[Numbers | None] = [None, None]
    across: list[Numbers] = []
    for other, motion in others:
        cell = pockets.cells[other]
        twice = motion.after(motion)
        if not cell or (other == n and hypot(twice.a - 1, twice.b, twice.e, twice.f) < SAME_FOOT_IN):
            continue  # a hole across a line that the pocket shares with its own image would be filled twice
        for verge in cell.verges:
            there = moved(verge.reshape(-1, 2), motion).reshape(verge.shape)
            for k, line in enumerate(mine[0] for mine in pocket.verges):
                foot, head = np.hypot(*(there[0, [0, -1]] - line[[0, -1]]).T)
                if foot < SAME_FOOT_IN and head < _APART * needs.room:
                    verges[k] = np.concatenate((_to_corner(line, pocket.rim, needs), there[1:]))
                    spines += [moved(points, motion) for points in cell.spine]
                    here = shapely.LineString(line)
                    holes = [moved(hole, motion) for hole in left[other]]
                    across += [hole for hole in holes if here.intersects(shapely.Polygon(hole))]
    grounds = [pocket.domain, *(verge.reshape(-1, 2) for verge in verges if verge is not None), *across]
    if pocket.mirror is not None:  # what fills one half only may reach into the other
        grounds.append(moved(pocket.domain, mirror_at(pocket.mirror)))
    images = [motion for other, motion in others if other == n]
    near, whose = pockets.near_by(n, grounds)
    return Beside(near, pockets.seen(n, whose), spines, (verges[0], verges[1]), images, across)


def _to_corner(line: Numbers, rim: Numbers, needs: Needs) -> Numbers:
    """A pocket's first or last flow line, and the same with its head in a corner of the border near by, if any."""
    corners = [corner for corner in rim if np.hypot(*(corner - line[-1])) < _CORNER * needs.room]
    return np.stack((line, *(np.concatenate((line[:-1], [corner])) for corner in corners)))


def _corners(every: Sequence[Numbers]) -> Numbers:
    """Corners of the box round some points. Shape (4, 2)."""
    points = np.concatenate((*every, np.zeros((0 if every else 1, 2))))
    (x, y), (u, v) = points.min(axis=0), points.max(axis=0)
    return np.array([(x, y), (u, y), (u, v), (x, v)])


def _in_order(groups: Sequence[Group], hung: Sequence[tuple[int, Outline]]) -> list[Outline]:
    """The shapes, each drop after the one it hangs on."""
    order = [drop for after, drop in hung if after == 0]
    for i, group in enumerate(groups, 1):
        order += [*group, *(drop for after, drop in hung if after == i)]
    return order
