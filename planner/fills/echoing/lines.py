"""Echo lines: the arcs of one distance joined where discs meet, each crease drawn out to a tip. Inches, radians."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, ceil, copysign, cos, dist, floor, pi, sin

from planner.fills.echoing.discs import Disc, LevelArc
from planner.geometry.arrays import SAME_IN
from planner.geometry.curves import Arc, Bezier, Curve, Line, Motion, Point, as_arc, mirror_at

_FLAT = 0.25  # a line that turns less where two arcs meet is left as it is, radians
_PUSH = (
    0.55  # a tip is drawn out by this share of what a crease is longer than a step: so no circle wider than
)
_MOST_PUSH = 1.6  # a step fits before it; by so many steps at most
_LEAST_PUSH = 0.1  # drawn out by fewer steps, it is rounded instead
# Steps, and as much as it is drawn out, but no more than above: along so much of both arcs a tip is shaped. A long
# one so stays narrow: shaped along all its length it would be a funnel with room for a circle.
_FLANK = 0.35
_ROUNDED = 0.22  # steps: along so much a crease is rounded
_NARROW = 0.4  # steps: a tip ends so far before the line before it, or where it is half way between two discs
_LONGEST_FLANK = 0.46  # share of an arc
_OPEN = 0.05  # radians: half of what a tip is open, so that a vein runs clear of both flanks
_HANDLE = 0.6  # of a flank's curve, as a share of the flank
_WIDEST = 0.5  # steps: the radius of a circle that may be left before a tip
# Steps: a rest that is no wider has no line of its own; nor one whose way in is wider, or almost as wide.
_NO_LINE, _WIDE, _RISE = 1.05, 0.74, 0.12
_FARTHEST = 4.0  # steps: no tip is drawn out farther
_SAMPLES = 10  # a step
_SHORT_OF = 2  # so many samples before the narrowest place a tip ends: another may come from beyond
_ENDS = ("edge", "open")


@dataclass(frozen=True, slots=True)
class Node:
    """A crease of a line, where another may be joined: its place, and the discs that meet there."""

    place: float
    point: Point
    discs: tuple[int, int]


Part = tuple[float, float, tuple[Curve, ...]]
"""Of a line, from one place to another, and its curves."""


@dataclass(frozen=True, slots=True)
class EchoLine:
    """One line: its level, its curves from end to end, where it may be joined, what it ends on."""

    level: float
    curves: tuple[Curve, ...]
    creases: tuple[Node, ...]
    ends: tuple[str, str]

    @property
    def closed(self) -> bool:
        """Whether it ends where it begins."""
        return self.ends[0] == "closed"

    @property
    def places(self) -> tuple[float, float]:
        """Of its ends, each as in ``ends``."""
        return 0.0, float(len(self.curves))

    def at(self, place: float) -> Point:
        """The point at a place: so many whole curves, and a share of the next."""
        i = min(floor(place), len(self.curves) - 1)
        return self.curves[i].point(place - i)

    def cut(self, places: Iterable[float]) -> Iterator[Part]:
        """The line in parts: it is cut at places, and ends at its ends, if it has any."""
        begin, end = self.places
        stops = sorted({*places, *(() if self.closed else self.places)})
        if self.closed:
            first = stops[0]
            yield stops[-1], first, self._between(stops[-1], end) + self._between(begin, first)
        for one, other in pairwise(stops):
            yield one, other, self._between(one, other)

    def _between(self, one: float, other: float) -> tuple[Curve, ...]:
        return tuple(
            _share(self.curves[i], max(one - i, 0.0), min(other - i, 1.0))
            for i in range(floor(one), ceil(other))
        )

    def faces(self, other: EchoLine) -> bool:
        """Whether another line has an arc about the same disc beside one of its own: nothing lies between them."""
        return any(
            one.centre == arc.centre and _overlap(one, arc)
            for one in self.curves
            if isinstance(one, Arc)
            for arc in other.curves
            if isinstance(arc, Arc)
        )

    @property
    def length(self) -> float:
        """Inches."""
        return sum(curve.length for curve in self.curves)


def lines_of(
    arcs: Sequence[LevelArc], discs: Sequence[Disc], level: float, step: float, mirror: float | None
) -> Iterator[EchoLine]:
    """The arcs of a level as lines."""
    rest = list(arcs)
    while rest:
        chain = [rest.pop()]
        while not _same(chain[-1].curve.end, chain[0].curve.start):
            ahead = next((a for a in rest if _same(a.curve.start, chain[-1].curve.end)), None)
            if ahead is None:
                break
            rest.remove(ahead)
            chain.append(ahead)
        closed = _same(chain[-1].curve.end, chain[0].curve.start)
        while not closed:
            back = next((a for a in rest if _same(a.curve.end, chain[0].curve.start)), None)
            if back is None:
                break
            rest.remove(back)
            chain.insert(0, back)
        yield _line(chain, closed, level, _Creases(discs, level, step, mirror))


def with_images(lines: Sequence[EchoLine], discs: Sequence[Disc], mirror: float | None) -> Iterator[EchoLine]:
    """Lines and their images in the line u = ``mirror``; those that meet their own there are one with it."""
    if mirror is None:
        yield from lines
        return
    turned = mirror_at(mirror)
    images = [_nearest(turned.point(disc.centre), discs) for disc in discs]
    for line in lines:
        image = EchoLine(
            line.level,
            tuple(_image(curve, turned) for curve in reversed(line.curves)),
            tuple(
                Node(
                    len(line.curves) - node.place,
                    turned.point(node.point),
                    _pair(*(images[i] for i in node.discs)),
                )
                for node in reversed(line.creases)
            ),
            line.ends[::-1],
        )
        met = [
            not line.closed and abs(line.at(place)[0] - mirror) < SAME_IN for place in (0, len(line.curves))
        ]
        if not any(met):
            yield line
            yield image
        else:
            one, other = (line, image) if met[1] else (image, line)
            yield _through(one, other, all(met), discs)


def _through(one: EchoLine, other: EchoLine, closed: bool, discs: Sequence[Disc]) -> EchoLine:
    """A line and its image, from end to end or all round; where they meet at an angle is a crease."""
    count = len(one.curves)
    met = [count, 0] if closed else [count]
    arcs = [curve for curve in one.curves if isinstance(curve, Arc)]
    creases = [
        *one.creases,
        *(Node(count + node.place, node.point, node.discs) for node in other.creases),
        *(
            Node(
                place, one.at(place), _pair(_nearest(arcs[end].centre, discs), int(one.ends[end].split()[1]))
            )
            for place in met
            for end in [0 if place == 0 else -1]
            if one.ends[end].startswith("disc")
        ),
    ]
    ends = ("closed", "closed") if closed else (one.ends[0], other.ends[1])
    return EchoLine(one.level, one.curves + other.curves, tuple(creases), ends)


def _image(curve: Curve, turned: Motion) -> Curve:
    """A curve's image, gone the other way: so arcs stay clockwise."""
    if isinstance(curve, Arc):
        return Arc(turned.point(curve.centre), curve.radius, pi - curve.begin - curve.sweep, curve.sweep)
    if isinstance(curve, Line):
        return Line(turned.point(curve.end), turned.point(curve.start))
    return Bezier(*(turned.point(p) for p in (curve.p3, curve.p2, curve.p1, curve.p0)))


