"""Arcs, lines and Bézier curves, and the motions that carry them about; nothing about quilts.

Lengths are inches, angles radians. x points right and y points down, so an angle grows clockwise as she sees
it, and a positive sweep turns clockwise. This is the one place where that is decided.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, ceil, cos, hypot, pi, sin, sqrt

import numpy as np

from planner.geometry.arrays import ROUNDING_IN, Numbers

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Motion:
    """A rigid motion, mirrored or not: x' = a·x + c·y + e, y' = b·x + d·y + f (the order of SVG's matrix)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    @property
    def mirrors(self) -> bool:
        """Whether it turns left into right."""
        return self.a * self.d - self.b * self.c < 0

    def point(self, p: Point) -> Point:
        """A point after the motion."""
        return (self.a * p[0] + self.c * p[1] + self.e, self.b * p[0] + self.d * p[1] + self.f)

    def angle(self, angle: float) -> float:
        """Direction of an angle after the motion."""
        x, y = cos(angle), sin(angle)
        return atan2(self.b * x + self.d * y, self.a * x + self.c * y)

    def after(self, first: Motion) -> Motion:
        """The motion that does ``first`` and then this one."""
        return Motion(
            self.a * first.a + self.c * first.b,
            self.b * first.a + self.d * first.b,
            self.a * first.c + self.c * first.d,
            self.b * first.c + self.d * first.d,
            *self.point((first.e, first.f)),
        )

    def undone(self) -> Motion:
        """The motion back; a rigid motion's matrix is undone by its transpose."""
        e, f = self.a * self.e + self.b * self.f, self.c * self.e + self.d * self.f
        return Motion(self.a, self.c, self.b, self.d, -e, -f)


def mirror_at(x: float) -> Motion:
    """The mirror that stands upright at ``x``."""
    return Motion(a=-1.0, e=2 * x)


@dataclass(frozen=True, slots=True)
class Line:
    """A straight piece from start to end."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
        """Inches."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    def point(self, t: float) -> Point:
        """Point at the share t (0..1) of the length."""
        return (
            self.start[0] + t * (self.end[0] - self.start[0]),
            self.start[1] + t * (self.end[1] - self.start[1]),
        )

    def heading(self, t: float = 0.0) -> float:
        """Direction of travel at t, radians."""
        return atan2(self.end[1] - self.start[1], self.end[0] - self.start[0])

    def reversed(self) -> Line:
        """The same line, gone along the other way."""
        return Line(self.end, self.start)

    def moved(self, motion: Motion) -> Line:
        """The line after a motion."""
        return Line(motion.point(self.start), motion.point(self.end))

    def points(self, tolerance: float) -> list[Point]:
        """Points along the line, ends included."""
        return [self.start, self.end]


@dataclass(frozen=True, slots=True)
class Arc:
    """A piece of a circle: it begins at the angle ``begin`` and turns by ``sweep`` (positive: clockwise)."""

    centre: Point
    radius: float
    begin: float
    sweep: float

    def _at(self, angle: float) -> Point:
        return (self.centre[0] + self.radius * cos(angle), self.centre[1] + self.radius * sin(angle))

    @property
    def start(self) -> Point:
        """Its point at the angle ``begin``."""
        return self._at(self.begin)

    @property
    def end(self) -> Point:
        """Its point at the end of the sweep."""
        return self._at(self.begin + self.sweep)

    @property
    def length(self) -> float:
        """Inches: radius times sweep."""
        return self.radius * abs(self.sweep)

    def point(self, t: float) -> Point:
        """Point at the share t (0..1) of the length."""
        return self._at(self.begin + t * self.sweep)

    def heading(self, t: float = 0.0) -> float:
        """Direction of travel at t, radians."""
        quarter = pi / 2 if self.sweep >= 0 else -pi / 2
        return self.begin + t * self.sweep + quarter

    def reversed(self) -> Arc:
        """The same arc, gone along the other way."""
        return Arc(self.centre, self.radius, self.begin + self.sweep, -self.sweep)

    def parted(self, share: float) -> tuple[Arc, Arc]:
        """Its two parts before and after a share (0..1) of its length."""
        first = Arc(self.centre, self.radius, self.begin, share * self.sweep)
        return first, Arc(self.centre, self.radius, self.begin + first.sweep, self.sweep - first.sweep)

    def moved(self, motion: Motion) -> Arc:
        """The arc after a motion; a mirroring one changes the sense of its sweep."""
        sweep = -self.sweep if motion.mirrors else self.sweep
        return Arc(motion.point(self.centre), self.radius, motion.angle(self.begin), sweep)

    def points(self, tolerance: float) -> list[Point]:
        """Points along the arc, ends included, no chord farther than ``tolerance`` from it.

        The sagitta of a chord over the angle a is r(1 − cos(a/2)), so a ≤ sqrt(8·tolerance/r).
        """
        step = sqrt(8 * tolerance / self.radius)
        n = max(2, ceil(abs(self.sweep) / step))
        return [self.point(i / n) for i in range(n + 1)]


@dataclass(frozen=True, slots=True)
class Bezier:
    """A cubic Bézier curve with ends p0, p3 and handles p1, p2; t is its own parameter, not of length."""

    p0: Point
    p1: Point
    p2: Point
    p3: Point

    @property
    def start(self) -> Point:
        """Its first end, p0."""
        return self.p0

    @property
    def end(self) -> Point:
        """Its last end, p3."""
        return self.p3

    @property
    def handle(self) -> Point | None:
        """The one handle of a curve that is no more than quadratic; None for any other."""
        one, other = (
            ((3 * h[0] - e[0]) / 2, (3 * h[1] - e[1]) / 2)
            for h, e in ((self.p1, self.p0), (self.p2, self.p3))
        )
        return one if hypot(other[0] - one[0], other[1] - one[1]) < ROUNDING_IN else None

    @property
    def length(self) -> float:
        """Arc length, to a millionth of an inch."""
        return float(bezier_lengths(np.array([(self.p0, self.p1, self.p2, self.p3)]))[0])

    def velocity(self, t: float) -> Point:
        """How fast the point moves with t, inches along x and y."""
        a, b, c = 3 * (1 - t) ** 2, 6 * (1 - t) * t, 3 * t * t
        return (
            a * (self.p1[0] - self.p0[0]) + b * (self.p2[0] - self.p1[0]) + c * (self.p3[0] - self.p2[0]),
            a * (self.p1[1] - self.p0[1]) + b * (self.p2[1] - self.p1[1]) + c * (self.p3[1] - self.p2[1]),
        )

    def point(self, t: float) -> Point:
        """Point at the parameter t (0..1)."""
        u = 1 - t
        a, b, c, d = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        return (
            a * self.p0[0] + b * self.p1[0] + c * self.p2[0] + d * self.p3[0],
            a * self.p0[1] + b * self.p1[1] + c * self.p2[1] + d * self.p3[1],
        )

    def heading(self, t: float = 0.0) -> float:
        """Direction of travel at t, radians."""
        x, y = self.velocity(t)
        return atan2(y, x)

    def split(self, t: float) -> tuple[Bezier, Bezier]:
        """The parts before and after t (de Casteljau)."""
        a, b, c = _between(self.p0, self.p1, t), _between(self.p1, self.p2, t), _between(self.p2, self.p3, t)
        d, e = _between(a, b, t), _between(b, c, t)
        middle = _between(d, e, t)
        return Bezier(self.p0, a, d, middle), Bezier(middle, e, c, self.p3)

    def reversed(self) -> Bezier:
        """The same curve, gone along the other way."""
        return Bezier(self.p3, self.p2, self.p1, self.p0)

    def moved(self, motion: Motion) -> Bezier:
        """The curve after a motion."""
        return Bezier(
            motion.point(self.p0), motion.point(self.p1), motion.point(self.p2), motion.point(self.p3)
        )

    def points(self, tolerance: float) -> list[Point]:
        """Points along the curve, ends included, no chord farther than ``tolerance`` from it.

        A chord over the step 1/n strays at most |B''|/(8n²), and |B''| ≤ 6·(largest second difference).
        """
        bend = max(
            hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1])
            for a, b, c in ((self.p0, self.p1, self.p2), (self.p1, self.p2, self.p3))
        )
        n = max(1, ceil(sqrt(0.75 * bend / tolerance)))
        return [self.p0, *(self.point(i / n) for i in range(1, n)), self.p3]


