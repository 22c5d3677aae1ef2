"""Ways from echo line to echo line: veins along the creases, and others for what hangs on nothing. Inches, radians.

A vein runs from where two circles touch out along the tips of all lines. Where a third circle stands between two,
the veins beside it end and one goes on between the others.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations
from math import atan2, ceil, copysign, cos, dist, hypot, pi, sin, sqrt

import shapely

from planner.fills.echoing.discs import Disc
from planner.fills.echoing.lines import EchoLine, Node
from planner.fills.growing.ground import Ground
from planner.geometry.arrays import CHORD_IN, ROUNDING_IN, SAME_IN, SAME_RAD
from planner.geometry.curves import Arc, Line, Point, mirror_at

SPINE = -1
_TRIED = 40  # places on a disc
_RISE = 0.15  # radians: at no smaller angle a vein meets the spine
_OFF_IN = 0.025  # and so far it keeps from all other spines: what is nearer would count as what it begins on
_LEAST_IN = 0.05  # nearer to each other, two tips would count as one
_FARTHEST = 8.0  # steps: no vein goes farther from line to line
_ALMOST = 0.5  # steps: circles that are nearer to each other count as touching
_SHARES = (0.5, 0.3, 0.7, 0.15, 0.85)  # of an arc, where a line may be reached square to it
_ASIDE = 3.0  # a hop that is no vein counts so many times

Place = tuple[int, float]
"""A line by number, or the spine, and a place of it."""

ON_SPINE: Place = (SPINE, 0.0)


@dataclass(frozen=True, slots=True)
class Hop:
    """A way from a place to another, and what it costs. vein: along a crease, from tip to tip."""

    one: Place
    other: Place
    way: tuple[Point, ...]
    cost: float
    vein: bool = False


def hops(lines: Sequence[EchoLine], discs: Sequence[Disc], ground: Ground, step: float) -> Iterator[Hop]:
    """Every way from a line to those a step nearer to the spine; to the spine for the first."""
    spine = [stretch.curve for stretch in ground.flank]
    if ground.mirror is not None:
        spine += [curve.moved(mirror_at(ground.mirror)) for curve in spine]
    for n, line in enumerate(lines):
        before = [(m, other) for m, other in enumerate(lines) if other.level == ceil(line.level) - 1]
        if line.level <= 1:
            for node in _tips(line):
                foot = _foot(node, discs, spine) if _apart(node, discs) < _ALMOST * step else None
                foot = foot or _on_link(line, node, spine, _FARTHEST * step)
                if foot and not _enters(foot, node.point, discs):
                    way = (foot, node.point)
                    yield Hop(ON_SPINE, (n, node.place), way, dist(*way), vein=True)
        elif line.level % 1 == 0:
            for node in _tips(line):
                yield from _vein(n, line, node, before, discs, step)
        if line.level <= 1 or before:
            yield from _radial(n, line, before, discs)


def _tips(line: EchoLine) -> list[Node]:
    """The creases of a line, but those that would count as one of its ends on the edge."""
    ended = zip(line.places, line.ends, strict=True)
    ends = [line.at(place) for place, end in ended if end.startswith("edge")]
    return [node for node in line.creases if all(dist(node.point, end) > _LEAST_IN for end in ends)]


def _vein(
    n: int,
    line: EchoLine,
    node: Node,
    before: Sequence[tuple[int, EchoLine]],
    discs: Sequence[Disc],
    step: float,
) -> Iterator[Hop]:
    """From the line before to a tip: along its crease; where two others end in that, from the arc between these."""
    circles = _circles(node, discs)
    from_ = [
        ((m, tip.place), tip.point)
        for m, other in before
        for tip in _tips(other)
        if _circles(tip, discs) == circles
    ] or [
        ((m, i + share), arc.point(share))
        for m, other in before
        for i, arc in enumerate(other.curves)
        if isinstance(arc, Arc) and arc.centre not in {discs[k].centre for k in node.discs} | circles
        for share in [_seen(arc, _ahead(line, node, arc))]
        if share <= 1
    ]
    if not from_:  # so short that its flanks leave nothing of it: where these meet
        from_ = [
            ((m, float(i)), other.at(i))
            for m, other in before
            for i in range(1, len(other.curves))
            if all(i != tip.place for tip in other.creases)
        ]
    if from_:
        place, point = min(from_, key=lambda tip: dist(tip[1], node.point))
        far = dist(point, node.point)
        if _LEAST_IN < far < _FARTHEST * step:
            yield Hop(place, (n, node.place), (point, node.point), far, vein=True)


def _circles(node: Node, discs: Sequence[Disc]) -> set[Point]:
    """The centres of the circles between which a crease lies; what runs from one to the next goes on about one."""
    found = set[Point]()
    for one in (discs[i] for i in node.discs):
        touching = (
            disc
            for disc in discs
            if not disc.along and abs(dist(disc.centre, one.centre) + disc.radius - one.radius) < SAME_IN
        )
        found.add(next(touching, one).centre if one.along else one.centre)
    return found


def _axis(line: EchoLine, node: Node) -> Point:
    """Which way a tip points: a direction, (0, 0) where it is rounded or no tip."""
    i = int(node.place)
    if not line.closed and i in (0, len(line.curves)):
        return 0.0, 0.0
    into, on = line.curves[i - 1].heading(1), line.curves[i % len(line.curves)].heading(0)
    p, q = cos(into) - cos(on), sin(into) - sin(on)
    size = hypot(p, q)
    return (p / size, q / size) if size > SAME_IN else (0.0, 0.0)


def _ahead(line: EchoLine, node: Node, arc: Arc) -> Point:
    """Where a tip points to on an arc's circle; where it is rounded, or points past it, the nearest point there."""
    (x, y), (u, v), (p, q) = node.point, arc.centre, _axis(line, node)
    far = dist((x, y), (u, v))
    along = (u - x) * p + (v - y) * q
    deep = arc.radius**2 - far**2 + along**2
    if deep > 0 and along > 0:
        way = along - sqrt(deep)
        return x + way * p, y + way * q
    return u + (x - u) * arc.radius / far, v + (y - v) * arc.radius / far


