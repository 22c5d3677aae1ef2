"""The discs of a pocket of echo lines, and the lines round them at even steps: exact arcs. Inches, radians.

Every circle that the spine follows counts as a whole disc; the lines are where the distance to the nearest disc
is one step, two steps, and so on.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import acos, atan2, cos, dist, hypot, inf, pi, sin

from planner.fills.growing.ground import Ground
from planner.geometry.arrays import ROUNDING_IN, SAME_IN, SAME_RAD
from planner.geometry.curves import Arc, Curve, Line, Point, mirror_at

_LEAST_RAD = SAME_RAD / 10  # arcs that turn less are none
_STRAIGHT_IN = 1e4  # the radius of a circle that is no farther than 1e-4 in from a straight piece of 1.4 in

Span = tuple[float, float]  # from an angle on, so many radians clockwise


@dataclass(frozen=True, slots=True)
class Disc:
    """A circle of the spine as a pocket sees it.

    outside: where the pocket lies round it; mouth: where it is open, None where it is not; filled: whether the
    pocket fills its inside; image: it is another's image in the middle line. along: where alone it is, a straight
    piece of the spine from one circle to the next as part of a circle so wide that it is as good as straight.
    """

    centre: Point
    radius: float
    outside: tuple[Span, ...] = ()
    mouth: Span | None = None
    filled: bool = False
    image: bool = False
    along: Span | None = None

    def at(self, angle: float, off: float = 0.0) -> Point:
        """The point at an angle, so far outside the circle."""
        reach = self.radius + off
        return self.centre[0] + reach * cos(angle), self.centre[1] + reach * sin(angle)

    def off(self, point: Point) -> float:
        """How far a point lies outside the circle; on either side of what runs along, endless beyond its ends."""
        x, y = point[0] - self.centre[0], point[1] - self.centre[1]
        off = hypot(x, y) - self.radius
        if self.along:
            return abs(off) if (atan2(y, x) - self.along[0]) % (2 * pi) <= self.along[1] else inf
        return off


@dataclass(frozen=True, slots=True)
class LevelArc:
    """One arc of a line: of which disc; what it meets at both ends: "disc 3", "edge 0", "open"."""

    disc: int
    curve: Arc
    before: str
    after: str


def discs_of(ground: Ground, apart: float = inf) -> list[Disc]:
    """The discs of a pocket, and their images where it faces its own.

    apart: between circles farther from each other the spine that runs from one to the next is a disc too.
    """
    (first, share_a), (last, share_z) = ground.begin, ground.end
    found: dict[tuple[float, ...], list[tuple[Arc, float, float]]] = {}
    for i, stretch in enumerate(ground.flank):
        curve = stretch.curve
        if not isinstance(curve, Arc) or curve.radius == 0:
            continue
        low = 0.0 if i > first else share_a if i == first else 1.0
        high = 1.0 if i < last else share_z if i == last else 0.0
        key = tuple(round(v, 5) for v in (*curve.centre, curve.radius))
        found.setdefault(key, []).append((curve, low, high))
    discs = [_disc(arcs) for arcs in found.values()]
    curves = [stretch.curve for stretch in ground.flank[first : last + 1]]
    discs += [
        _straight(link, begins=before.sweep < 0 and cos(before.heading(1) - link.heading()) > 0)
        for before, link, after in zip(curves, curves[1:], curves[2:], strict=False)
        if isinstance(link, Line) and isinstance(before, Arc) and isinstance(after, Arc)
        if dist(before.centre, after.centre) - before.radius - after.radius > apart
    ]
    if ground.mirror is not None:
        discs += [
            Disc(mirror_at(ground.mirror).point(d.centre), d.radius, image=True, along=_image(d.along))
            for d in discs
            if abs(d.centre[0] - ground.mirror) > SAME_IN
        ]
    return discs


def _disc(arcs: Sequence[tuple[Arc, float, float]]) -> Disc:
    """Arcs that are followed with the fill on the left lie inside it: those turn clockwise."""
    curve = arcs[0][0]
    outside = [
        (a.begin + high * a.sweep, (low - high) * a.sweep)
        for a, low, high in arcs
        if a.sweep < 0 and high > low
    ]
    filled = any(a.sweep > 0 and high > low for a, low, high in arcs)
    mouth = _rest([_clockwise(a) for a, *_ in arcs]) if filled else None
    if mouth:
        outside.append(mouth)
    return Disc(curve.centre, curve.radius, tuple(_joined(outside)), mouth, filled)


def _straight(link: Line, *, begins: bool) -> Disc:
    """A straight piece of the flank, which has the pocket on its right, as a disc on its left.

    begins: it leaves what the pocket lies outside of, and touches that; else it comes there.
    """
    out, wide = link.heading() + pi / 2, link.length / _STRAIGHT_IN
    x, y = link.start if begins else link.end
    centre = x - _STRAIGHT_IN * cos(out), y - _STRAIGHT_IN * sin(out)
    span = (out - wide if begins else out, wide)
    return Disc(centre, _STRAIGHT_IN, (span,), along=span)


def straight(curve: Curve) -> Curve:
    """A curve, as a line if it is an arc that is as good as one."""
    wide = isinstance(curve, Arc) and curve.radius > _STRAIGHT_IN / 2
    return Line(curve.point(0), curve.point(1)) if wide else curve


def _image(span: Span | None) -> Span | None:
    return span and (pi - span[0] - span[1], span[1])


def _clockwise(arc: Arc) -> Span:
    return (arc.begin, arc.sweep) if arc.sweep > 0 else (arc.begin + arc.sweep, -arc.sweep)


def _joined(spans: Iterable[Span]) -> list[Span]:
    """Spans, those that go on as another ends in one."""
    rest = [(begin % (2 * pi), wide) for begin, wide in spans]
    done: list[Span] = []
    while rest:
        begin, wide = rest.pop()
        for other in (*rest, *done):
            gap = (other[0] - begin - wide + SAME_RAD) % (2 * pi) - SAME_RAD
            back = (begin - other[0] - other[1] + SAME_RAD) % (2 * pi) - SAME_RAD
            if gap < SAME_RAD or back < SAME_RAD:
                (rest if other in rest else done).remove(other)
                rest.append((begin if gap < SAME_RAD else other[0], min(wide + other[1], 2 * pi)))
                break
        else:
            done.append((begin, wide))
    return done


def _rest(spans: Sequence[Span]) -> Span | None:
    """The widest part of a circle that none of some spans covers."""
    ends = sorted((begin + wide) % (2 * pi) for begin, wide in spans)
    free = []
    for end in ends:
        ahead = min((begin - end + SAME_RAD) % (2 * pi) - SAME_RAD for begin, _ in spans)
        covered = any((end - begin + SAME_RAD) % (2 * pi) < wide - SAME_RAD for begin, wide in spans)
        if ahead > 1e-3 and not covered:
            free.append((end, ahead))
    return max(free, key=lambda span: span[1], default=None)


def level(discs: Sequence[Disc], ground: Ground, off: float) -> list[LevelArc]:
    """The arcs of the line at a distance ``off`` from the discs, inside the pocket."""
    return [
        arc
        for i, disc in enumerate(discs)
        for span in disc.outside
        for arc in _arcs(i, span, discs, ground, off)
    ]


def _arcs(i: int, span: Span, discs: Sequence[Disc], ground: Ground, off: float) -> Iterator[LevelArc]:
    disc = discs[i]
    begin, wide = span
    cuts = [(0.0, "open"), (wide, "open")]
    for angle, name in (*_met_discs(i, discs, off), *_met_edges(disc, ground, off)):
        on = (angle - begin) % (2 * pi)
        if _LEAST_RAD < on < wide - _LEAST_RAD:
            cuts.append((on, name))
    cuts = _distinct(cuts)
    whole: list[tuple[tuple[float, str], tuple[float, str]]] = []
    for a, z in pairwise(cuts):
        if z[0] - a[0] > _LEAST_RAD and _free(disc.at(begin + (a[0] + z[0]) / 2, off), i, discs, ground, off):
            if whole and whole[-1][1] == a:
                whole[-1] = (whole[-1][0], z)
            else:
                whole.append((a, z))
    reach = disc.radius + off
    for (low, before), (high, after) in whole:
        yield LevelArc(i, Arc(disc.centre, reach, begin + low, high - low), before, after)


def _distinct(cuts: Iterable[tuple[float, str]]) -> list[tuple[float, str]]:
    """Cuts in order; of those in one place only the first by name: where a line meets its image, that counts."""
    found: list[tuple[float, str]] = []
    for cut in sorted(cuts, key=lambda one: (round(one[0], 9), one[1])):
        if not found or cut[0] - found[-1][0] > _LEAST_RAD:
            found.append(cut)
    return found


def _met_discs(i: int, discs: Sequence[Disc], off: float) -> Iterator[tuple[float, str]]:
    """Where a disc's line meets those of others: by the law of cosines."""
    (x, y), one = discs[i].centre, discs[i].radius + off
    for j, other in enumerate(discs):
        dx, dy = other.centre[0] - x, other.centre[1] - y
        apart, reach = hypot(dx, dy), other.radius + off
        if i != j and abs(one - reach) < apart - ROUNDING_IN < one + reach:
            half = acos(min((one * one + apart * apart - reach * reach) / (2 * one * apart), 1.0))
            for side in (-half, half):
                yield atan2(dy, dx) + side, f"disc {j}"


def _met_edges(disc: Disc, ground: Ground, off: float) -> Iterator[tuple[float, str]]:
    planes = [(f"edge {n}", p) for n, p in enumerate(p for edge in ground.edges for p in edge.planes)]
    if ground.mirror is not None:
        planes.append(("open", (1.0, 0.0, ground.mirror)))
    for name, (x, y, offset) in planes:
        far = (offset - disc.centre[0] * x - disc.centre[1] * y) / (disc.radius + off)
        if abs(far) < 1:
            for side in (-1, 1):
                yield atan2(y, x) + side * acos(far), name


def _free(point: Point, i: int, discs: Sequence[Disc], ground: Ground, off: float) -> bool:
    """Whether a point of disc i's line is inside the pocket, and no nearer to another disc."""
    x, y = point
    if ground.mirror is not None and x > ground.mirror:
        return False
    if any(all(x * u + y * v > offset for u, v, offset in edge.planes) for edge in ground.edges):
        return False
    return not any(j != i and other.off(point) < off - SAME_IN for j, other in enumerate(discs))
