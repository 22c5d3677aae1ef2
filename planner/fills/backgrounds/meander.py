"""A small meander behind a fill: one line that wanders everywhere, never crosses itself, and comes home.

It goes round a tree. Points share the open ground evenly, two lines apart; others lie along all that bounds it, and
Delaunay's triangles between them. Branches chosen by lot join the former to trees: they rather bend than go
straight on, and leave the points along a bound to be ends. Whoever walks round a tree passes each of its points in
every triangle there. The line runs over half way from the point to the middle of the triangle, so that it lies
evenly between its own turns and what bounds them, and goes round the end of each branch in a round turn. Where
there is room for one row of points only, it goes no farther than a hole asks: a tail would run straight. Inches.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, replace
from heapq import heapify, heappop, heappush
from itertools import islice
from math import cos

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.fills.backgrounds.open_ground import OpenGround, in_open_grounds
from planner.fills.backgrounds.record import BackgroundRecord, Lines
from planner.fills.growing.finish import Settled
from planner.fills.growing.ground import Ground
from planner.fills.growing.style import Needs
from planner.fills.record import ThreadFigures
from planner.fills.shape import PER_IN
from planner.geometry.arrays import DIGITS, Indices, Mask, Numbers, square
from planner.geometry.curves import Bezier
from planner.geometry.polylines import even


@dataclass(frozen=True, slots=True)
class _Meander:
    """The proportions of a meander, in steps: from one turn of the line to the next. Common practice, no source."""

    step: float = 0.13  # Of the room: plainly closer than plumes ...
    step_in: tuple[float, float] = (0.12, 0.16)  # ... but no closer than a hand can turn.
    apart: float = 1.75  # From point to point, at least: a line passes on either side of each.
    off: float = 0.85  # From a point to whatever is stitched ...
    off_edge: float = 0.3  # ... and to the edge of its pocket, beyond which the next meander lies.
    row: float = 1.0  # Half the width within which points lie, at least: where it is less a hole stays ...
    open: float = 0.19  # ... but for one whose radius is more than that of the room.
    narrow: int = 2  # Ways from a point to others, at most, where the line would be a tail or a stub ...
    open_narrow: float = 0.22  # ... and a hole stays too, but for one of a larger radius, of the room.
    longest: float = 3.0  # Of a branch.
    seen: float = 2.2  # From a point, what bounds it.
    bends: float = 1.5  # How much rather a branch bends than goes straight on ...
    ends: float = 1.0  # ... and than it goes along a bound. One by lot is up to 1.
    turn: float = 0.68  # Of the way from a point to the middle of a triangle the line passes it.
    even: float = 0.75  # From one place to the next by which it is drawn.
    root: float = 2.2  # The way at most from what it begins on to its first turn ...
    rise: float = 0.7  # ... which rises from there by so much of it.


_LOOK = _Meander()
_GRAIN = 0.45  # steps from place to place where points may lie, and from bound to bound
_SLIT_IN = 0.03  # so nearly two pockets agree on the line between them
_SQUARES = 1 << 32  # numbers of squares in a row, more than there are
_RELAXED = 3  # times each point moves to the middle of its own ground
_ROUGH = 0.1  # of the way that is kept off it, what is stitched is looked at so roughly
_ROOTS = 12  # places are tried from which a meander may begin
_BEGIN_IN = 0.01  # so far from where it begins the line is off all others ...
_CLEAR_IN = 1e-3  # ... by so much
_CHECK = np.arange(8) / 8  # along each curve of it
# Between places by which it is drawn, and half of it where its curves meet: whole units.
_PLACES_IN = 2 / PER_IN


def meander(
    pockets: Settled, _: Sequence[Ground | None], shown: Container[int], needs: Needs
) -> Iterator[Lines]:
    """The meander in what each pocket leaves open, one line for each piece of it."""
    return in_open_grounds(meanders_of, pockets, shown, needs)


def meanders_of(ground: OpenGround, needs: Needs) -> Lines:
    """The lines of a pocket, each begun and ended at a point of what it grows from."""
    low, high = _LOOK.step_in
    step = min(max(_LOOK.step * needs.room, low), high)
    chance = np.random.default_rng(needs.seed)
    bed, gaps = _bed(ground, step, needs.room)
    points = _points(bed, step, chance)
    if not len(points) or not len(ground.feet):
        return []
    net = _Net(points, np.concatenate((ground.lines, ground.edges)), step, chance)
    left = net.narrow & ~shapely.dwithin(gaps, shapely.points(points), _LOOK.seen * step)
    stitched = list(ground.stitched)
    found: Lines = []
    for corners, outer in net.lines(np.flatnonzero(left)):
        line = _line(corners, outer, replace(ground, stitched=stitched), step)
        if line is not None:
            found.append(tuple(Bezier(*map(tuple, four)) for four in line.tolist()))
            stitched.append(shapely.LineString(line[:, 0]))
    return found


def _bed(ground: OpenGround, step: float, room: float) -> tuple[BaseGeometry, BaseGeometry]:
    """Where points may lie: off what bounds a ground, where that leaves it wide enough.

    And the middles of holes that would be too large even where it is narrow.
    """
    off, edge = _LOOK.off * step, _LOOK.off_edge * step
    lines = shapely.simplify(ground.stitched, _ROUGH * off, preserve_topology=False)
    near = lines[shapely.dwithin(lines, ground.ground, off)]
    taken = shapely.union_all([*ground.cloth, *shapely.buffer(near, off, quad_segs=3)])
    wide = max(0.0, min(_LOOK.row * step, _LOOK.open * room - off))
    gap = _LOOK.open_narrow * room
    # Beyond the edge of a pocket the ground goes on into the next one; a slit between them is none.
    about = shapely.box(*shapely.bounds(shapely.buffer(ground.ground, 2 * gap)))
    every = shapely.union_all([ground.ground, *shapely.intersection(ground.beside, about)])
    every = shapely.buffer(shapely.buffer(every, _SLIT_IN, quad_segs=2), -_SLIT_IN, quad_segs=2)
    free = shapely.difference(shapely.buffer(every, -edge, quad_segs=4), taken).simplify(_ROUGH * off)
    there = shapely.buffer(shapely.buffer(free, -wide, quad_segs=4), wide, quad_segs=4)
    gaps = shapely.intersection(
        shapely.buffer(free, off - gap, quad_segs=4), shapely.buffer(every, -gap, quad_segs=4)
    )
    shapely.prepare(gaps)
    return shapely.intersection(there, shapely.buffer(ground.ground, -edge, quad_segs=4)), gaps


def _points(bed: BaseGeometry, step: float, chance: np.random.Generator) -> Numbers:
    """Points that share a bed evenly: each in the middle of what lies nearer to it than to the others. (n, 2)."""
    low, high = np.array(bed.bounds).reshape(2, 2)
    if np.isnan(low).any():
        return np.zeros((0, 2))
    grain = _GRAIN * step
    axes = (np.arange(a, z, grain) for a, z in zip(low + chance.uniform(0, grain, 2), high, strict=True))
    places = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)
    shapely.prepare(bed)
    smallest = shapely.get_coordinates(shapely.point_on_surface(shapely.get_parts(bed)))
    places = np.concatenate((places[shapely.contains_xy(bed, *places.T)], smallest))
    there = np.asarray(shapely.points(places))
    points = _spread(places[[chance.integers(len(places))]], places, step)
    for _ in range(_RELAXED):
        own = _by_place(points).nearest(there)
        count = np.bincount(own)
        sums = np.stack([np.bincount(own, axis) for axis in places.T], axis=1)
        points = sums[count > 0] / count[count > 0][:, None]
    for n in np.flatnonzero(~shapely.contains_xy(bed, *points.T)):
        points[n] = places[square(places - points[n]).argmin()]
    return _spread(np.unique(points, axis=0), places, step)


def _spread(points: Numbers, places: Numbers, step: float) -> Numbers:
    """Points and more: the place farthest from all before it is the next, until none is far enough. (n, 2)."""
    x, y = places.T.copy()
    far = square(places - points[_by_place(points).nearest(shapely.points(places))])
    found = [points]
    while far.max() > (_LOOK.apart * step) ** 2:
        found.append(places[[far.argmax()]])
        one, other = found[-1][0]
        np.minimum(far, (x - one) ** 2 + (y - other) ** 2, out=far)
    return np.concatenate(found)


def _by_place(points: Numbers) -> shapely.STRtree:
    return shapely.STRtree(np.asarray(shapely.points(points)))


class _Net:
    """Points in open ground, and after them those along what bounds it; round each of the former its neighbours.

    A way leads from a point to a neighbour; all from one point are numbered as they lie round it.
    """

    def __init__(self, points: Numbers, bounds: Numbers, step: float, chance: np.random.Generator) -> None:
        self._own, self._farthest, longest = len(points), _LOOK.off * step, _LOOK.longest * step
        # One in every square of a grid, as near as this, leaves no gap through which a branch could pass.
        squares = (bounds / (_GRAIN * step)).round().astype(np.int64) @ (_SQUARES, 1)
        bounds = bounds[np.unique(squares, return_index=True)[1]]
        near = _by_place(points).query(shapely.points(bounds), "dwithin", _LOOK.seen * step)
        self._points = np.concatenate((points, bounds[np.unique(near[0])]))
        begin, end, angle, length = self._ways()
        first, number = np.searchsorted(begin, np.arange(self._own + 1)), np.arange(len(begin))
        after = np.where(number + 1 < first[begin + 1], number + 1, first[begin])
        bound = end >= self._own
        open_ = ~bound & (length < longest)
        self.narrow = np.bincount(begin[open_], minlength=self._own) <= _LOOK.narrow
        along = bound[after].astype(np.float64)
        along[after] += bound
        self._begin, self._end, self._first = begin.tolist(), end.tolist(), first.tolist()
        self._next, self._angle, self._open = after.tolist(), angle.tolist(), open_.tolist()
        self._cost = (chance.random(len(begin)) + _LOOK.ends * along).tolist()

    def _ways(self) -> tuple[Indices, Indices, Numbers, Numbers]:
        """Where each way begins and ends, its direction and its length: Delaunay's triangles lie between them."""
        triangles = shapely.get_parts(shapely.delaunay_triangles(shapely.multipoints(self._points)))
        corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3] @ (1, 1j)
        places = self._points @ (1, 1j)
        order = np.argsort(places)
        three = order[np.searchsorted(places[order], corners)]
        begin, end = three[:, [0, 1, 1, 2, 2, 0]].ravel(), three[:, [1, 0, 2, 1, 0, 2]].ravel()
        some = np.unique((begin * len(places) + end)[begin < self._own])
        begin, end = some // len(places), some % len(places)
        x, y = (self._points[end] - self._points[begin]).T
        angle = np.arctan2(y, x)
        turn = np.lexsort((angle, begin))
        return begin[turn], end[turn], angle[turn], np.hypot(x, y)[turn]

    def lines(self, without: Indices) -> Iterator[tuple[Numbers, Mask]]:
        """The lines round every point but some, as few of them as can be: see ``_round``."""
        seen = set(without.tolist())
        for root in range(self._own):
            if root not in seen:
                joined = self._tree(root, seen)
                yield self._round(root, joined)

    def _tree(self, root: int, seen: set[int]) -> dict[int, int]:
        """A tree from its root, past points that are seen: for each way along its branches the way back."""
        joined: dict[int, int] = {}
        at: dict[int, list[int]] = {root: []}  # the ways of the tree from each of its points
        seen.add(root)
        heap = [(self._unlike(way, []), way) for way in self._from(root)]
        heapify(heap)
        while heap:
            cost, way = heappop(heap)
            n, m = self._begin[way], self._end[way]
            if m in seen:
                continue
            now = self._unlike(way, at[n])
            if now > cost:  # since then a branch was joined before which this one goes straight on
                heappush(heap, (now, way))
                continue
            back = next(one for one in self._from(m) if self._end[one] == n)
            joined[way], joined[back] = back, way
            at[n].append(way)
            at[m] = [back]
            seen.add(m)
            for one in self._from(m):
                if self._end[one] not in seen:
                    heappush(heap, (self._unlike(one, at[m]), one))
        return joined

    def _from(self, n: int) -> Iterator[int]:
        """The ways from a point along which a branch may grow."""
        return (way for way in range(self._first[n], self._first[n + 1]) if self._open[way])

    def _unlike(self, way: int, others: Sequence[int]) -> float:
        """How unlike a meander's a branch is beside others of its point: it goes straight on, or along a bound."""
        angle = self._angle[way]
        straight = min((cos(angle - self._angle[other]) for other in others), default=0.0)
        return float(self._cost[way] + _LOOK.bends * min(straight, 0.0) ** 2)

    def _round(self, root: int, joined: dict[int, int]) -> tuple[Numbers, Mask]:
        """The corners of the line round a tree (n, 2), and which lie towards a bound (n,)."""
        way = first = self._first[root]
        corners: list[tuple[int, int, int]] = []
        while not corners or way != first:
            after = self._next[way]
            corners.append((self._begin[way], self._end[way], self._end[after]))
            way = joined.get(after, after)
        three = np.array(corners)
        own = self._points[three[:, 0]]
        out = _LOOK.turn * (self._points[three].mean(axis=1) - own)
        out *= np.minimum(self._farthest / np.hypot(*out.T), 1.0)[:, None]
        return own + out, np.asarray((three >= self._own).any(axis=1))


