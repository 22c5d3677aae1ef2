"""The net of a pocket's echo lines: joined along the edge two by two, and by a vein along each crease. Inches.

What hangs on nothing even so, as in a corner, is joined by the shortest hops that together leave no line alone
(Kruskal's minimum spanning tree, its root the spine).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import dist
from typing import Any

import shapely

from planner.fills.echoing.discs import Disc
from planner.fills.echoing.ends import Joint, joints
from planner.fills.echoing.hops import ON_SPINE, SPINE, Hop, Place, hops
from planner.fills.echoing.lines import EchoLine
from planner.fills.echoing.shares import Ray, Share, rays_of
from planner.fills.growing.ground import Ground
from planner.geometry.arrays import CHORD_IN, ROUNDING_IN, SAME_IN
from planner.geometry.curves import Curve, Line, Point

_CHORD_IN = 5e-5  # how far polylines stray from the lines
_END_IN = 1.5e-3  # a hop crosses nothing so far from where it begins and ends
_CLEAR_IN = 0.02  # and so far from there
_OFF_LINES_IN = 2e-3  # it keeps so far from all lines
_TIP_IN = 0.12  # so far from a tip a vein may run beside the two flanks of that
_OFF_IN = 0.025  # what begins so near to what begins elsewhere would count as beginning there


@dataclass(frozen=True, slots=True)
class Bit:
    """What is stitched from one place to another with nothing joined between."""

    one: Place
    other: Place
    curves: tuple[Curve, ...]

    def turned(self) -> Bit:
        """The same, stitched the other way."""
        return Bit(self.other, self.one, tuple(curve.reversed() for curve in reversed(self.curves)))


def net(
    lines: Sequence[EchoLine], discs: Sequence[Disc], ground: Ground, step: float, share: Share
) -> list[list[tuple[Curve, ...]]]:
    """What is stitched, each begun where it hangs: what the pocket gives at its rays, one by one; last all else."""
    rays = rays_of(ground)
    gives, takes = (
        [_on(rays[over.ray], over.until, ground, lines) for over in some]
        for some in (share.gives, share.takes)
    )
    drawn = shapely.STRtree([shapely.LineString(_points(line)) for line in lines])
    along = [(_hop(joint), joint.taken) for joint in joints(lines, ground, discs)]
    loose = [*hops(lines, discs, ground, step), *(hop for hop, sure in along if not sure)]
    others = sorted(loose, key=lambda hop: hop.cost)
    taken = list(_taken(lines, drawn, [hop for hop, sure in along if sure], others))
    while True:
        bits = _bits(taken, lines)
        given, kept = _given(gives, bits, lines)
        left = (hop for hop in others if hop not in taken)
        more = _missing(takes, kept, lines, drawn, left)
        if more is None:
            break
        taken.append(more)
    seen = {ON_SPINE}
    found = []
    for ends, some in zip(gives, given, strict=True):
        seen |= {*ends}
        found.append(list(_walk(some, seen)))
    return [*found, list(_walk(kept, seen))]


def _hop(joint: Joint) -> Hop:
    one, other = ((end.line, end.place) for end in (joint.one, joint.other))
    return Hop(one, other, joint.way, sum(map(dist, joint.way, joint.way[1:])))


def _given(
    rays: Sequence[Sequence[Place]], bits: Sequence[Bit], lines: Sequence[EchoLine]
) -> tuple[list[list[Bit]], list[Bit]]:
    """What is given at some rays, where some lines end; and what is left."""
    given: list[list[Bit]] = []
    kept = list(bits)
    for ends in rays:
        given.append(_over(ends, kept, lines))
        kept = [bit for bit in kept if bit not in given[-1]]
    return given, kept


def _missing(
    rays: Sequence[Sequence[Place]],
    kept: Sequence[Bit],
    lines: Sequence[EchoLine],
    drawn: shapely.STRtree,
    others: Iterable[Hop],
) -> Hop | None:
    """The next hop that what is kept needs to hang together, if there is any; beyond a ray where others give, each
    two lines are one."""
    group = _Groups()  # of places
    parts: dict[int, list[Bit]] = defaultdict(list)
    for bit in kept:
        group.join(bit.one, bit.other)
        if bit.one[0] == bit.other[0] != SPINE:
            parts[bit.one[0]].append(bit)
    for ends in rays:
        for n in range(len(ends), 0, -2):
            group.join(ends[n - 1], ends[n - 2] if n > 1 else ON_SPINE)
    if all(group.of(bit.one) == group.of(ON_SPINE) for bit in kept):
        return None

    def part(place: Place) -> Hashable:
        bits = (bit.one for bit in parts[place[0]] if bit.one[1] <= place[1] <= bit.other[1])
        return group.of(ON_SPINE) if place == ON_SPINE else next(map(group.of, bits), None)

    used = _ends(lines)
    for hop in others:
        one, other = part(hop.one), part(hop.other)
        if one and other and one != other and not _crosses(hop, drawn, used, True):
            return hop
    return None


class _Groups:
    """What hangs together (Galler and Fischer 1964)."""

    def __init__(self) -> None:
        self._up: dict[Hashable, Hashable] = {}

    def of(self, one: Hashable) -> Hashable:
        """One of those with which it hangs together, the same for all."""
        while (up := self._up.setdefault(one, one)) != one:
            one = up
        return one

    def join(self, one: Hashable, other: Hashable) -> None:
        """From now on these hang together."""
        self._up[self.of(one)] = self.of(other)


def _ends(lines: Sequence[EchoLine]) -> set[Point]:
    return {line.at(place) for line in lines for place in line.places}


def _on(ray: Ray | None, until: float, ground: Ground, lines: Sequence[EchoLine]) -> list[Place]:
    """The ends of lines on a ray, from the spine outwards, so far at most."""
    if ray is None:
        return []
    way = shapely.LineString((ray.at(0), ray.at(min(until, ray.length(ground)))))
    ends = [
        (way.project(point), (n, place))
        for n, line in enumerate(lines)
        for place, kind in zip(line.places, line.ends, strict=True)
        for point in [shapely.Point(line.at(place))]
        if kind == "open" and line.level % 1 == 0 and point.dwithin(way, CHORD_IN)
    ]
    return [place for _, place in sorted(ends)]


def _over(ends: Sequence[Place], bits: Sequence[Bit], lines: Sequence[EchoLine]) -> list[Bit]:
    """What is stitched of the lines that end on a ray, up to a crease, and of the veins that join them there: every
    second step, so that each two are a way out and back; one that is left over comes back to the spine."""
    tips: list[Place] = [ON_SPINE]
    found: list[Bit] = []
    for n, end in ends:
        creases = {node.place for node in lines[n].creases}
        of_line = [bit for bit in bits if bit.one[0] == bit.other[0] == n]
        tip = (n, end)
        while bit := next((bit for bit in of_line if tip in (bit.one, bit.other) and bit not in found), None):
            found.append(bit)
            tip = bit.other if bit.one == tip else bit.one
            if tip[1] in creases:
                break
        tips.append(tip)
    for n in range(len(ends), 0, -2):
        found += [bit for bit in _way(tips[n], tips[n - 1], bits) if bit not in found]
    return found


def _way(one: Place, other: Place, bits: Sequence[Bit]) -> list[Bit]:
    """One or two bits that lead from a place to another, none if there are none."""
    from_one, to_other = ([bit for bit in bits if place in (bit.one, bit.other)] for place in (one, other))
    ways = [[a] for a in from_one if a in to_other]
    ways += [[a, z] for a in from_one for z in to_other if {a.one, a.other} & {z.one, z.other}]
    return min(ways, key=len, default=[])


def _bits(hops: Sequence[Hop], lines: Sequence[EchoLine]) -> list[Bit]:
    """Hops, and lines cut where hops begin and end."""
    places = {place for hop in hops for place in (hop.one, hop.other)}
    ways = [Bit(hop.one, hop.other, tuple(Line(a, z) for a, z in pairwise(hop.way))) for hop in hops]
    return ways + [
        Bit((n, one), (n, other), curves)
        for n, line in enumerate(lines)
        for one, other, curves in line.cut(place for m, place in places if m == n)
    ]


def _walk(bits: Sequence[Bit], seen: set[Place]) -> Iterator[tuple[Curve, ...]]:
    """The bits, each begun at a place that is seen by then; more are seen as it goes."""
    ways: dict[Place, list[Bit]] = defaultdict(list)
    for bit in bits:
        ways[bit.one].append(bit)
        if bit.other != bit.one:
            ways[bit.other].append(bit.turned())
    waiting = [place for place in ways if place in seen]
    done: set[Place] = set()
    while waiting:
        place = waiting.pop(0)
        for bit in ways[place]:
            if bit.other not in done:
                yield bit.curves
            if bit.other not in seen:
                seen.add(bit.other)
                waiting.append(bit.other)
        done.add(place)


def _taken(
    lines: Sequence[EchoLine], drawn: shapely.STRtree, along: Sequence[Hop], others: Sequence[Hop]
) -> Iterator[Hop]:
    """What joins lines along the edge, and the veins; and of other hops those that cross nothing and join what none
    before them does."""
    used = _ends(lines)
    group = _Groups()  # of lines, and the spine

    def take(hop: Hop) -> Hop:
        group.join(hop.one[0], hop.other[0])
        used.update(hop.way)
        return hop

    yield from map(take, along)
    for hop in others:
        if hop.vein and not len(_near(hop, _TIP_IN, 2 * _CHORD_IN, drawn)):
            yield take(hop)
    for strict in (True, False):  # what is left alone then may come near a line
        for hop in others:
            if group.of(hop.one[0]) != group.of(hop.other[0]) and not _crosses(hop, drawn, used, strict):
                yield take(hop)


def _crosses(hop: Hop, drawn: shapely.STRtree, used: set[Point], strict: bool) -> bool:
    """Whether a hop crosses a line, or begins near a point used by another; strictly, or comes near a line."""
    if len(_near(hop, _END_IN, 2 * _CHORD_IN, drawn)):
        return True
    near = strict and len(_near(hop, _CLEAR_IN, _OFF_LINES_IN, drawn))
    return bool(near) or any(SAME_IN < dist(p, q) < _OFF_IN for p in hop.way for q in used)


def _near(hop: Hop, bit: float, off: float, drawn: shapely.STRtree) -> Any:
    """The lines (by number) that a hop, without so many inches at both ends, comes so near."""
    way = Line(hop.way[0], hop.way[-1])
    share = min(bit / max(way.length, ROUNDING_IN), 0.49)
    inner = shapely.LineString((way.point(share), way.point(1 - share)))
    return drawn.query(inner, predicate="dwithin", distance=off)


def _points(line: EchoLine) -> list[Point]:
    return [point for curve in line.curves for point in curve.points(_CHORD_IN)]
