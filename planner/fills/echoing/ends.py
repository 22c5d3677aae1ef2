"""Where echo lines end, and how two that end side by side are joined: along the edge, and between two pockets.

Two pockets meet along a ray from a circle to the edge. What joins the lines that cross it is shared out between
them by the way the fill flows, so that nothing is stitched twice: the pocket into which it flows joins the first
to the second and so on, the other the spine to the first, the second to the third and so on. Inches.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import cos, sin

from planner.fills.echoing.discs import Disc
from planner.fills.echoing.lines import EchoLine
from planner.fills.growing.grow import Ground
from planner.geometry.arrays import SAME_IN
from planner.geometry.curves import Arc, Line, Point

SPINE = -1
_SAMPLES = 20
_OFF_IN = 0.03  # so far from a disc a way along the edge keeps: what is nearer would count as beginning on it


@dataclass(frozen=True, slots=True)
class End:
    """An end of a line (by number, or the spine): its place and its point."""

    line: int
    place: float
    point: Point


@dataclass(frozen=True, slots=True)
class Ray:
    """Where a pocket begins or ends: out from a circle's centre at an angle. joins: whether the fill flows in."""

    centre: Point
    angle: float
    radius: float
    joins: bool

    def off(self, point: Point) -> float:
        """How far outside the circle a point of the ray lies; nought elsewhere."""
        dx, dy = point[0] - self.centre[0], point[1] - self.centre[1]
        c, s = cos(self.angle), sin(self.angle)
        return dx * c + dy * s - self.radius if abs(dy * c - dx * s) < SAME_IN else 0.0

    @property
    def foot(self) -> Point:
        """Where it stands on the spine."""
        return (
            self.centre[0] + self.radius * cos(self.angle),
            self.centre[1] + self.radius * sin(self.angle),
        )


def on_edges(lines: Sequence[EchoLine], ground: Ground, discs: Sequence[Disc]) -> list[tuple[End, End]]:
    """The ends that are joined along the edge: every second stretch of it; of an odd number the shortest is not.

    Nor are those between which a disc stands.
    """
    planes = [plane for edge in ground.edges for plane in edge.planes]
    sides: dict[str, list[tuple[float, End]]] = defaultdict(list)
    for name, end in _ends(lines):
        if name.startswith("edge"):
            x, y, _ = planes[int(name.split()[1])]
            sides[name].append((end.point[1] * x - end.point[0] * y, end))
    found: list[tuple[End, End]] = []
    for side in sides.values():
        ends = [end for _, end in sorted(side, key=lambda one: one[0])]
        if len(ends) % 2:
            ends.remove(min(ends[::2], key=lambda end: lines[end.line].length))
        found += [pair for pair in zip(ends[::2], ends[1::2], strict=True) if _free(*pair, discs)]
    return found


def _free(one: End, other: End, discs: Sequence[Disc]) -> bool:
    way = Line(one.point, other.point)
    return all(disc.off(way.point(k / _SAMPLES)) > _OFF_IN for disc in discs for k in range(1, _SAMPLES))


def on_rays(lines: Sequence[EchoLine], ground: Ground) -> list[tuple[End, End]]:
    """The ends that are joined where the pocket begins and ends."""
    found: list[tuple[End, End]] = []
    for ray in _rays(ground):
        there = [end for name, end in _ends(lines) if name == "open" and ray.off(end.point) > 0]
        there.sort(key=lambda end: ray.off(end.point))
        if not ray.joins and there:
            there.insert(0, End(SPINE, 0.0, ray.foot))
        found += zip(there[::2], there[1::2], strict=False)
    return found


def _ends(lines: Sequence[EchoLine]) -> Iterator[tuple[str, End]]:
    for n, line in enumerate(lines):
        for name, place in zip(line.ends, (0.0, float(len(line.curves))), strict=True):
            yield name, End(n, place, line.at(place))


def _rays(ground: Ground) -> list[Ray]:
    """Those at the pocket's beginning and end, but for one in the middle line."""
    found = []
    for (index, share), way in ((ground.begin, 1.0), (ground.end, -1.0)):
        stretch = ground.flank[index]
        arc = stretch.curve
        if isinstance(arc, Arc):
            ray = Ray(arc.centre, arc.begin + share * arc.sweep, arc.radius, stretch.flow * way > 0)
            if ground.mirror is None or abs(ray.foot[0] - ground.mirror) > SAME_IN:
                found.append(ray)
    return found
