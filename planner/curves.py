"""Arcs and lines, and the motions that carry them about; nothing about quilts.

Lengths are inches, angles radians. x points right and y points down, so an angle grows clockwise as she sees
it, and a positive sweep turns clockwise. This is the one place where that is decided.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import atan2, ceil, cos, degrees, hypot, pi, sin, sqrt

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
        return self.a * self.d - self.b * self.c < 0

    def point(self, p: Point) -> Point:
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


@dataclass(frozen=True, slots=True)
class Line:
    """A straight piece from start to end."""

    start: Point
    end: Point

    @property
    def length(self) -> float:
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
        return Line(self.end, self.start)

    def moved(self, motion: Motion) -> Line:
        return Line(motion.point(self.start), motion.point(self.end))

    def points(self, tolerance: float) -> list[Point]:
        """Points along the line, ends included."""
        return [self.start, self.end]

    def svg_to(self) -> str:
        """The SVG path command that draws on from the start."""
        return f"L{number(self.end[0])} {number(self.end[1])}"


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
        return self._at(self.begin)

    @property
    def end(self) -> Point:
        return self._at(self.begin + self.sweep)

    @property
    def length(self) -> float:
        return self.radius * abs(self.sweep)

    def point(self, t: float) -> Point:
        """Point at the share t (0..1) of the length."""
        return self._at(self.begin + t * self.sweep)

    def heading(self, t: float = 0.0) -> float:
        """Direction of travel at t, radians."""
        quarter = pi / 2 if self.sweep >= 0 else -pi / 2
        return self.begin + t * self.sweep + quarter

    def reversed(self) -> Arc:
        return Arc(self.centre, self.radius, self.begin + self.sweep, -self.sweep)

    def moved(self, motion: Motion) -> Arc:
        sweep = -self.sweep if motion.mirrors else self.sweep
        return Arc(motion.point(self.centre), self.radius, motion.angle(self.begin), sweep)

    def points(self, tolerance: float) -> list[Point]:
        """Points along the arc, ends included, no chord farther than ``tolerance`` from it.

        The sagitta of a chord over the angle a is r(1 − cos(a/2)), so a ≤ sqrt(8·tolerance/r).
        """
        step = sqrt(8 * tolerance / self.radius)
        n = max(2, ceil(abs(self.sweep) / step))
        return [self.point(i / n) for i in range(n + 1)]

    def svg_to(self) -> str:
        """The SVG path commands that draw on from the start; a turn over 180° takes two arcs."""
        pieces = 2 if abs(self.sweep) > pi else 1
        clockwise = int(self.sweep > 0)
        r = number(self.radius)
        ends = (self.point(i / pieces) for i in range(1, pieces + 1))
        return "".join(f"A{r} {r} 0 0 {clockwise} {number(x)} {number(y)}" for x, y in ends)


Curve = Line | Arc


def number(value: float) -> str:
    """A length for a drawing: four decimals (a ten-thousandth of an inch), no trailing noughts."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def svg_path(curves: Iterable[Curve]) -> str:
    """SVG path data of curves in order; it moves only where one does not begin at the last one's end."""
    parts: list[str] = []
    here: Point | None = None
    for curve in curves:
        start = curve.start
        if here is None or hypot(start[0] - here[0], start[1] - here[1]) > 1e-6:
            parts.append(f"M{number(start[0])} {number(start[1])}")
        parts.append(curve.svg_to())
        here = curve.end
    return "".join(parts)


def sweep_degrees(curve: Curve) -> float:
    """How far a curve turns, degrees, clockwise positive; 0 for a line."""
    return degrees(curve.sweep) if isinstance(curve, Arc) else 0.0
