"""Where echo lines end, and how two that end side by side are joined: along the edge and along the pocket's rays.

Round a pocket from ray to ray, every second stretch from one end to the next is stitched. So the lines hang
together two by two, as ways out and back. Inches.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely.ops import substring

from planner.fills.echoing.discs import Disc
from planner.fills.echoing.lines import EchoLine
from planner.fills.echoing.shares import Share, rays_of
from planner.fills.growing.ground import Ground
from planner.geometry.arrays import CHORD_IN, SAME_IN
from planner.geometry.curves import Line, Point, mirror_at

SPINE = -1
_SAMPLES = 20
_OFF_IN = 0.03  # so far from a disc a way along the edge keeps: what is nearer would count as beginning on it


@dataclass(frozen=True, slots=True)
class End:
    """An end of a line (by number, or the spine): its place and its point."""

    line: int
    place: float
    point: Point


Stop = tuple[float, End]  # an end, and how far along a way it lies


@dataclass(frozen=True, slots=True)
class Joint:
    """Two ends side by side, and the way between them. taken: whether it is stitched for certain; else it may be,
    along the edge, where a line hangs on no other."""

    one: End
    other: End
    way: tuple[Point, ...]
    taken: bool


@dataclass(frozen=True, slots=True)
class _Round:
    """The way round a pocket where no spine is: from the foot of one ray along the edge to that of another.

    joins: at its beginning and its end, whether the first end there is joined to the second.
    """

    way: shapely.LineString
    joins: tuple[bool, bool]


def joints(lines: Sequence[EchoLine], ground: Ground, discs: Sequence[Disc], share: Share) -> Iterator[Joint]:
    """The ends that are joined, or may be; none between which a disc stands."""
    ends = [
        End(n, place, line.at(place))
        for n, line in enumerate(lines)
        if not line.closed and not (line.level % 1 and "open" in line.ends)
        for place in (0.0, float(len(line.curves)))
    ]
    rays = [shapely.LineString((ray.at(0), ray.at(ray.length(ground)))) for ray in rays_of(ground) if ray]
    if ground.mirror is not None:
        image = mirror_at(ground.mirror)
        rays += [shapely.LineString([image.point((x, y)) for x, y in ray.coords]) for ray in rays]
    on_rays = {end for end in ends for ray in rays if shapely.Point(end.point).dwithin(ray, CHORD_IN)}
    for one in _rounds(ground, share):
        way = one.way
        there = [
            (way.project(point), end)
            for end in ends
            for point in [shapely.Point(end.point)]
            if point.dwithin(way, CHORD_IN)
        ]
        there.sort(key=lambda stop: stop[0])
        stretches: list[list[Stop]] = [[]]
        for stop in there:
            if stretches[-1] and not _free(_between(way, stretches[-1][-1], stop), discs):
                stretches.append([])
            stretches[-1].append(stop)
        for n, stops in enumerate(stretches):
            first = one.joins[0] if n == 0 else True
            last = one.joins[1] if n == len(stretches) - 1 else True
            feet = [
                (at, End(SPINE, 0.0, (way.coords[k][0], way.coords[k][1])))
                for at, k in ((0.0, 0), (way.length, -1))
            ]
            taken = _paired(stops, first, last, feet)
            for a, z in taken:
                yield Joint(a[1], z[1], _between(way, a, z), True)
            for a, z in pairwise(stops):
                if (a, z) not in taken and a[1] not in on_rays and z[1] not in on_rays:
                    yield Joint(a[1], z[1], _between(way, a, z), False)


def _paired(stops: Sequence[Stop], first: bool, last: bool, feet: Sequence[Stop]) -> list[tuple[Stop, Stop]]:
    """Every second stretch. Where both ends would have different ones, each has its own up to the middle."""
    count, found = len(stops), list[tuple[Stop, Stop]]()
    if stops and not first:
        found.append((feet[0], stops[0]))
    for i in range(count - 1):
        from_first, from_last = i % 2 == (not first), (count - i) % 2 == (not last)
        if from_first if i + 1 < count // 2 else from_last if i >= count // 2 else from_first and from_last:
            found.append((stops[i], stops[i + 1]))
    if stops and not last:
        found.append((stops[-1], feet[1]))
    return found


def _between(way: shapely.LineString, one: Stop, other: Stop) -> tuple[Point, ...]:
    inner = substring(way, one[0], other[0]).coords[1:-1]
    return (one[1].point, *((x, y) for x, y in inner), other[1].point)


def _free(way: Sequence[Point], discs: Sequence[Disc]) -> bool:
    bits = [Line(one, other) for one, other in pairwise(way)]
    places = [bit.point(k / _SAMPLES) for bit in bits for k in range(1, _SAMPLES)]
    return all(disc.off(place) > _OFF_IN for disc in discs for place in places)


def _rounds(ground: Ground, share: Share) -> Iterator[_Round]:
    """Round a pocket; or, with its image, from each ray to the image of that."""
    sides = [
        (ray.at(0), ray.at(ray.length(ground)), joins)
        for ray, joins in zip(rays_of(ground), share.joins, strict=True)
        if ray
    ]
    if ground.mirror is not None:
        for foot, edge, joins in sides:
            there = [mirror_at(ground.mirror).point(point) for point in (edge, foot)]
            yield _Round(_way([foot, edge, *there]), (joins, joins))
    elif len(sides) == 2:
        (foot, edge, first), (end, other, last) = sides
        yield _Round(_way([foot, edge, *ground.rim[::-1], other, end]), (first, last))


def _way(points: Sequence[Point]) -> shapely.LineString:
    kept = [points[0], *(z for a, z in pairwise(points) if max(abs(a[0] - z[0]), abs(a[1] - z[1])) > SAME_IN)]
    return shapely.LineString(kept)
