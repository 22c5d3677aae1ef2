"""The lattice of a meeting: a frame between the last two curls, cross-hatched with two families of arcs."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import acos, cos, hypot, pi, sin

from planner.fills.shape import Cell, Shape
from planner.geometry.curves import Arc, Line, Point

HATCH, HATCH_WORDS = (
    "hatch",
    "a line of the cross-hatching",
)  # its shapes, and what the needle is said to stitch
_STEP = 0.45  # share of the room from one arc to the next


@dataclass(frozen=True, slots=True)
class Frame:
    """The bare ground of a lattice: it reaches ``half`` to both sides of u = 0, from h = low to high, inches.

    joint: h at which the frame touches the last curls.
    """

    half: float
    low: float
    high: float
    joint: float


@dataclass(frozen=True, slots=True)
class Family:
    """Arcs of a lattice about one centre, inches apart: their radii, rising."""

    centre: Point
    radii: tuple[float, ...]
    apart: float

    def inside(self, radius: float, frame: Frame) -> list[Arc]:
        """One of the arcs, as far as it lies in the frame."""
        return _inside(self.centre, radius, frame)


def families(frame: Frame, room: float) -> tuple[Family, Family]:
    """The two families of arcs, mirror images; each about a centre far outside, below one side."""
    tall = frame.high - frame.low
    found = []
    for side in (-1, 1):
        centre = (side * (frame.half + 0.9 * tall), frame.high + 0.4 * tall)
        reaches = [
            hypot(x - centre[0], y - centre[1])
            for x in (-frame.half, frame.half)
            for y in (frame.low, frame.high)
        ]
        near, far = min(reaches), max(reaches)
        count = max(1, round((far - near) / (_STEP * room)))
        apart = (far - near) / count
        found.append(Family(centre, tuple(near + apart * i for i in range(1, count)), apart))
    return found[0], found[1]


def weave(frame: Frame, room: float) -> Cell:
    """The frame, in two halves from where it touches the one curl to where it touches the other, then both
    families of arcs.
    """
    left, right, low, high = -frame.half, frame.half, frame.low, frame.high
    one, other = (left, frame.joint), (right, frame.joint)
    halves: tuple[tuple[Point, ...], ...] = (
        (one, (left, low), (right, low), other),
        (other, (right, high), (left, high), one),
    )
    shapes = [Shape(HATCH, None, tuple(Line(a, b) for a, b in pairwise(half))) for half in halves]
    for family in families(frame, room):
        for radius in family.radii:
            shapes += [Shape(HATCH, None, (arc,)) for arc in family.inside(radius, frame)]
    return Cell(tuple(shapes))


def _inside(centre: Point, radius: float, frame: Frame) -> list[Arc]:
    """The parts of a circle inside the frame: between the angles at which it crosses a side of it."""
    x, y = centre
    angles = []
    for side in (-frame.half, frame.half):
        if abs(side - x) < radius:
            a = acos((side - x) / radius)
            angles += [a, -a]
    for side in (frame.low, frame.high):
        if abs(side - y) < radius:
            a = acos((side - y) / radius)
            angles += [pi / 2 + a, pi / 2 - a]
    angles = sorted(a % (2 * pi) for a in angles)
    found = []
    for a, b in zip(angles, [*angles[1:], angles[0] + 2 * pi] if angles else [], strict=False):
        u, h = x + radius * cos((a + b) / 2), y + radius * sin((a + b) / 2)
        if abs(u) < frame.half and frame.low < h < frame.high and (b - a) * radius > 0.05:
            found.append(Arc(centre, radius, a, b - a))
    return found
