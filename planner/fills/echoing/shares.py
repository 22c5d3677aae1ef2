"""What two pockets of echo lines have in common, and which of them stitches it. Inches, radians.

Two pockets meet along a ray from a circle to the edge, and in the middle of a side a pocket meets its own image.
The lines go on from one to the other; a needle that finishes one before the next turns round where they meet.
Along a ray one pocket joins the first line to the second, the third to the fourth, the other the spine to the
first, the second to the third: so nothing is stitched twice. A pocket that joins alike at both ends has ways out
and back. In the middle the later pocket stitches the lines of both, whole.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import copysign, cos, inf, sin

from planner.fills.growing.ground import Ground
from planner.fills.pocket import Pocket
from planner.fills.pockets.pocket import PocketGround
from planner.geometry.arrays import SAME_IN
from planner.geometry.curves import Arc, Point

_DIGITS = 4  # of the place of a ray's foot, by which two pockets find that they share it

End = tuple[int, int]  # a pocket by number, and whether it begins there (0) or ends (1)


@dataclass(frozen=True, slots=True)
class Share:
    """Of what a pocket has in common with its neighbours, what it stitches.

    joins: where it begins and where it ends, whether it joins the first line to the second, the third to the
    fourth; else the spine to the first, the second to the third. lines: whether it has its lines, and its
    image's; not those if that has both.
    """

    joins: tuple[bool, bool] = (True, True)
    lines: bool = True


@dataclass(frozen=True, slots=True)
class Ray:
    """Where a pocket begins or ends: out from a circle's centre at an angle."""

    centre: Point
    angle: float
    radius: float

    def at(self, off: float) -> Point:
        """The point so far outside the circle; at nought it stands on the spine."""
        reach = self.radius + off
        return self.centre[0] + reach * cos(self.angle), self.centre[1] + reach * sin(self.angle)

    def length(self, ground: Ground) -> float:
        """How far outside the circle the nearest edge is."""
        (x, y), u, v = self.centre, cos(self.angle), sin(self.angle)

        def ahead(plane: tuple[float, float, float]) -> float:
            a, b, offset = plane
            speed, off = a * u + b * v, offset - a * x - b * y
            return off / speed - self.radius if speed > SAME_IN else copysign(inf, off + SAME_IN)

        return min(max(map(ahead, edge.planes)) for edge in ground.edges)


def rays_of(ground: Ground) -> tuple[Ray | None, Ray | None]:
    """Those at a pocket's beginning and end; none in the middle line, nor where it has no edge."""
    found = [_ray(ground, *place) for place in (ground.begin, ground.end)]
    return found[0], found[1]


def _ray(ground: Ground, index: int, share: float) -> Ray | None:
    arc = ground.flank[index].curve
    if not isinstance(arc, Arc) or not ground.edges:
        return None
    ray = Ray(arc.centre, arc.begin + share * arc.sweep, arc.radius)
    return None if ground.mirror is not None and abs(ray.at(0)[0] - ground.mirror) < SAME_IN else ray


def shares_of(pockets: Sequence[PocketGround]) -> list[Share]:
    """For each of all pockets of a layout; of one and its image in the middle line the later stitches the lines."""
    places = {bare.pocket: n for n, bare in enumerate(pockets)}
    whole = [max(n, places.get(_image(bare), n)) for n, bare in enumerate(pockets)]
    feet: dict[tuple[float, ...], list[End]] = defaultdict(list)
    for n, bare in enumerate(pockets):
        if isinstance(bare.ground, Ground):
            for end, ray in enumerate(rays_of(bare.ground)):
                if ray:
                    foot = bare.motion.point(ray.at(0))
                    feet[tuple(round(v, _DIGITS) + 0.0 for v in foot)].append((whole[n], end))
    joins = _unlike(feet.values())
    return [
        Share((joins.get((whole[n], 0), True), joins.get((whole[n], 1), True)), whole[n] == n)
        for n in range(len(pockets))
    ]


def _image(bare: PocketGround) -> Pocket:
    """The pocket that faces one in the middle line, if it faces one."""
    if not isinstance(bare.ground, Ground) or bare.ground.mirror is None:
        return bare.pocket
    return replace(bare.pocket, run="end" if bare.pocket.run == "start" else "start")


def _unlike(meetings: Iterable[Sequence[End]]) -> dict[End, bool]:
    """Whether each pocket joins at each end: unlike the other there; alike at both its ends, if it can be."""
    across: dict[End, list[End]] = defaultdict(list)
    for met in meetings:
        for one in met:
            across[one] += [other for other in met if other != one]
    found: dict[End, bool] = {}
    waiting = sorted(across)
    while waiting:
        n, end = waiting.pop(0)
        settled = [((n, end), found.get((n, 1 - end), True))] if (n, end) not in found else []
        while settled:
            one, joins = settled.pop()
            if one not in found:
                found[one] = joins
                settled += [(other, not joins) for other in across[one]]
                waiting.insert(0, (one[0], 1 - one[1]))
    return found