def _line(corners: Numbers, outer: Mask, ground: OpenGround, step: float) -> Numbers | None:
    """The line past such corners, from the best place where it may begin, as Bézier curves (n, 4, 2).

    None where it would cross something.
    """
    for k, foot in islice(_roots(corners, outer, ground, step), _ROOTS):
        points = np.concatenate((foot[None], corners[k + 1 :], corners[:k], foot[None]))
        points = even(points, _LOOK.even * step)
        line = _spline(points)
        if _sound(line, ground):
            return line
    return None


def _roots(corners: Numbers, outer: Mask, ground: OpenGround, step: float) -> Iterator[tuple[int, Numbers]]:
    """Where the line may begin, best first: the corner whose place it takes, and the foot."""
    at = np.flatnonzero(outer)
    feet = _by_place(ground.feet)
    near, foot = feet.query(shapely.points(corners[at]), "dwithin", _LOOK.root * step)
    ways = corners[at[near]] - ground.feet[foot]
    far = np.hypot(*ways.T)
    rising = (ways * ground.ways[foot]).sum(axis=1) > _LOOK.rise * far
    for i in np.lexsort((foot, near, far.round(DIGITS))).tolist():
        if rising[i]:
            yield int(at[near[i]]), ground.feet[foot[i]]


def _spline(points: Numbers) -> Numbers:
    """The quadratic B-spline of some points, from the first to the last, as Bézier curves. Shape (n, 4, 2).

    In a drawing each of its curves is said by its end alone, since it goes on as the one before it ended.
    """
    handles = (points[1:-1] / _PLACES_IN).round() * _PLACES_IN
    nodes = np.concatenate((points[:1], (handles[:-1] + handles[1:]) / 2, points[-1:]))
    one, other = (nodes[:-1] + 2 * handles) / 3, (2 * handles + nodes[1:]) / 3
    return np.stack((nodes[:-1], one, other, nodes[1:]), axis=1)


def _sound(line: Numbers, ground: OpenGround) -> bool:
    """Whether it neither crosses itself nor, but for where it begins, comes near another line or over the edge."""
    t = _CHECK[:, None, None]
    share = ((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3)
    along = np.stack([part * line[:, k] for k, part in enumerate(share)]).sum(axis=0)
    points = along.transpose(1, 0, 2).reshape(-1, 2)
    ring = shapely.LinearRing(points)
    if not shapely.is_simple(ring):
        return False
    off = shapely.difference(shapely.LineString(ring), shapely.Point(line[0, 0]).buffer(_BEGIN_IN))
    crossed = shapely.STRtree(ground.stitched).query(off, "dwithin", _CLEAR_IN)
    return bool(shapely.covers(ground.ground, off)) and not len(crossed)


MEANDER = BackgroundRecord(
    kind="meander",
    listed="a small meander",
    spoken="a small meander behind",
    by_hand="Wander without a plan: round one way, then round the other, never across a line; leave each place "
    "where you came in.",
    reach=0.68,
    draw=meander,
    shape="meander",
    shapes={"meander": "the meander"},
    fill_kept=0.75,
    thread=ThreadFigures(area=3.06, spine=-1.77, feature=-1.38),
)
