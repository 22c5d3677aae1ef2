"""The net of all that is stitched: strands, cut into pieces wherever another strand begins or ends on them.

A strand is one part of the spine or one shape's outline, a chain of curves. A place on it is the index of a
curve plus the share t of it, so that whole numbers are the ends of its curves. Lengths are inches.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import defaultdict
from collections.abc import Container, Sequence
from itertools import accumulate, chain, islice, pairwise
from math import atan2, floor, hypot, pi, sin, tan
from operator import itemgetter

import numpy as np
from shapely import STRtree, linestrings
from shapely import points as shapely_points

from planner.geometry.arrays import NEIGHBOUR_CHORD_IN, ON_IN, ROUNDING_IN, SAME_RAD, Numbers
from planner.geometry.curves import Arc, Bezier, Curve, Line, Motion, Point, bezier_lengths
from planner.stitching.postman import Edge

_CELL_IN = 1e-3
_SAMPLES, _STEPS = 12, 6


def apart(p: Point, q: Point) -> float:
    """Distance of two points, inches."""
    return hypot(p[0] - q[0], p[1] - q[1])


class Nodes:
    """Numbers for points; two points within ROUNDING_IN are one node."""

    def __init__(self) -> None:
        self.points: list[Point] = []
        self._cells: dict[tuple[int, int], list[int]] = defaultdict(list)

    def at(self, point: Point) -> int:
        """The node at a point, a new one where there is none."""
        x, y = point
        rows = range(floor((y - ROUNDING_IN) / _CELL_IN), floor((y + ROUNDING_IN) / _CELL_IN) + 1)
        for column in range(floor((x - ROUNDING_IN) / _CELL_IN), floor((x + ROUNDING_IN) / _CELL_IN) + 1):
            for row in rows:
                for node in self._cells.get((column, row), ()):
                    if apart(point, self.points[node]) <= ROUNDING_IN:
                        return node
        self._cells[floor(x / _CELL_IN), floor(y / _CELL_IN)].append(len(self.points))
        self.points.append(point)
        return len(self.points) - 1


class Strand:
    """A chain of curves with the nodes that cut it.

    cuts: (place, node), in order; both its ends are among them. known: how far some places on it are from its
    start (inches), those between its curves at least. motion: what lays the curves where the strand lies; strands
    that are alike share curves and known.
    """

    __slots__ = ("_whole", "curves", "cuts", "known", "motion")

    def __init__(
        self,
        curves: tuple[Curve, ...],
        cuts: list[tuple[float, int]],
        known: dict[float, float],
        motion: Motion | None = None,
    ) -> None:
        self.curves = curves
        self.cuts = cuts
        self.known = known
        self.motion = motion
        self._whole: list[tuple[float, float, Edge]] = []  # its pieces, until it is cut again

    @property
    def start(self) -> int:
        """The node where it begins."""
        return self.cuts[0][1]

    @property
    def end(self) -> int:
        """The node where it ends."""
        return self.cuts[-1][1]

    @property
    def closed(self) -> bool:
        """Whether it ends where it begins."""
        return self.start == self.end

    def point(self, place: float) -> Point:
        """The point at a place, in quilt coordinates."""
        i = min(floor(place), len(self.curves) - 1)
        point = self.curves[i].point(place - i)
        return self.motion.point(point) if self.motion else point

    def node_at(self, nodes: Nodes, place: float) -> int:
        """The node at a place; the strand is cut there."""
        i = bisect_left(self.cuts, (place, -1))
        if i < len(self.cuts) and self.cuts[i][0] == place:
            return self.cuts[i][1]
        node = nodes.at(self.point(place))
        self.cut(place, node)
        return node

    def cut(self, place: float, node: int) -> None:
        """Cut at a node that lies on the strand; a node that cuts it already changes nothing."""
        if node not in map(itemgetter(1), self.cuts):
            insort(self.cuts, (place, node))
            self._whole = []

    def tie(self, side: int, point: Point) -> None:
        """Let the strand begin (side 0) or end (side 1) in a point within ON_IN of where it does."""
        curves = list(self.curves)
        curves[-side] = tied(curves[0], point) if side == 0 else tied(curves[-1].reversed(), point).reversed()
        self.curves = tuple(curves)

    def along(self, place: float) -> float:
        """How far a place is from the start, inches."""
        known = self.known
        if place not in known:
            whole = floor(place)
            known[place] = known[whole] + part(self.curves[whole], 0.0, place - whole).length
        return known[place]

    def pieces(self, among: Container[int] | None = None) -> Sequence[tuple[float, float, Edge]]:
        """The pieces between the cuts: from place, to place, and the edge of the net.

        among: cut only at these nodes.
        """
        cuts = self.cuts
        if among is not None:
            return self._pieces([cuts[0], *(cut for cut in cuts[1:-1] if cut[1] in among), cuts[-1]])
        if not self._whole:
            self._whole = self._pieces(cuts)
        return self._whole

    def _pieces(self, cuts: Sequence[tuple[float, int]]) -> list[tuple[float, float, Edge]]:
        known = self.known
        ends = [(place, node, known[place] if place in known else self.along(place)) for place, node in cuts]
        return [(p, q, (a, b, ended - begun)) for (p, a, begun), (q, b, ended) in pairwise(ends)]

    def between(self, p: float, q: float) -> tuple[Curve, ...]:
        """The curves from one place to another; backwards when q < p."""
        if q < p:
            return tuple(c.reversed() for c in reversed(self.between(q, p)))
        out = []
        for i in range(floor(p), len(self.curves)):
            first, last = max(p - i, 0.0), min(q - i, 1.0)
            if first < last:
                curve = part(self.curves[i], first, last)
                out.append(curve.moved(self.motion) if self.motion else curve)
        return tuple(out)

    def nearest(self, point: Point) -> tuple[float, float]:
        """The place nearest to a point, and how far it is (inches); of a strand that no motion laid."""
        shares = nearest_shares(self.curves, [point] * len(self.curves))
        far, i = min(
            (apart(c.point(t), point), i) for i, (c, t) in enumerate(zip(self.curves, shares, strict=True))
        )
        return i + shares[i], far


class Finder:
    """Finds which of some strands a point lies on."""

    def __init__(self, strands: Sequence[Strand]) -> None:
        self.strands = strands
        curves = [(i, k, curve) for i, strand in enumerate(strands) for k, curve in enumerate(strand.curves)]
        curves.sort(key=lambda one: isinstance(one[2], Bezier))
        self._curves = curves
        plain = [curve.points(NEIGHBOUR_CHORD_IN) for *_, curve in curves if not isinstance(curve, Bezier)]
        coords, counts = points_on([curve for *_, curve in curves[len(plain) :] if isinstance(curve, Bezier)])
        coords = np.concatenate((np.array([p for one in plain for p in one]).reshape(-1, 2), coords))
        index = np.repeat(np.arange(len(curves)), [*(len(one) for one in plain), *counts])
        self._tree = STRtree(np.atleast_1d(np.asarray(linestrings(coords, indices=index))))

    def on(self, points: Sequence[Point], own: Sequence[int] = ()) -> list[list[tuple[int, float]]]:
        """For each point the strands it lies on, nearest first: their index, and the place on each.

        own: for each point a strand not to look at, the one whose end it is.
        """
        found: list[dict[int, tuple[float, float]]] = [{} for _ in points]
        if not points:
            return []
        query = self._tree.query(
            shapely_points(np.array(points)), predicate="dwithin", distance=NEIGHBOUR_CHORD_IN + ON_IN
        )
        near = [(n, *self._curves[c]) for n, c in query.T.tolist() if not own or own[n] != self._curves[c][0]]
        shares = nearest_shares([curve for *_, curve in near], [points[n] for n, *_ in near])
        for (n, i, k, curve), t in zip(near, shares, strict=True):
            far = apart(curve.point(t), points[n])
            if far <= ON_IN and far < found[n].get(i, (ON_IN + 1, 0.0))[0]:
                found[n][i] = (far, k + t)
        return [
            [(i, place) for _, i, place in sorted((f, i, p) for i, (f, p) in one.items())] for one in found
        ]


def points_on(curves: Sequence[Bezier]) -> tuple[Numbers, list[int]]:
    """Points along all the curves, one after another, as ``Bezier.points`` finds them, and how many on each."""
    p0, p1, p2, p3 = _handles(curves).transpose(1, 0, 2)
    bend = np.maximum(np.hypot(*(p0 - 2 * p1 + p2).T), np.hypot(*(p1 - 2 * p2 + p3).T))
    n = np.maximum(1, np.ceil(np.sqrt(0.75 * bend / NEIGHBOUR_CHORD_IN))).astype(int)
    which = np.repeat(np.arange(len(curves)), n + 1)
    step = np.arange(len(which)) - np.repeat(np.cumsum(n + 1) - n - 1, n + 1)
    t = (step / n[which])[:, None]
    a, b, c = p3 - 3 * p2 + 3 * p1 - p0, 3 * (p2 - 2 * p1 + p0), 3 * (p1 - p0)
    return ((a[which] * t + b[which]) * t + c[which]) * t + p0[which], (n + 1).tolist()


def _handles(curves: Sequence[Bezier]) -> Numbers:
    """The ends and handles of n curves. Shape (n, 4, 2)."""
    numbers = chain.from_iterable((*c.p0, *c.p1, *c.p2, *c.p3) for c in curves)
    return np.fromiter(numbers, float, 8 * len(curves)).reshape(-1, 4, 2)


def lengths_along(chains: Sequence[Sequence[Curve]]) -> list[dict[float, float]]:
    """How far the places between the curves of each chain are from its start (inches).

    All Bézier curves are measured at once.
    """
    curves = [curve for chain in chains for curve in chain]
    beziers = iter(bezier_lengths(_handles([c for c in curves if isinstance(c, Bezier)])).tolist())
    length = iter([next(beziers) if isinstance(c, Bezier) else c.length for c in curves])
    return [dict(enumerate(accumulate(islice(length, len(chain)), initial=0.0))) for chain in chains]


def part(curve: Curve, first: float, last: float) -> Curve:
    """The part of a curve from one share of it to another."""
    if (first, last) == (0.0, 1.0):
        return curve
    if isinstance(curve, Line):
        return Line(curve.point(first), curve.point(last))
    if isinstance(curve, Arc):
        return Arc(
            curve.centre, curve.radius, curve.begin + first * curve.sweep, (last - first) * curve.sweep
        )
    tail = curve.split(first)[1] if first > 0 else curve
    return tail.split((last - first) / (1 - first))[0] if last < 1 else tail


def tied(curve: Curve, start: Point) -> Curve:
    """The curve begun at another point a hair away; an arc keeps how far it turns."""
    if isinstance(curve, Line):
        return Line(start, curve.end)
    if isinstance(curve, Bezier):
        return Bezier(start, curve.p1, curve.p2, curve.p3)
    (x, y), half = curve.end, curve.sweep / 2
    chord = apart(start, curve.end)
    if chord <= ON_IN or abs(sin(half)) < SAME_RAD:
        return curve
    # The centre lies on the chord's bisector; seen from it the chord spans the sweep.
    off = 0.5 / tan(half)
    centre = (
        (start[0] + x) / 2 - off * (y - start[1]),
        (start[1] + y) / 2 + off * (x - start[0]),
    )
    begin = atan2(start[1] - centre[1], start[0] - centre[0])
    return Arc(centre, chord / (2 * abs(sin(half))), begin, curve.sweep)


def nearest_shares(curves: Sequence[Curve], points: Sequence[Point]) -> list[float]:
    """The share t (0..1) at which each curve comes nearest to its point; all Bézier curves at once."""
    beziers = [(c, p) for c, p in zip(curves, points, strict=True) if isinstance(c, Bezier)]
    on_beziers = iter(_nearest_on_beziers(*zip(*beziers, strict=True)) if beziers else ())
    return [
        next(on_beziers) if isinstance(curve, Bezier) else _nearest_share(curve, point)
        for curve, point in zip(curves, points, strict=True)
    ]


def _nearest_share(curve: Line | Arc, point: Point) -> float:
    if isinstance(curve, Line):
        dx, dy = curve.end[0] - curve.start[0], curve.end[1] - curve.start[1]
        along = (point[0] - curve.start[0]) * dx + (point[1] - curve.start[1]) * dy
        return min(max(along / ((dx * dx + dy * dy) or 1.0), 0.0), 1.0)
    turn = 1 if curve.sweep >= 0 else -1
    middle = curve.begin + curve.sweep / 2
    off = atan2(point[1] - curve.centre[1], point[0] - curve.centre[0]) - middle
    off = (off + pi) % (2 * pi) - pi
    return min(max(0.5 + turn * off / (abs(curve.sweep) or 1.0), 0.0), 1.0)


def _nearest_on_beziers(curves: Sequence[Bezier], points: Sequence[Point]) -> list[float]:
    """The best of a few samples, bettered by Gauss–Newton steps; exact for points on the curve."""
    p0, p1, p2, p3 = _handles(curves).transpose(1, 0, 2)
    a, b, c = p3 - 3 * p2 + 3 * p1 - p0, 3 * (p2 - 2 * p1 + p0), 3 * (p1 - p0)
    goal = np.array(points) - p0
    t = np.linspace(0.0, 1.0, _SAMPLES + 1)[:, None, None]
    off = np.hypot(*np.moveaxis(((a * t + b) * t + c) * t - goal, 2, 0))
    t = np.argmin(off, axis=0)[:, None] / _SAMPLES
    for _ in range(_STEPS):
        off, speed = ((a * t + b) * t + c) * t - goal, (3 * a * t + 2 * b) * t + c
        square = (speed * speed).sum(axis=1, keepdims=True)
        t = np.clip(t - (off * speed).sum(axis=1, keepdims=True) / np.where(square, square, 1.0), 0.0, 1.0)
    return [float(share) for share in t[:, 0]]
