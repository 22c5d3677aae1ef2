"""A small meander behind a fill: one line that wanders everywhere, never crosses itself, and comes home.

It goes round a tree. Points about two lines apart are joined by lot to trees, one for each piece of open ground;
whoever walks round a tree comes along either side of every branch, once, and so through every triangle between
the points. The line runs half way from each point to the middle of each triangle that it passes there, so that it
lies evenly between its own turns (the tree on its one side, the tree of the triangles on its other). Inches.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from math import atan2, cos, pi, sin, tau

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.fills.backgrounds.open_ground import OpenGround, in_open_grounds
from planner.fills.backgrounds.record import BackgroundRecord, Lines
from planner.fills.growing.contour import as_point
from planner.fills.growing.finish import Settled
from planner.fills.growing.grow import Ground, Needs
from planner.fills.record import ThreadFigures
from planner.geometry.arrays import Indices, Numbers
from planner.geometry.curves import Bezier, Curve


@dataclass(frozen=True, slots=True)
class _Meander:
    """The proportions of a meander, in steps: from one turn of the line to the next. Common practice, no source."""

    step: float = 0.12  # Of the room: plainly closer than plumes ...
    step_in: tuple[float, float] = (0.1, 0.16)  # ... but no closer than a hand can turn.
    apart: float = 2.0  # From point to point: a line passes on either side of each.
    branch_off: float = 0.84  # From a branch to whatever is stitched.
    branch_off_edge: float = 0.5  # And to the edge of its pocket, beyond which the next meander lies.
    farther: float = 0.2  # By so much more a point lies off both.
    # No farther from its edge: what is left open there is seen twice, in the next pocket too.
    first: float = 1.2
    longest: float = 3.2  # Of a branch.
    grain: float = 0.27  # From one place that a point may take to the next.
    mixed: float = 0.8  # By so much a point may lie farther from the others than the nearest place.
    round_: float = 0.77  # From a point to the line round it where there is no triangle.
    goes_on: float = 0.4  # How often a branch goes on from the last one's end, not from anywhere.
    bends: float = 3.0  # How much rather it bends than goes straight on.
    bent: float = 0.2  # Cosine of the turn that it likes best: nearly a right angle.
    root: float = 2.2  # The way from a point to the line on which the meander begins.


_LOOK = _Meander()
_SPREAD = pi / 3  # from one corner of the line to the next where it goes round a point
_ROUGH = 0.05  # of the way that is kept off it, what is stitched is looked at so roughly
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
    free = _free(ground, _LOOK.branch_off * step, _LOOK.branch_off_edge * step)
    within = shapely.buffer(ground.ground, -_LOOK.first * step)
    points = _points(shapely.buffer(free, -_LOOK.farther * step), within, step, chance)
    if not len(points) or not len(ground.feet):
        return []
    triangles, sides = _triangles(points, _LOOK.longest * step, free)
    net = _Net(points, triangles, sides, _LOOK.round_ * step)
    stitched, found = list(ground.stitched), []
    trees = list(_trees(net, chance))
    while trees:
        tree = trees.pop()
        line = _line(net, tree, replace(ground, stitched=stitched), step)
        if line:
            found.append(line)
            stitched.append(shapely.LineString([curve.start for curve in line]))
        elif len(tree.nodes) > 1:
            trees += tree.halves()
    return found


def _free(ground: OpenGround, off: float, off_edge: float) -> BaseGeometry:
    """What of a ground lies in no shape, so far off all that is stitched, and so far within its edge."""
    lines = shapely.simplify(ground.stitched, _ROUGH * off, preserve_topology=False)
    near = shapely.MultiLineString(list(lines)).buffer(off, quad_segs=3)
    taken = shapely.union(shapely.union_all(ground.cloth), near)
    return shapely.difference(shapely.buffer(ground.ground, -off_edge, quad_segs=4), taken)


def _points(free: BaseGeometry, within: BaseGeometry, step: float, chance: np.random.Generator) -> Numbers:
    """Points in free ground, each beside those before it, first those that do not lie well within. Shape (n, 2)."""
    grain = _LOOK.grain * step
    low, high = np.array(free.bounds).reshape(2, 2)
    if np.isnan(low).any():
        return np.zeros((0, 2))
    across, down = (np.arange(a, z, grain) for a, z in zip(low, high, strict=True))
    places = np.stack(np.meshgrid(across, down), axis=-1).reshape(-1, 2)
    places += chance.uniform(-grain / 2, grain / 2, places.shape)
    shapely.prepare(free)
    places = places[shapely.contains_xy(free, *places.T)]
    far = np.full(len(places), 100 * step)
    shapely.prepare(within)
    lot = step * (_LOOK.mixed * chance.uniform(size=len(places)) + shapely.contains_xy(within, *places.T))
    found = []
    while len(places):
        point = places[np.argmin(far + lot)]
        found.append(point)
        away = np.hypot(*(places - point).T)
        stay = away >= _LOOK.apart * step
        places, far, lot = places[stay], np.minimum(far, away)[stay], lot[stay]
    return np.array(found).reshape(-1, 2)


def _triangles(points: Numbers, longest: float, free: BaseGeometry) -> tuple[Indices, Indices]:
    """Delaunay's triangles between points that lie in free ground (m, 3), and the sides that do (k, 2)."""
    if len(points) < 3:  # there is no triangle, and at most one side
        triangles = np.zeros((0, 3), dtype=np.int64)
        sides = np.arange(len(points) // 2 * 2).reshape(-1, 2)
    else:
        found = shapely.get_parts(shapely.delaunay_triangles(shapely.multipoints(points)))
        corners = shapely.get_coordinates(found).reshape(-1, 4, 2)[:, :3].reshape(-1, 2)
        which = shapely.STRtree(list(map(shapely.Point, points))).nearest(list(map(shapely.Point, corners)))
        triangles = np.sort(np.asarray(which).reshape(-1, 3))
        sides = np.unique(triangles[:, [[0, 1], [0, 2], [1, 2]]].reshape(-1, 2), axis=0)
    shapely.prepare(free)
    lines = shapely.linestrings(points[sides])
    sides = sides[(shapely.length(lines) < longest) & shapely.covers(free, lines)]
    return triangles[shapely.covers(free, shapely.polygons(points[triangles]))], sides


class _Net:
    """Points, and round each of them the others to which a branch may lead, in turn."""

    def __init__(self, points: Numbers, triangles: Indices, sides: Indices, radius: float) -> None:
        self.points, self._radius = points, radius
        beside: defaultdict[int, list[int]] = defaultdict(list)
        for one, other in sides.tolist():
            beside[one].append(other)
            beside[other].append(one)
        self.round = [self._in_turn(n, beside[n]) for n in range(len(points))]
        self._triangles = set(map(frozenset, triangles.tolist()))

    def _in_turn(self, n: int, others: list[int]) -> list[int]:
        return sorted(others, key=lambda m: self.way(n, m))

    def way(self, n: int, m: int) -> float:
        """The direction from one point to another."""
        x, y = self.points[m] - self.points[n]
        return atan2(y, x)

    def opening(self, n: int, k: int) -> tuple[float, float] | None:
        """Where the ground beside a point opens, after its k-th neighbour; None where a triangle lies."""
        others = self.round[n]
        if not others:
            return 0.0, tau
        one, other = others[k], others[(k + 1) % len(others)]
        begin = self.way(n, one)
        turn = (self.way(n, other) - begin) % tau or tau
        return None if turn < pi and {n, one, other} in self._triangles else (begin, turn)

    def corners(self, n: int, k: int) -> list[Numbers]:
        """Where the line goes round a point, after its k-th neighbour."""
        opening = self.opening(n, k)
        if not opening:
            one, other = self.round[n][k], self.round[n][(k + 1) % len(self.round[n])]
            return [np.asarray(self.points[[n, n, n, n, one, other]].mean(axis=0))]
        begin, turn = opening
        count = max(1, round(turn / _SPREAD) - 1)
        return [self.beside(n, begin + turn * (k + 0.5) / count) for k in range(count)]

    def beside(self, n: int, way: float) -> Numbers:
        """Where the line passes a point on that side."""
        return np.asarray(self.points[n] + self._radius * np.array((cos(way), sin(way))))


@dataclass(frozen=True, slots=True)
class _Tree:
    """Points joined by branches without a ring, and from which other one each of them but the first was come to."""

    nodes: list[int]
    before: dict[int, int]

    def joins(self, one: int, other: int) -> bool:
        """Whether a branch leads from one to the other."""
        return self.before.get(one) == other or self.before.get(other) == one

    def halves(self) -> tuple[_Tree, _Tree]:
        """Cut at the branch that leaves two trees as alike as can be."""
        sizes = dict.fromkeys(self.nodes, 1)
        for node in self.nodes[:0:-1]:
            sizes[self.before[node]] += sizes[node]
        cut = min(self.nodes[1:], key=lambda node: abs(2 * sizes[node] - len(self.nodes)))
        above = {cut}
        for node in self.nodes[1:]:
            if self.before[node] in above:
                above.add(node)
        parts = [n for n in self.nodes if n not in above], [n for n in self.nodes if n in above]
        one, other = (_Tree(nodes, {n: self.before[n] for n in nodes[1:]}) for nodes in parts)
        return one, other


def _trees(net: _Net, chance: np.random.Generator) -> Iterator[_Tree]:
    """Every point in a tree, as few of them as can be."""
    seen: set[int] = set()
    for root in range(len(net.points)):
        if root in seen:
            continue
        ends: list[tuple[int, int | None]] = [(root, None)]
        tree = _Tree([root], {})
        seen.add(root)
        while ends:
            k = -1 if chance.random() < _LOOK.goes_on else int(chance.integers(len(ends)))
            node, before = ends[k]
            others = [m for m in net.round[node] if m not in seen]
            if not others:
                ends.pop(k)
                continue
            weight = np.ones(len(others))
            if before is not None:
                straight = np.cos([net.way(node, m) - net.way(before, node) for m in others])
                weight = np.exp(-_LOOK.bends * np.abs(straight - _LOOK.bent))
            chosen = others[int(chance.choice(len(others), p=weight / weight.sum()))]
            seen.add(chosen)
            tree.nodes.append(chosen)
            tree.before[chosen] = node
            ends.append((chosen, node))
        yield tree


def _line(net: _Net, tree: _Tree, ground: OpenGround, step: float) -> tuple[Curve, ...] | None:
    """The line round a tree, from the best place where it may begin; None where it crosses something from each."""
    for node, k, foot in islice(_roots(net, tree, ground, step), _ROOTS):
        line = _spline(foot, _round(net, tree, node, k, foot))
        if _sound(line, ground):
            return tuple(Bezier(*map(as_point, four)) for four in line)
    return None


def _roots(net: _Net, tree: _Tree, ground: OpenGround, step: float) -> Iterator[tuple[int, int, Numbers]]:
    """Where the line may begin: a point, after which of its neighbours the ground opens there, and the foot."""
    points = net.points[tree.nodes]
    far = np.hypot(*(points[:, None] - ground.feet).transpose(2, 0, 1))
    rise = ((points[:, None] - ground.feet) * ground.ways).sum(axis=2)
    far[rise < 0.7 * far] = np.inf
    near = far.argmin(axis=1)
    for i in np.argsort(far.min(axis=1)).tolist():
        if far[i, near[i]] > _LOOK.root * step:
            return
        node, foot = tree.nodes[i], ground.feet[near[i]]
        x, y = foot - net.points[node]
        for k in range(max(1, len(net.round[node]))):
            opening = net.opening(node, k)
            if opening and (atan2(y, x) - opening[0]) % tau < opening[1]:
                yield node, k, foot


def _round(net: _Net, tree: _Tree, node: int, k: int, foot: Numbers) -> Numbers:
    """The corners of the line round a tree, from the foot back to it. Shape (n, 2)."""
    opening = net.opening(node, k)
    assert opening
    x, y = foot - net.points[node]
    at = (atan2(y, x) - opening[0]) % tau
    own = net.corners(node, k)
    ways = [(atan2(*(one - net.points[node])[::-1]) - opening[0]) % tau for one in own]
    found = [one for one, way in zip(own, ways, strict=True) if way > at + _SPREAD / 2]
    last = [one for one, way in zip(own, ways, strict=True) if way < at - _SPREAD / 2]
    first = (node, k)
    while others := net.round[node]:
        k = (k + 1) % len(others)
        if tree.joins(node, others[k]):
            node, before = others[k], node
            k = net.round[node].index(before)
        if (node, k) == first:
            break
        found += net.corners(node, k)
    return np.array(found + last)


def _spline(foot: Numbers, corners: Numbers) -> Numbers:
    """The cubic B-spline of the corners, begun and ended at the foot, as Bézier curves. Shape (n, 4, 2)."""
    p = np.concatenate((2 * foot - corners[:1], foot[None], corners, foot[None], 2 * foot - corners[-1:]))
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
    reach=0.78,
    draw=meander,
    shape="meander",
    shapes={"meander": "the meander"},
    fill_kept=0.90,
    thread=ThreadFigures(area=1.25, spine=1.02, feature=-0.68),
)
