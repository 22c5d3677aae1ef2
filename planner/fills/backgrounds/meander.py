"""A small meander behind a fill: one line that wanders everywhere, never crosses itself, and comes home.

It goes round a tree. Points share the open ground evenly, two lines apart; others lie along all that bounds it, and
Delaunay's triangles between them. Branches chosen by lot join the former to trees: they rather bend than go
straight on, and leave the points along a bound to be ends. Whoever walks round a tree passes each of its points in
every triangle there. The line runs over half way from the point to the middle of the triangle, so that it lies
evenly between its own turns and what bounds them, and goes round the end of each branch in a round turn. Inches.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from itertools import islice
from math import atan2, cos, hypot, tau

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.fills.backgrounds.open_ground import OpenGround, in_open_grounds
from planner.fills.backgrounds.record import BackgroundRecord, Lines
from planner.fills.growing.contour import as_point
from planner.fills.growing.finish import Settled
from planner.fills.growing.ground import Ground
from planner.fills.growing.style import Needs
from planner.fills.record import ThreadFigures
from planner.geometry.arrays import DIGITS, Indices, Mask, Numbers
from planner.geometry.curves import Bezier, Curve
from planner.geometry.polylines import even


@dataclass(frozen=True, slots=True)
class _Meander:
    """The proportions of a meander, in steps: from one turn of the line to the next. Common practice, no source."""

    step: float = 0.12  # Of the room: plainly closer than plumes ...
    step_in: tuple[float, float] = (0.1, 0.16)  # ... but no closer than a hand can turn.
    apart: float = 1.75  # From point to point, at least: a line passes on either side of each.
    off: float = 0.85  # From a point to whatever is stitched ...
    off_edge: float = 0.6  # ... and to the edge of its pocket, beyond which the next meander lies.
    row: float = 1.0  # Half the width within which points lie, at least: where it is less a hole stays ...
    open: float = 0.19  # ... but for one whose radius is more than that of the room.
    fewest: int = 4  # Points of a meander: fewer are a stub, and leave a hole too ...
    open_stub: float = 0.205  # ... if its radius is less than that.
    longest: float = 3.0  # Of a branch.
    bends: float = 1.5  # How much rather a branch bends than goes straight on ...
    ends: float = 1.0  # ... and than it goes along a bound. One by lot is up to 1.
    turn: float = 0.68  # Of the way from a point to the middle of a triangle the line passes it.
    even: float = 0.45  # From one place to the next by which it is drawn.
    root: float = 2.2  # The way at most from what it begins on to its first turn ...
    rise: float = 0.7  # ... which rises from there by so much of it.


_LOOK = _Meander()
_Tree = dict[int, list[int]]  # numbers of points, and to which others a branch leads from each
_Branch = tuple[float, float, int, int]  # what it costs, and of that by lot; from which point, to which
_GRAIN = 0.35  # steps from place to place where points may lie, and from bound to bound
_RELAXED = 6  # times each point moves to the middle of its own ground
_ROUGH = 0.1  # of the way that is kept off it, what is stitched is looked at so roughly
_SAME_EDGE_IN = 0.05  # so nearly two pockets agree on the line between them
_ROUND = np.arange(12) * tau / 12
_ROOTS = 12  # places are tried from which a meander may begin
_BEGIN_IN = 0.01  # so far from where it begins the line is off all others ...
_CLEAR_IN = 1e-3  # ... by so much
_CHECK = np.arange(8) / 8  # along each curve of it


def meander(pockets: Settled, _: Sequence[Ground | None], needs: Needs) -> Iterator[Lines]:
    """The meander in what each pocket leaves open, one line for each piece of it."""
    return in_open_grounds(meanders_of, pockets, needs)


def meanders_of(ground: OpenGround, needs: Needs) -> Lines:
    """The lines of a pocket, each begun and ended at a point of what it grows from."""
    low, high = _LOOK.step_in
    step = min(max(_LOOK.step * needs.room, low), high)
    chance = np.random.default_rng(needs.seed)
    points = _points(_bed(ground, step, _LOOK.open * needs.room), step, chance)
    if not len(points) or not len(ground.feet):
        return []
    net = _Net(points, np.concatenate((ground.lines, ground.edges)), step)
    walls, stitched, found = _walls(ground), list(ground.stitched), []
    for tree in net.trees(chance):
        stub = len(tree) < _LOOK.fewest
        if not stub or _gaping(points[list(tree)], ground.ground, walls, _LOOK.open_stub * needs.room):
            line = _line(*net.round(tree), replace(ground, stitched=stitched), step)
            if line:
                found.append(line)
                stitched.append(shapely.LineString([curve.start for curve in line]))
    return found


def _bed(ground: OpenGround, step: float, hole: float) -> BaseGeometry:
    """Where points may lie: off what bounds a ground, where that leaves it wide enough."""
    off, edge = _LOOK.off * step, _LOOK.off_edge * step
    lines = shapely.simplify(ground.stitched, _ROUGH * off, preserve_topology=False)
    near = lines[shapely.dwithin(lines, ground.ground, off)]
    taken = shapely.union_all([*ground.cloth, *shapely.buffer(near, off, quad_segs=3)])
    wide = max(0.0, min(_LOOK.row * step, hole - off))
    # Beyond the edge of a pocket the ground goes on into the next one.
    about = shapely.box(*shapely.bounds(shapely.buffer(ground.ground, 2 * wide)))
    every = shapely.union_all([ground.ground, *shapely.intersection(ground.beside, about)])
    free = shapely.difference(shapely.buffer(every, -edge, quad_segs=4), taken).simplify(_ROUGH * off)
    there = shapely.buffer(shapely.buffer(free, -wide, quad_segs=4), wide, quad_segs=4)
    return shapely.intersection(there, shapely.buffer(ground.ground, -edge, quad_segs=4))


def _points(bed: BaseGeometry, step: float, chance: np.random.Generator) -> Numbers:
    """Points that share a bed evenly: each in the middle of what lies nearer to it than to the others. (n, 2)."""
    low, high = np.array(bed.bounds).reshape(2, 2)
    if np.isnan(low).any():
        return np.zeros((0, 2))
    grain = _GRAIN * step
    axes = (np.arange(a, z, grain) for a, z in zip(low + chance.uniform(0, grain, 2), high, strict=True))
    places = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)
    shapely.prepare(bed)
    places = places[shapely.contains_xy(bed, *places.T)]
    if not len(places):
        return np.zeros((0, 2))
    # The place farthest from all points before it is the next, until none is far enough.
    found = [places[chance.integers(len(places))]]
    far = np.hypot(*(places - found[0]).T)
    while far.max() > _LOOK.apart * step:
        found.append(places[far.argmax()])
        far = np.minimum(far, np.hypot(*(places - found[-1]).T))
    points, there = np.array(found), np.asarray(shapely.points(places))
    for _ in range(_RELAXED):
        own = np.unique(_by_place(points).nearest(there), return_inverse=True)[1]
        points = np.stack([np.bincount(own, axis) for axis in places.T], axis=1) / np.bincount(own)[:, None]
    outside = ~shapely.contains_xy(bed, *points.T)
    points[outside] = places[_by_place(places).nearest(shapely.points(points[outside]))]
    return np.asarray(np.unique(points, axis=0))


def _by_place(points: Numbers) -> shapely.STRtree:
    return shapely.STRtree(np.asarray(shapely.points(points)))


def _walls(ground: OpenGround) -> shapely.STRtree:
    """All that bounds a hole: lines, and the edge of a ground where none lies beyond it."""
    edges, beside = shapely.points(ground.edges), shapely.union_all(ground.beside)
    rim = ground.edges[~shapely.dwithin(beside, edges, _SAME_EDGE_IN)] if ground.beside else ground.edges
    return _by_place(np.concatenate((ground.lines, rim)))


def _gaping(points: Numbers, ground: BaseGeometry, walls: shapely.STRtree, hole: float) -> bool:
    """Whether a larger hole would lie about some points without a meander."""
    ring = hole * np.stack((np.cos(_ROUND), np.sin(_ROUND)), axis=1)
    about = (np.concatenate((0 * ring[:1], ring / 2, ring)) + points[:, None]).reshape(-1, 2)
    about = about[shapely.contains_xy(ground, *about.T)]
    far = walls.query_nearest(shapely.points(about), return_distance=True, all_matches=False)[1]
    return bool((far > hole).any())


class _Net:
    """Points in open ground, and after them those along what bounds it; round each of the former its neighbours."""

    def __init__(self, points: Numbers, bounds: Numbers, step: float) -> None:
        self._own, self._longest = len(points), _LOOK.longest * step
        # One in every square of a grid leaves no gap through which a branch could pass.
        squares = (bounds / (_GRAIN * step)).round()
        bounds = bounds[np.unique(squares, axis=0, return_index=True)[1]]
        near = _by_place(points).query(shapely.points(bounds), "dwithin", self._longest)
        bounds = bounds[np.unique(near[0])]
        self._points = np.concatenate((points, bounds))
        self._round = self._neighbours()

    def _neighbours(self) -> list[list[int]]:
        """The neighbours of each point in turn: Delaunay's triangles lie between them."""
        number = {(x, y): n for n, (x, y) in enumerate(self._points.tolist())}
        triangles = shapely.get_parts(shapely.delaunay_triangles(shapely.multipoints(self._points)))
        beside: defaultdict[int, set[int]] = defaultdict(set)
        for corners in shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3].tolist():
            three = {number[x, y] for x, y in corners}
            for n in three:
                beside[n] |= three - {n}
        return [sorted(beside[n], key=lambda m: self._way(n, m)) for n in range(self._own)]

    def _way(self, n: int, m: int) -> float:
        """The direction from one point to another."""
        x, y = self._points[m] - self._points[n]
        return atan2(y, x)

    def trees(self, chance: np.random.Generator) -> Iterator[_Tree]:
        """Every point in a tree, as few of them as can be."""
        seen: set[int] = set()
        for root in range(self._own):
            if root in seen:
                continue
            tree: _Tree = {root: []}
            heap = sorted(self._branches(tree, root, chance))
            while heap:
                cost, lot, before, n = heappop(heap)
                if n in tree:
                    continue
                now = lot + self._unlike(tree, before, n)
                if now > cost:  # since then a branch was joined before which this one goes straight on
                    heappush(heap, (now, lot, before, n))
                    continue
                tree[before].append(n)
                tree[n] = [before]
                for branch in self._branches(tree, n, chance):
                    heappush(heap, branch)
            seen |= tree.keys()
            yield tree

    def _branches(self, tree: _Tree, n: int, chance: np.random.Generator) -> Iterator[_Branch]:
        """The branches that may grow from a point of a tree."""
        for m in self._round[n]:
            if (
                m < self._own
                and m not in tree
                and hypot(*(self._points[m] - self._points[n])) < self._longest
            ):
                lot = chance.random()
                yield lot + self._unlike(tree, n, m), lot, n, m

    def _unlike(self, tree: _Tree, n: int, m: int) -> float:
        """How unlike a meander's a branch is: one that goes straight on, or along a bound."""
        others, way = self._round[n], self._way(n, m)
        k = others.index(m)
        along = (others[k - 1] >= self._own) + (others[(k + 1) % len(others)] >= self._own)
        straight = min((cos(way - self._way(n, other)) for other in tree[n]), default=0.0)
        return _LOOK.ends * along + _LOOK.bends * min(straight, 0.0) ** 2

    def round(self, tree: _Tree) -> tuple[Numbers, Mask]:
        """The corners of the line round a tree (n, 2), and which lie towards a bound (n,)."""
        first = n, k = next(iter(tree)), 0
        corners: list[Indices] = []
        while not corners or (n, k) != first:
            others = self._round[n]
            k, before = (k + 1) % len(others), k
            corners.append(np.array((n, others[before], others[k])))
            if others[k] in tree[n]:
                n, k = others[k], self._round[others[k]].index(n)
        three = np.array(corners)
        middle = self._points[three].mean(axis=1)
        own = self._points[three[:, 0]]
        return own + _LOOK.turn * (middle - own), np.asarray((three >= self._own).any(axis=1))


def _line(corners: Numbers, outer: Mask, ground: OpenGround, step: float) -> tuple[Curve, ...] | None:
    """The line past such corners, from the best place where it may begin; None where it would cross something."""
    for k, foot in islice(_roots(corners, outer, ground, step), _ROOTS):
        points = np.concatenate((foot[None], corners[k + 1 :], corners[:k], foot[None]))
        points = even(points, _LOOK.even * step)
        points[1:-1] = (points[:-2] + 2 * points[1:-1] + points[2:]) / 4
        line = _spline(points)
        if _sound(line, ground):
            return tuple(Bezier(*map(as_point, four)) for four in line)
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
    """The cubic B-spline of some points, from the first to the last, as Bézier curves. Shape (n, 4, 2)."""
    p = np.concatenate((2 * points[:1] - points[1:2], points, 2 * points[-1:] - points[-2:-1]))
    one, other = (2 * p[1:-2] + p[2:-1]) / 3, (p[1:-2] + 2 * p[2:-1]) / 3
    node = (p[:-2] + 4 * p[1:-1] + p[2:]) / 6
    return np.stack((node[:-1], one, other, node[1:]), axis=1)


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