def _pair(one: int, other: int) -> tuple[int, int]:
    return min(one, other), max(one, other)


def _nearest(point: Point, discs: Sequence[Disc]) -> int:
    return min(range(len(discs)), key=lambda i: dist(discs[i].centre, point))


def _overlap(one: Arc, other: Arc) -> bool:
    """Whether two arcs about one centre, both clockwise, share an angle."""
    ahead = (other.begin - one.begin) % (2 * pi)
    return ahead < one.sweep or 2 * pi - ahead < other.sweep


def _same(p: Point, q: Point) -> bool:
    return abs(p[0] - q[0]) < SAME_IN and abs(p[1] - q[1]) < SAME_IN


def _line(chain: Sequence[LevelArc], closed: bool, level: float, creases: _Creases) -> EchoLine:
    count = len(chain)
    shaped = [
        creases.of(chain[i].curve, chain[(i + 1) % count].curve)
        for i in range(count if closed else count - 1)
    ]
    head, tail = (
        (None, None) if closed else (creases.at_image(chain[0], True), creases.at_image(chain[-1], False))
    )
    curves: list[Curve] = []
    nodes: list[Node] = []
    if head and head[1][1]:
        curves.append(head[1][1])
    for i, arc in enumerate(chain):
        before = shaped[i - 1] if i or closed else head
        after = shaped[i] if i < len(shaped) else tail
        curves.append(_cut(arc.curve, before[0] if before else 0.0, after[0] if after else 0.0))
        if i < len(shaped):
            one, other = shaped[i][1]
            if one:
                curves.append(one)
            pair = _pair(arc.disc, chain[(i + 1) % count].disc)
            nodes.append(Node(len(curves), curves[-1].end, pair))
            if other:
                curves.append(other)
    if tail and tail[1][0]:
        curves.append(tail[1][0])
    ends = ("closed", "closed") if closed else (chain[0].before, chain[-1].after)
    if not closed:  # where a straight piece of the spine runs between two discs, a line ends at their crease
        for place, arc, end, shape in ((0, chain[0], ends[0], head), (len(curves), chain[-1], ends[1], tail)):
            if end.startswith("disc") and not shape:
                point = curves[0].start if place == 0 else curves[-1].end
                nodes.append(Node(place, point, _pair(arc.disc, int(end.split()[1]))))
    return EchoLine(level, tuple(curves), tuple(nodes), ends)


