"""What two pockets of echo lines have in common, and which of them stitches it. Inches, radians.

Two pockets meet along a ray from a circle to the edge, and the lines go on from one to the other. A needle that
fills one pocket before the next would end there with nowhere to go. So the later pocket of a side gives the
earlier what it has of these lines, up to the crease, and there every second step of the vein that joins them: out
on one line and back on the next. In the middle of a side a pocket meets its own image, and the later stitches the
lines of both, whole.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import copysign, cos, dist, inf, pi, sin

from planner.fills.echoing.discs import Disc, discs_of
from planner.fills.growing.ground import Ground
from planner.fills.pocket import Pocket
from planner.fills.pockets.pocket import PocketGround
from planner.geometry.arrays import SAME_IN
from planner.geometry.curves import Arc, Line, Point, mirror_at

_LINK_IN = 1.3  # a shorter piece of the spine joins circles that almost touch
_MORE_IN = 1.5  # deeper than its circles a pocket may be
_OFF_EDGE_IN = 0.015  # nearer to the edge than this a line may be too short beyond a ray to hang on anything
_DIGITS = 4  # of the place of a ray's foot, by which two pockets find that they share it

Foot = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where lines go on in another pocket: at which ray (by number: rays_of), and how far off the spine at most.

    Farther out one of the two has a line there that in the other lies beyond that of a nearer circle.
    """

    ray: int
    until: float


@dataclass(frozen=True, slots=True)
class Share:
    """Of what a pocket has in common with its neighbours, what it stitches.

    gives, takes: where it gives its lines away, and where it is given what goes on there. lines: whether it has its
    lines, and its image's; not those if that has both.
    """

    gives: tuple[Crossing, ...] = ()
    takes: tuple[Crossing, ...] = ()
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

    def until(self, disc: Disc) -> float:
        """How far outside the circle a disc is as near: by the law of cosines; endless where it never is."""
        (x, y), far = disc.centre, dist(self.centre, disc.centre)
        if far < SAME_IN:
            return inf
        ahead = (x - self.centre[0]) * cos(self.angle) + (y - self.centre[1]) * sin(self.angle)
        nearer = 2 * (ahead + disc.radius - self.radius)  # twice the lead, an inch farther out
        return (
            (far**2 - 2 * self.radius * ahead + self.radius**2 - disc.radius**2) / nearer
            if nearer > SAME_IN
            else inf
        )


def rays_of(ground: Ground) -> tuple[Ray | None, ...]:
    """Those at a pocket's beginning and end, and the images of these if it faces its own; none in the middle line,
    nor where it has no edge."""
    rays = [_ray(ground, *place) for place in (ground.begin, ground.end)]
    return tuple(rays + [_image(ray, ground.mirror) for ray in rays] if ground.mirror is not None else rays)


def _ray(ground: Ground, index: int, share: float) -> Ray | None:
    arc = ground.flank[index].curve
    if not isinstance(arc, Arc) or not ground.edges:
        return None
    ray = Ray(arc.centre, arc.begin + share * arc.sweep, arc.radius)
    return None if ground.mirror is not None and abs(ray.at(0)[0] - ground.mirror) < SAME_IN else ray


def _image(ray: Ray | None, mirror: float) -> Ray | None:
    return ray and Ray(mirror_at(mirror).point(ray.centre), pi - ray.angle, ray.radius)


def shares_of(
    pockets: Sequence[PocketGround], reach_in: float = inf
) -> list[tuple[Share, tuple[Pocket, ...]]]:
    """The share of each of all pockets of a layout, and the pocket to which it gives at each of its rays there.

    None is given where a long straight piece of the spine runs between circles, nor where a frame that reaches so
    deep could stitch both no more in one go. Of one and its image in the middle line the later stitches the lines.
    """
    places = {bare.pocket: n for n, bare in enumerate(pockets)}
    has_lines = [n >= places.get(_facing(bare), n) for n, bare in enumerate(pockets)]
    feet = [_feet(bare) if has else () for bare, has in zip(pockets, has_lines, strict=True)]
    met: dict[Foot, list[tuple[int, int]]] = defaultdict(list)
    for n, some in enumerate(feet):
        for ray, foot in enumerate(some):
            if foot:
                met[foot].append((n, ray))
    deep = [_deep(bare) for bare in pockets]
    clear = [_clear(bare) if has else () for bare, has in zip(pockets, has_lines, strict=True)]

    def together(one: int, other: int) -> bool:
        (top, bottom), (low, high) = deep[one], deep[other]
        alike = pockets[one].pocket.side == pockets[other].pocket.side
        return alike and max(bottom, high) - min(top, low) + _MORE_IN < reach_in

    shares = []
    for n in range(len(pockets)):
        same = [
            (Crossing(ray, min(clear[n][ray], clear[other][beyond])), other)
            for ray, foot in enumerate(feet[n])
            if foot
            for other, beyond in met[foot]
            if other != n and together(n, other)
        ]
        gives = {over: pockets[other].pocket for over, other in same if other < n}
        takes = tuple(over for over, other in same if other > n)
        shares.append((Share(tuple(gives), takes, has_lines[n]), tuple(gives.values())))
    return shares


def _clear(bare: PocketGround) -> tuple[float, ...]:
    """How far out a pocket's lines reach each of its rays: to where another circle is nearer, or to the edge."""
    if not isinstance(bare.ground, Ground):
        return ()
    discs, found = discs_of(bare.ground), list[float]()
    for ray in rays_of(bare.ground):
        edge = ray.length(bare.ground) - _OFF_EDGE_IN if ray else 0.0
        found.append(round(min(edge, *map(ray.until, discs)), _DIGITS) if ray else 0.0)
    return tuple(found)


def _deep(bare: PocketGround) -> tuple[float, float]:
    """From where to where a pocket's circles reach down the quilt; without end if a long link joins them."""
    curves = [stretch.curve for stretch in bare.ground.flank] if isinstance(bare.ground, Ground) else []
    if any(isinstance(curve, Line) and curve.length > _LINK_IN for curve in curves):
        return -inf, inf
    centres = [(arc.centre, arc.radius) for arc in curves if isinstance(arc, Arc)]
    if isinstance(bare.ground, Ground) and bare.ground.mirror is not None:
        image = mirror_at(bare.ground.mirror)
        centres += [(image.point(centre), radius) for centre, radius in centres]
    at = [(bare.motion.point(centre)[1], radius) for centre, radius in centres]
    return min((y - r for y, r in at), default=-inf), max((y + r for y, r in at), default=inf)


def _feet(bare: PocketGround) -> tuple[Foot | None, ...]:
    """Where a pocket's rays stand on the spine, in the quilt."""
    if not isinstance(bare.ground, Ground):
        return ()
    feet: list[Foot | None] = []
    for ray in rays_of(bare.ground):
        x, y = bare.motion.point(ray.at(0)) if ray else (0.0, 0.0)
        feet.append((round(x, _DIGITS) + 0.0, round(y, _DIGITS) + 0.0) if ray else None)
    return tuple(feet)


def _facing(bare: PocketGround) -> Pocket:
    """The pocket that faces one in the middle line, if it faces one."""
    if not isinstance(bare.ground, Ground) or bare.ground.mirror is None:
        return bare.pocket
    return replace(bare.pocket, run="end" if bare.pocket.run == "start" else "start")
