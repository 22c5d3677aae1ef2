"""The net of a pocket's echo lines: joined along the edge two by two, and by hops along the creases. Inches.

Of all ways to join two lines that follow each other, the shortest that together leave none alone are taken
(Kruskal's minimum spanning tree, its root the spine); a hop from crease to crease is preferred, since it is seen
least.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, ceil, cos, dist, pi, sin

import shapely

from planner.fills.echoing.discs import Disc
from planner.fills.echoing.ends import SPINE, joints
from planner.fills.echoing.lines import EchoLine, Node
from planner.fills.echoing.shares import Share
from planner.fills.growing.ground import Ground
from planner.geometry.arrays import ROUNDING_IN, SAME_IN
from planner.geometry.curves import Arc, Curve, Line, Point

_CHORD_IN = 5e-5  # how far polylines stray from the lines
_END_IN = 1.5e-3  # a hop crosses nothing so far from where it begins and ends
_CLEAR_IN = 0.02  # and so far from there
_OFF_LINES_IN = 2e-3  # it keeps so far from all lines
_TRIED = 40  # places on a disc
_RISE = 0.15  # radians: at no smaller angle a hop meets the spine
_OFF_IN = 0.025  # and so far it keeps from all else: what is nearer would count as what it begins on
_FARTHEST = 3.0  # steps: no hop between lines is longer
_SHARES = (0.5, 0.3, 0.7, 0.15, 0.85)  # of an arc, where a line may be reached
_ASIDE = 3.0  # a hop that does not go from crease to crease counts so many times
_OTHER_CREASE = 1.5  # and one to a crease of other discs


@dataclass(frozen=True, slots=True)
class Hop:
    """A way from one line (by number, or the spine) to another, at places of theirs, and what it costs."""

    one: int
    other: int
    place: float
    back: float
    way: tuple[Point, ...]
    cost: float = 0.0

    @property
    def lines(self) -> tuple[Line, ...]:
        """What is stitched on the way."""
        return tuple(Line(a, z) for a, z in pairwise(self.way))

    def reversed(self) -> Hop:
        """The same, gone the other way."""
        return Hop(self.other, self.one, self.back, self.place, self.way[::-1], self.cost)


def net(
    lines: Sequence[EchoLine], discs: Sequence[Disc], ground: Ground, step: float, share: Share
) -> list[tuple[Curve, ...]]:
    """The lines in the order in which they hang on each other, each begun where it hangs."""
    joined: list[Hop] = []
    hops = list(_hops(lines, discs, ground, step))
    for joint in joints(lines, ground, discs, share):
        length = sum(map(dist, joint.way, joint.way[1:]))
        hop = Hop(joint.one.line, joint.other.line, joint.one.place, joint.other.place, joint.way, length)
        (joined if joint.taken else hops).append(hop)
    tree = _tree(joined, sorted(hops, key=lambda hop: hop.cost), lines)
    found: list[tuple[Curve, ...]] = []
    done: set[Hop] = set()
    seen = {SPINE}
    waiting = [SPINE]
    while waiting:
        for hop in tree[waiting.pop(0)]:
            if hop.other not in seen:
                seen.add(hop.other)
                waiting.append(hop.other)
                first, *rest = lines[hop.other].from_(hop.back)
                *corners, last = hop.lines
                found += [*((line,) for line in corners), (last, *first), *rest]
            elif hop.reversed() not in done:
                found += [(line,) for line in hop.lines]
            done.add(hop)
    return found


def _tree(joined: Sequence[Hop], hops: Sequence[Hop], lines: Sequence[EchoLine]) -> dict[int, list[Hop]]:
    """What joins lines for good, and of the hops that cross nothing those that join what none before them does.

    The hops of each line lead away from it.
    """
    drawn = shapely.STRtree([shapely.LineString(_points(line)) for line in lines])
    used = {line.at(place) for line in lines for place in (0.0, float(len(line.curves)))}
    group = list(range(len(lines) + 1))  # the spine is the last

    def top(i: int) -> int:
        while group[i] != i:
            i = group[i]
        return i

    tree: dict[int, list[Hop]] = defaultdict(list)

    def take(hop: Hop) -> None:
        nonlocal used
        group[top(hop.one)] = top(hop.other)
        used |= set(hop.way)
        tree[hop.one].append(hop)
        tree[hop.other].append(hop.reversed())

    for hop in joined:
        take(hop)
    for strict in (True, False):  # what is left alone then may come near a line
        for hop in hops:
            if top(hop.one) != top(hop.other) and not _crosses(hop, drawn, used, strict):
                take(hop)
    for n, line in enumerate(lines):  # and what is left alone even so
        if top(n) != top(SPINE):
            ways = (hop for hop in _anyhow(n, line, lines) if top(hop.one) == top(SPINE))
            found = next((hop for hop in ways if not _crosses(hop, drawn, used, False)), None)
            if found:
                take(found)
    return tree


def _anyhow(n: int, line: EchoLine, lines: Sequence[EchoLine]) -> list[Hop]:
    """The nearest ways to a line from any other, the shortest first."""
    found = []
    places = [i + share for i, curve in enumerate(line.curves) if isinstance(curve, Arc) for share in _SHARES]
    places += [node.place for node in line.creases]
    for m, other in enumerate(lines):
        drawn = shapely.LineString(_points(other))
        for place in places if m != n else ():
            point = line.at(place)
            foot = drawn.interpolate(drawn.project(shapely.Point(point)))
            found.append(_hop(m, n, 0.0, place, (foot.x, foot.y), point, 1.0))
    return sorted(found, key=lambda hop: hop.cost)


def _crosses(hop: Hop, drawn: shapely.STRtree, used: set[Point], strict: bool) -> bool:
    """Whether a hop crosses a line, or begins near a point used by another; strictly, or comes near a line."""
    if len(drawn.query(_between(hop, _END_IN), predicate="dwithin", distance=2 * _CHORD_IN)):
        return True
    near = strict and len(drawn.query(_between(hop, _CLEAR_IN), predicate="dwithin", distance=_OFF_LINES_IN))
    return bool(near) or any(SAME_IN < dist(p, q) < _OFF_IN for p in hop.way for q in used)


def _points(line: EchoLine) -> list[Point]:
    return [point for curve in line.curves for point in curve.points(_CHORD_IN)]


def _between(hop: Hop, bit: float) -> shapely.LineString:
    """A hop without so many inches at both ends."""
    way = Line(hop.way[0], hop.way[-1])
    share = min(bit / max(way.length, ROUNDING_IN), 0.49)
    return shapely.LineString((way.point(share), way.point(1 - share)))


def _hops(lines: Sequence[EchoLine], discs: Sequence[Disc], ground: Ground, step: float) -> Iterator[Hop]:
    links = [s.curve for s in ground.flank if isinstance(s.curve, Line)]
    for n, line in enumerate(lines):
        if line.level <= 1:
            for node in line.creases:
                foot = _foot(node, discs, links)
                if foot:
                    yield _hop(SPINE, n, 0.0, node.place, foot, node.point, 1.0)
            yield from _radial(n, line, [], discs)
        before = [(m, other) for m, other in enumerate(lines) if other.level == ceil(line.level) - 1]
        for m, other in before:
            for node in line.creases:
                for end in other.creases:
                    if dist(node.point, end.point) < _FARTHEST * step:
                        times = 1.0 if node.discs == end.discs else _OTHER_CREASE
                        yield _hop(m, n, end.place, node.place, end.point, node.point, times)
        if before:
            yield from _radial(n, line, before, discs)


def _hop(one: int, other: int, place: float, back: float, start: Point, end: Point, times: float) -> Hop:
    return Hop(one, other, place, back, (start, end), times * dist(start, end))


def _foot(node: Node, discs: Sequence[Disc], links: Sequence[Line]) -> Point | None:
    """On the spine, where a crease of the first line points to: as far into the cusp between its discs as a needle
    sees it from there, if it does."""
    one, other = sorted((discs[i] for i in node.discs), key=lambda disc: disc.off(node.point))
    (x, y), (u, v), (p, q) = one.centre, other.centre, node.point
    cusp, straight = atan2(v - y, u - x), atan2(q - y, p - x)
    turn = (straight - cusp + pi) % (2 * pi) - pi
    walls = shapely.MultiLineString([shapely.LineString((link.start, link.end)) for link in links])
    for k in range(_TRIED):
        angle = cusp + turn * k / _TRIED
        foot = one.at(angle)
        way = shapely.LineString((node.point, foot))
        seen = ((p - foot[0]) * cos(angle) + (q - foot[1]) * sin(angle)) > _RISE * way.length
        if (
            seen
            and not way.dwithin(walls, _OFF_IN)
            and not any(
                way.distance(shapely.Point(d.centre)) < d.radius + _OFF_IN for d in discs if d is not one
            )
        ):
            return foot
    return None


def _radial(
    n: int, line: EchoLine, before: Sequence[tuple[int, EchoLine]], discs: Sequence[Disc]
) -> Iterator[Hop]:
    """Square to a line, from what lies a step nearer: the lines before it, or the spine."""
    for i, curve in enumerate(line.curves):
        if not isinstance(curve, Arc):
            continue
        middle = curve.begin + curve.sweep / 2
        if not before:
            disc = next(d for d in discs if dist(d.centre, curve.centre) < ROUNDING_IN)
            yield _hop(SPINE, n, 0.0, i + 0.5, disc.at(middle), curve.point(0.5), _ASIDE)
        for m, other in before:
            for j, arc in enumerate(other.curves):
                if isinstance(arc, Arc) and arc.centre == curve.centre:
                    on = (middle - arc.begin) % (2 * pi) / arc.sweep
                    if 0 < on < 1:
                        yield _hop(m, n, j + on, i + 0.5, arc.point(on), curve.point(0.5), _ASIDE)
