"""The net of a pocket's echo lines: joined along the edge two by two, and by hops along the creases. Inches.

Of all ways to join two lines that follow each other, the shortest that together leave none alone are taken
(Kruskal's minimum spanning tree, its root the spine); a hop from crease to crease is preferred, since it is seen
least.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, pairwise
from math import atan2, ceil, cos, hypot, pi, sin

import shapely

from planner.fills.growing.grow import Ground
from planner.fills.styles.echo_discs import Disc
from planner.fills.styles.echo_lines import EchoLine, Node
from planner.geometry.curves import Arc, Curve, Line, Point

_SPINE = -1
_CHORD_IN = 2e-4  # how far polylines stray from the lines
_CLEAR_IN = 1.5e-3  # a hop is looked at this far from where it begins and ends
_TRIED = 40  # places on a disc
_RISE = 0.15  # radians: at no smaller angle a hop meets the spine
_OFF_IN = 0.015  # and so far it keeps from all else
_FARTHEST = 3.0  # steps: no hop between lines is longer
_ASIDE = 3.0  # a hop that does not go from crease to crease counts so many times
_OTHER_CREASE = 1.5  # and one to a crease of other discs


@dataclass(frozen=True, slots=True)
class Hop:
    """A straight way from one line (by number, or the spine) to another, at places of theirs, and what it costs."""

    one: int
    other: int
    place: float
    back: float
    start: Point
    end: Point
    cost: float


def net(lines: Sequence[EchoLine], discs: Sequence[Disc], ground: Ground, step: float) -> list[tuple[Curve, ...]]:
    """The lines in the order in which they hang on each other, each begun where it hangs."""
    hops = sorted(_hops(lines, discs, ground, step), key=lambda hop: hop.cost)
    tree = _spanning(_along_edges(lines, ground), hops, lines)
    found: list[tuple[Curve, ...]] = []
    done: set[tuple[int, int, float]] = set()
    seen = {_SPINE}
    waiting = [_SPINE]
    while waiting:
        here = waiting.pop()
        for hop in tree[here]:
            way = Line(hop.start, hop.end)
            if hop.other not in seen:
                seen.add(hop.other)
                waiting.append(hop.other)
                first, *rest = lines[hop.other].from_(hop.back)
                found += [(way, *first), *rest]
            elif (hop.other, hop.one, hop.back) not in done:
                found.append((way,))
            done.add((hop.one, hop.other, hop.place))
    return found


def _spanning(pairs: Sequence[Hop], hops: Sequence[Hop], lines: Sequence[EchoLine]) -> dict[int, list[Hop]]:
    """All pairs, and of the hops that cross nothing those that join what no hop before them does; those of each
    line, away from it."""
    drawn = shapely.STRtree([shapely.LineString(_points(line)) for line in lines])
    group = list(range(len(lines) + 1))  # the spine is the last

    def top(i: int) -> int:
        while group[i] != i:
            i = group[i]
        return i

    tree: dict[int, list[Hop]] = defaultdict(list)
    for hop in (*pairs, *hops):
        if hop in pairs or (
            top(hop.one) != top(hop.other) and not len(drawn.query(_between(hop), predicate="intersects"))
        ):
            group[top(hop.one)] = top(hop.other)
            tree[hop.one].append(hop)
            tree[hop.other].append(
                Hop(hop.other, hop.one, hop.back, hop.place, hop.end, hop.start, hop.cost)
            )
    return tree


def _points(line: EchoLine) -> list[Point]:
    return [point for curve in line.curves for point in curve.points(_CHORD_IN)]


def _between(hop: Hop) -> shapely.LineString:
    """A hop without its very ends."""
    way = Line(hop.start, hop.end)
    bit = _CLEAR_IN / max(way.length, 2 * _CLEAR_IN)
    return shapely.LineString((way.point(bit), way.point(1 - bit)))


def _along_edges(lines: Sequence[EchoLine], ground: Ground) -> list[Hop]:
    """The ways along the edge between lines that end there side by side, every second one.

    And along the flow line where the pocket begins, so that no line ends there for nothing; those of a corner
    leave that to the pockets that begin beside them.
    """
    planes = [plane for edge in ground.edges for plane in edge.planes]
    ends: dict[str, list[tuple[float, int, float, Point]]] = defaultdict(list)
    gate = _gate(ground)
    for n, line in enumerate(lines):
        for name, place in zip(line.ends, (0.0, float(len(line.curves))), strict=True):
            x, y = point = line.at(place)
            if name.startswith("edge"):
                u, v, _ = planes[int(name.split()[1])]
                ends[name].append((y * u - x * v, n, place, point))
            elif name == "open" and gate and (off := gate(point)):
                ends[name].append((off, n, place, point))
    return [
        Hop(n, m, p, q, start, end, 0.0)
        for side in ends.values()
        for (_, n, p, start), (_, m, q, end) in islice(pairwise(sorted(side)), 0, None, 2)
    ]


def _gate(ground: Ground) -> Callable[[Point], float] | None:
    """How far off its circle a point lies on the flow line where a pocket begins; nought elsewhere."""
    index, share = ground.begin
    arc = ground.flank[index].curve
    if ground.partings or ground.heart or not isinstance(arc, Arc):
        return None
    (x, y), angle, radius = arc.centre, arc.begin + share * arc.sweep, arc.radius

    def off(point: Point) -> float:
        dx, dy = point[0] - x, point[1] - y
        aside = dy * cos(angle) - dx * sin(angle)
        return hypot(dx, dy) - radius if abs(aside) < _SAME_IN and dx * cos(angle) + dy * sin(angle) > 0 else 0.0

    return off


def _hops(lines: Sequence[EchoLine], discs: Sequence[Disc], ground: Ground, step: float) -> Iterator[Hop]:
    links = [s.curve for s in ground.flank if isinstance(s.curve, Line)]
    for n, line in enumerate(lines):
        if line.level <= 1:
            for node in line.creases:
                yield _hop(_SPINE, n, 0.0, node.place, _foot(node, discs, links), node.point, 1.0)
            yield from _radial(n, line, [], discs)
        before = [(m, other) for m, other in enumerate(lines) if other.level == ceil(line.level) - 1]
        for m, other in before:
            for node in line.creases:
                for end in other.creases:
                    if hypot(node.point[0] - end.point[0], node.point[1] - end.point[1]) < _FARTHEST * step:
                        times = 1.0 if node.discs == end.discs else _OTHER_CREASE
                        yield _hop(m, n, end.place, node.place, end.point, node.point, times)
        if before:
            yield from _radial(n, line, before, discs)


def _hop(one: int, other: int, place: float, back: float, start: Point, end: Point, times: float) -> Hop:
    return Hop(one, other, place, back, start, end, times * hypot(end[0] - start[0], end[1] - start[1]))


def _foot(node: Node, discs: Sequence[Disc], links: Sequence[Line]) -> Point:
    """On the spine, where a crease of the first line points to: as far into the cusp between its discs as a needle
    sees it from there."""
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
    return one.at(straight)


def _radial(
    n: int, line: EchoLine, before: Sequence[tuple[int, EchoLine]], discs: Sequence[Disc]
) -> Iterator[Hop]:
    """Square to a line, from what lies a step nearer: the lines before it, or the spine."""
    for i, curve in enumerate(line.curves):
        if not isinstance(curve, Arc):
            continue
        middle = curve.begin + curve.sweep / 2
        if not before:
            disc = next(
                d for d in discs if hypot(d.centre[0] - curve.centre[0], d.centre[1] - curve.centre[1]) < 1e-9
            )
            yield _hop(_SPINE, n, 0.0, i + 0.5, disc.at(middle), curve.point(0.5), _ASIDE)
        for m, other in before:
            for j, arc in enumerate(other.curves):
                if isinstance(arc, Arc) and arc.centre == curve.centre:
                    on = (middle - arc.begin) % (2 * pi) / arc.sweep
                    if 0 < on < 1:
                        yield _hop(m, n, j + on, i + 0.5, arc.point(on), curve.point(0.5), _ASIDE)