def _share(curve: Curve, one: float, other: float) -> Curve:
    """A curve from one share of it to another; only arcs are parted."""
    if (one, other) == (0.0, 1.0):
        return curve
    arc = as_arc(curve)
    return Arc(arc.centre, arc.radius, arc.begin + one * arc.sweep, (other - one) * arc.sweep)


def _cut(arc: Arc, before: float, after: float) -> Arc:
    """An arc without so many inches at its ends."""
    begin = arc.begin + before / arc.radius
    return Arc(arc.centre, arc.radius, begin, arc.sweep - (before + after) / arc.radius)


Shaped = tuple[float, tuple[Bezier | None, Bezier | None]]


@dataclass(frozen=True, slots=True)
class _Creases:
    """How creases of one level between some discs are shaped, with lines so many inches apart."""

    discs: Sequence[Disc]
    level: float
    step: float
    mirror: float | None

    def at_image(self, arc: LevelArc, first: bool) -> Shaped | None:
        """A crease on the middle line, where a line meets its own image: its own half of it."""
        curve = arc.curve
        x, _ = curve.start if first else curve.end
        if (
            (arc.before if first else arc.after).split()[0] in _ENDS
            or self.mirror is None
            or abs(x - self.mirror) > SAME_IN
        ):
            return None
        u, v = curve.centre
        image = Arc((2 * x - u, v), curve.radius, pi - curve.begin - curve.sweep, curve.sweep)
        return self.of(image, curve) if first else self.of(curve, image)

    def of(self, one: Arc, other: Arc) -> Shaped:
        """Where two arcs meet: how much of both is left out, and the curves instead, to the tip and on from it."""
        u, v = one.heading(1), other.heading(0)
        turn = (v - u + pi) % (2 * pi) - pi
        if abs(turn) < _FLAT:
            return 0.0, (None, None)
        step, half = self.step, (pi - abs(turn)) / 2
        push = min(_PUSH * (1 / sin(half) - 1), _MOST_PUSH) * step
        rounded = push < _LEAST_PUSH * step
        out, most = atan2(sin(u) - sin(v), cos(u) - cos(v)), _LONGEST_FLANK * min(one.length, other.length)
        push = 0.0 if rounded else self._free(one.end, out, min(push, most))
        flank = min(_ROUNDED * step if rounded else _FLANK * step + min(push, _MOST_PUSH * step), most)
        begin, end = _cut(one, 0, flank), _cut(other, flank, 0)
        ahead = _moved(begin.end, begin.heading(1), _HANDLE * flank)
        back = _moved(end.start, end.heading(0), -_HANDLE * flank)
        if rounded:
            return flank, Bezier(begin.end, ahead, back, end.start).split(0.5)
        tip = _moved(one.end, out, push)
        turned = copysign(1.0, turn)
        before, after = (_moved(tip, out + side * _OPEN, -_HANDLE * push) for side in (turned, -turned))
        return flank, (Bezier(begin.end, ahead, before, tip), Bezier(tip, after, back, end.start))

    def _free(self, crease: Point, out: float, push: float) -> float:
        """How far a tip is drawn out: so far, or until only small circles fit before it; but not past where the way
        between the discs is narrowest, unless what lies beyond is too small for a line of its own."""
        before, bit = (ceil(self.level) - 1) * self.step, self.step / _SAMPLES
        clear: list[float] = []  # how far from the line before, bit by bit
        while len(clear) <= _FARTHEST * _SAMPLES:
            away = min(disc.off(_moved(crease, out, bit * len(clear))) for disc in self.discs) - before
            if away < _NARROW * self.step:
                break
            clear.append(away)
        far = len(clear) - 1
        narrowest = next((n for n, (one, later) in enumerate(pairwise(clear)) if later > one + SAME_IN), None)
        if narrowest is not None:
            beyond = clear[narrowest:]
            top = next((n for n, (one, later) in enumerate(pairwise(beyond)) if n and later < one), 0)
            low, high = beyond[0] / self.step, beyond[top] / self.step
            if top and high < _NO_LINE and (low > _WIDE or high < low + _RISE):
                return bit * (narrowest + top)
            clear, far = clear[: narrowest + 1], narrowest - _SHORT_OF
        widest = _WIDEST * self.step
        needed = max((bit * n - widest for n, away in enumerate(clear) if away > widest), default=0.0)
        return max(0.0, min(bit * far, max(push, needed)))


def _moved(point: Point, heading: float, way: float) -> Point:
    return point[0] + way * cos(heading), point[1] + way * sin(heading)