def _between(p: Point, q: Point, t: float) -> Point:
    return (p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1]))


Track = Line | Arc  # what a spine is made of
Curve = Track | Bezier


def as_arc(curve: Curve) -> Arc:
    """A curve that turns by its very place: round a circle. Raises TypeError where it does not."""
    if isinstance(curve, Arc):
        return curve
    raise TypeError(f"This goes round no circle: {curve}")


def bezier_lengths(handles: Numbers) -> Numbers:
    """Arc lengths of n curves, p0 to p3 of each, shape (n, 4, 2): to a millionth of an inch for what is sewn.

    Gauss–Legendre quadrature of the speed, twelve nodes on each of eight parts.
    """
    velocity = (np.diff(handles, axis=1).transpose(0, 2, 1).reshape(-1, 3) @ _BLEND).reshape(-1, 2, len(_T))
    return np.asarray(np.sqrt((velocity * velocity).sum(axis=1)) @ _WEIGHTS)


def _quadrature(nodes: int, parts: int) -> tuple[Numbers, Numbers]:
    """The parameters at which the speed is taken, and how much each counts. Shapes (nodes · parts,)."""
    places, weights = np.polynomial.legendre.leggauss(nodes)
    t = (np.arange(parts)[:, None] + (1 + places) / 2) / parts
    return t.ravel(), np.tile(weights / (2 * parts), parts)


_T, _WEIGHTS = _quadrature(12, 8)
_BLEND = np.stack((3 * (1 - _T) ** 2, 6 * (1 - _T) * _T, 3 * _T**2))
