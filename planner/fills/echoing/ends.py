"""Where echo lines end on the edge, and how two that end side by side are joined along it.

Between a pocket's rays every second stretch from one end to the next is stitched, from both rays alike. So the
lines hang together two by two, as ways out and back. Inches.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely.ops import substring

from planner.fills.echoing.discs import Disc
from planner.fills.echoing.lines import EchoLine
from planner.fills.echoing.shares import rays_of
from planner.fills.growing.ground import Ground
from planner.geometry.arrays import CHORD_IN, SAME_IN
from planner.geometry.curves import Line, Point, mirror_at

_SAMPLES = 20
_OFF_IN = 0.03  # so far from a disc a way along the edge keeps: what is nearer would count as beginning on it


@dataclass(frozen=True, slots=True)
class End:
    """An end of a line (by number): its place and its point."""

    line: int
    place: float
    point: Point


Stop = tuple[float, End]  # an end, and how far along a way it lies


@dataclass(frozen=True, slots=True)
class Joint:
    """Two ends side by side, and the way between them. taken: whether it is stitched for certain; else it may be,
    where a line hangs on no other."""

    one: End
    other: End
    way: tuple[Point, ...]
    taken: bool


def joints(lines: Sequence[EchoLine], ground: Ground, discs: Sequence[Disc]) -> Iterator[Joint]:
    """The ends that are joined, or may be; none between which a disc stands."""
    ends = [
        End(n, place, line.at(place))
        for n, line in enumerate(lines)
        if not (line.level % 1 and "open" in line.ends)
        for place, kind in zip(line.places, line.ends, strict=True)
        if kind.startswith("edge")
    ]
    for way in _edges(ground):
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
        for stops in stretches:
            taken = _paired(stops)
            for a, z in pairwise(stops):
                yield Joint(a[1], z[1], _between(way, a, z), (a, z) in taken)


def _paired(stops: Sequence[Stop]) -> list[tuple[Stop, Stop]]:
    """Every second stretch. Where both ends would have different ones, each has its own up to the middle."""
    count, found = len(stops), list[tuple[Stop, Stop]]()
    for i in range(count - 1):
        from_first, from_last = i % 2 == 0, (count - i) % 2 == 0
        if from_first if i + 1 < count // 2 else from_last if i >= count // 2 else from_first and from_last:
            found.append((stops[i], stops[i + 1]))
    return found


def _between(way: shapely.LineString, one: Stop, other: Stop) -> tuple[Point, ...]:
    inner = substring(way, one[0], other[0]).coords[1:-1]
    return (one[1].point, *((x, y) for x, y in inner), other[1].point)


def _free(way: Sequence[Point], discs: Sequence[Disc]) -> bool:
    bits = [Line(one, other) for one, other in pairwise(way)]
    places = [bit.point(k / _SAMPLES) for bit in bits for k in range(1, _SAMPLES)]
    return all(disc.off(place) > _OFF_IN for disc in discs for place in places)


def _edges(ground: Ground) -> Iterator[shapely.LineString]:
    """The edge from ray to ray; or of a pocket with its image, from each ray to the image of that."""
    feet = [ray.at(ray.length(ground)) for ray in rays_of(ground)[:2] if ray]
    ways: list[list[Point]] = []
    if ground.mirror is not None:
        image = mirror_at(ground.mirror)
        ways = [[foot, image.point(foot)] for foot in feet]
    elif len(feet) == 2:
        ways = [[feet[0], *ground.rim[::-1], feet[1]]]
    for way in ways:
        kept = [way[0], *(z for a, z in pairwise(way) if max(abs(a[0] - z[0]), abs(a[1] - z[1])) > SAME_IN)]
        if len(kept) > 1:
            yield shapely.LineString(kept)
