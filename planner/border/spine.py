"""From circles to the spine: stems, links, tails and tips, tangent everywhere.

A curl enters its circle at its joint, follows it (stem) to where it leaves for the next curl, and goes on
(tail) to its tip, opposite the guide line that its circle sits on. Neighbouring circles turn opposite ways;
between two that do not touch, the spine runs along their internal common tangent (link). DESIGN section 3.
Band coordinates throughout (u, h), inches; +1 turns clockwise as she sees it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, radians, sin, sqrt
from typing import Any, Literal

import numpy as np

from planner.geometry.arrays import ROUNDING_IN
from planner.geometry.curves import Arc, Line, Motion, Point, Track, as_arc

Row = Literal["inner", "outer", "corner", "ring"]
PartName = Literal["corner", "stem", "link", "tail", "ring"]

_LEAST_OPENING = radians(30)  # a tail stops this far short of closing its circle
_LEAST_TAIL = radians(15)  # less than this is no tail to end a spine with
_TIP_BEHIND = radians(240)  # a tip that is farther on than this lies behind the joint it should follow


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle the spine follows. turn: +1 clockwise, −1 counter-clockwise, as the run travels."""

    centre: Point
    radius: float
    row: Row
    turn: int

    def moved(self, motion: Motion) -> Circle:
        """The circle after a motion; a mirroring one turns it the other way."""
        turn = -self.turn if motion.mirrors else self.turn
        return Circle(motion.point(self.centre), self.radius, self.row, turn)

    def at(self, angle: float) -> Point:
        """The point of the circle at an angle (radians)."""
        return (self.centre[0] + self.radius * cos(angle), self.centre[1] + self.radius * sin(angle))


@dataclass(frozen=True, slots=True)
class Piece:
    """One arc or line of the spine. curl: which curl of its run it belongs to (the first is 0)."""

    part: PartName
    curl: int
    curve: Track

    @property
    def arc(self) -> Arc:
        """The curve of a stem, a tail, a ring or a corner, which go round their circles."""
        return as_arc(self.curve)

    def moved(self, motion: Motion) -> Piece:
        """The piece after a motion."""
        return Piece(self.part, self.curl, self.curve.moved(motion))


def tangent_angles(a: Circle, b: Circle) -> tuple[float, float]:
    """Where the spine leaves a and where it arrives on b, as angles about their centres (radians).

    The internal tangent of circles d apart leaves the line of centres by acos((r1 + r2)/d).
    """
    dx, dy = b.centre[0] - a.centre[0], b.centre[1] - a.centre[1]
    d, both = hypot(dx, dy), a.radius + b.radius
    off = atan2(sqrt((d - both) * (d + both)), both) if d - both > ROUNDING_IN else 0.0
    leave = atan2(dy, dx) - a.turn * off
    return leave, leave + pi


def turned(begin: float, end: float, turn: int) -> float:
    """Signed sweep from one angle to another, turning the given way, less than a full turn."""
    return turn * ((turn * (end - begin)) % (2 * pi))


def tail_sweep(stem: Any, to_tip: Any) -> Any:
    """How far a tail turns after a stem that turned so far, on the way to its tip. Radians, floats or arrays."""
    ahead = np.where(to_tip > _TIP_BEHIND, 0.0, to_tip)
    return np.minimum(np.maximum(ahead, _LEAST_TAIL), 2 * pi - _LEAST_OPENING - stem)


def curls(before: Circle, chain: Sequence[Circle], after: Circle | None, tail_deg: float) -> list[Piece]:
    """The spine of a run of circles that leaves the circle ``before``.

    after: the circle it leads on to (the next corner, a ring); without one the last stem ends where it faces
    the middle of the side, and its tail follows like any other. tail_deg 90 puts every tip exactly opposite
    its guide line; a longer tail goes on past that, but stops 30° short of closing its circle; a short tail
    on a steep run, where the joint already lies past the tip's place, still goes on a little.
    """
    pieces: list[Piece] = []
    onto, (leave, arrive) = before, tangent_angles(before, chain[0])
    for i, (circle, following) in enumerate(zip(chain, (*chain[1:], after), strict=True)):
        link, begin = _link(onto.at(leave), circle.at(arrive)), arrive
        if link:
            pieces.append(Piece("link", i, link))
        leave, arrive = tangent_angles(circle, following) if following else (0.0, pi)
        stem = turned(begin, leave, circle.turn)
        pieces.append(Piece("stem", i, Arc(circle.centre, circle.radius, begin, stem)))
        tip = (-pi / 2 if circle.row == "inner" else pi / 2) + circle.turn * radians(tail_deg - 90)
        tail = circle.turn * float(tail_sweep(abs(stem), abs(turned(leave, tip, circle.turn))))
        pieces.append(Piece("tail", i, Arc(circle.centre, circle.radius, leave, tail)))
        onto = circle
    return pieces


def link_between(a: Circle, b: Circle) -> Line | None:
    """The tangent line from a to b, or None where they touch."""
    leave, arrive = tangent_angles(a, b)
    return _link(a.at(leave), b.at(arrive))


def _link(start: Point, end: Point) -> Line | None:
    line = Line(start, end)
    return line if line.length > ROUNDING_IN else None