def _seen(arc: Arc, point: Point) -> float:
    """At which share of an arc a point is seen from its centre; more than 1 if at none."""
    angle, way = atan2(point[1] - arc.centre[1], point[0] - arc.centre[0]), copysign(1, arc.sweep)
    turn = (way * (angle - arc.begin) + SAME_RAD) % (2 * pi) - SAME_RAD
    return min(max(turn, 0.0), max(turn - SAME_RAD, abs(arc.sweep))) / abs(arc.sweep)


def _foot(node: Node, discs: Sequence[Disc], spine: Sequence[Arc | Line]) -> Point | None:
    """On the spine, where a crease of the first line points to: as far into the cusp between its discs as a needle
    sees it from there, if it does; on the one of them that the spine follows there, as far as the pocket knows."""
    pair = sorted((discs[i] for i in node.discs), key=lambda disc: disc.off(node.point))
    for one, other in permutations(pair):
        arcs = [arc for arc in spine if isinstance(arc, Arc) and dist(arc.centre, one.centre) < SAME_IN]
        for foot in _feet(node.point, one, other, discs, spine):
            if any(_seen(arc, foot) <= 1 for arc in arcs):
                return foot
    return None


def _feet(
    point: Point, one: Disc, other: Disc, discs: Sequence[Disc], spine: Sequence[Arc | Line]
) -> Iterator[Point]:
    """Places on a disc that are seen from a point, from the cusp between it and another outwards."""
    (x, y), (u, v), (p, q) = one.centre, other.centre, point
    cusp, straight = atan2(v - y, u - x), atan2(q - y, p - x)
    turn = (straight - cusp + pi) % (2 * pi) - pi
    walls = shapely.MultiLineString([(link.start, link.end) for link in spine if isinstance(link, Line)])
    for k in range(_TRIED):
        angle = cusp + turn * k / _TRIED
        foot = one.at(angle)
        way = shapely.LineString((point, foot))
        if (
            ((p - foot[0]) * cos(angle) + (q - foot[1]) * sin(angle)) > _RISE * way.length
            and not way.dwithin(walls, _OFF_IN)
            and not any(
                way.distance(shapely.Point(d.centre)) < d.radius + _OFF_IN
                for d in discs
                if d is not one and not d.along
            )
        ):
            yield foot


def _enters(foot: Point, point: Point, discs: Sequence[Disc]) -> bool:
    """Whether the way between two points leads through a circle."""
    way = shapely.LineString((foot, point))
    return any(
        way.distance(shapely.Point(disc.centre)) < disc.radius - CHORD_IN for disc in discs if not disc.along
    )


def _on_link(line: EchoLine, node: Node, spine: Sequence[Arc | Line], far: float) -> Point | None:
    """Where a tip points to on a straight piece of the spine; where a line ends beside one, what is nearest."""
    (x, y), (p, q) = node.point, _axis(line, node)
    if (p, q) == (0.0, 0.0):
        links = [shapely.LineString((link.start, link.end)) for link in spine if isinstance(link, Line)]
        ways = [shapely.shortest_line(link, shapely.Point(x, y)) for link in links]
        way = min(ways, key=lambda way: way.length, default=None)
        return (way.coords[0][0], way.coords[0][1]) if way and way.length < far else None
    ahead = shapely.LineString(((x, y), (x + far * p, y + far * q)))
    met = [
        point
        for link in spine
        if isinstance(link, Line)
        for point in [ahead.intersection(shapely.LineString((link.start, link.end)))]
        if isinstance(point, shapely.Point) and not point.is_empty
    ]
    nearest = min(met, key=lambda point: dist((point.x, point.y), (x, y)), default=None)
    return (nearest.x, nearest.y) if nearest else None


def _apart(node: Node, discs: Sequence[Disc]) -> float:
    """How far apart the circles are between which a crease lies."""
    one, other = (discs[i] for i in node.discs)
    return dist(one.centre, other.centre) - one.radius - other.radius


def _radial(
    n: int, line: EchoLine, before: Sequence[tuple[int, EchoLine]], discs: Sequence[Disc]
) -> Iterator[Hop]:
    """Square to a line, from what lies a step nearer: the lines before it, or the spine."""
    arcs = [(i, curve) for i, curve in enumerate(line.curves) if isinstance(curve, Arc)]
    for i, curve in arcs:
        for share in _SHARES:
            angle, end = curve.begin + share * curve.sweep, curve.point(share)
            found: list[tuple[Place, Point]] = []
            if not before:
                disc = next(d for d in discs if dist(d.centre, curve.centre) < ROUNDING_IN)
                found.append((ON_SPINE, disc.at(angle)))
            for m, other in before:
                for j, arc in enumerate(other.curves):
                    if isinstance(arc, Arc) and arc.centre == curve.centre:
                        on = (angle - arc.begin) % (2 * pi) / arc.sweep
                        if 0 < on < 1:
                            found.append(((m, j + on), arc.point(on)))
            for place, point in found:
                aside = _ASIDE + abs(share - 0.5)
                yield Hop(place, (n, i + share), (point, end), aside * dist(point, end))
