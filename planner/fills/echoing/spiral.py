"""What fills a disc of echo lines: a spiral with two arms, in on the one and out on the other. Inches, radians."""

from __future__ import annotations

from itertools import pairwise
from math import atan2, cos, exp, pi, sin

from planner.fills.echoing.discs import Disc
from planner.geometry.curves import Arc, Bezier, Curve, Point

_LEAVES = 0.3  # steps by which an arm leaves the circle early on, so that it does not run along it
_SOON, _LATE = 0.45, 2.2  # radians in which it does so, and in which that is made up for
_FIRST, _STEP = 0.25, pi / 5  # a curve of an arm for so many radians: where it leaves the circle, and later
_ONE_TURN, _LEAST_TURN = 1.1, pi  # an arm in a disc of more steps turns at least so far
_TIGHT = 0.95  # of a step: in the middle, where an arm turns in, a wider circle would fit
_LEAST = 0.55  # steps: a disc of a smaller radius stays empty


def spiral(disc: Disc, step: float, begin: float) -> list[tuple[Curve, ...]]:
    """From a disc's circle to its middle, clockwise, and out again opposite; first over its mouth, if it has one.

    begin: the angle where that is when it has none.
    """
    found: list[tuple[Curve, ...]] = []
    if disc.mouth:
        found.append((Arc(disc.centre, disc.radius, *disc.mouth),))
        begin = sum(disc.mouth)
    step *= _TIGHT
    if disc.radius < _LEAST * step:
        return found
    if disc.radius > _ONE_TURN * step:
        step = min(step, disc.radius / (1 + _inward(_LEAST_TURN)))
    arm = _arm(disc, step, begin)
    start = arm[-1].end if arm else disc.at(begin)
    heading = arm[-1].heading(1) if arm else begin + pi / 2
    inward = [*arm, _round(start, heading, disc.centre)]
    found.append((*inward, *(_opposite(c, disc.centre).reversed() for c in reversed(inward))))
    return found


def _round(start: Point, heading: float, end: Point) -> Arc:
    """The arc, clockwise, that begins in a point with a heading and ends in another."""
    nx, ny = -sin(heading), cos(heading)
    dx, dy = end[0] - start[0], end[1] - start[1]
    radius = (dx * dx + dy * dy) / (2 * (nx * dx + ny * dy))
    centre = start[0] + radius * nx, start[1] + radius * ny
    begin = heading - pi / 2
    return Arc(centre, radius, begin, (atan2(end[1] - centre[1], end[0] - centre[0]) - begin) % (2 * pi))


def _opposite(curve: Bezier | Arc, centre: Point) -> Bezier | Arc:
    """A curve turned half round about a point."""
    x, y = centre
    if isinstance(curve, Arc):
        u, v = curve.centre
        return Arc((2 * x - u, 2 * y - v), curve.radius, curve.begin + pi, curve.sweep)
    p = [(2 * x - u, 2 * y - v) for u, v in (curve.p0, curve.p1, curve.p2, curve.p3)]
    return Bezier(*p)


def _inward(t: float) -> float:
    """How many steps an arm has come inwards after it turned so far: one in half a turn."""
    return t / pi + _LEAVES * (1 - exp(-t / _SOON)) * exp(-t / _LATE)


def _slope(t: float) -> float:
    rise, fall = exp(-t / _SOON), exp(-t / _LATE)
    return 1 / pi + _LEAVES * (rise / _SOON * fall - (1 - rise) * fall / _LATE)


def _turned(disc: Disc, step: float) -> float:
    """How far an arm turns until it is one step from the middle: by bisection."""
    goal = disc.radius / step - 1
    low, high = 0.0, pi * max(goal, 0.0)
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if _inward(middle) < goal else (low, middle)
    return low


def _arm(disc: Disc, step: float, begin: float) -> list[Bezier | Arc]:
    whole = _turned(disc, step)
    if whole <= _FIRST / 2:
        return []  # no room for a turn that would be seen
    places = [t for t in (0.0, _FIRST, 2 * _FIRST, 4 * _FIRST) if t < whole - _FIRST / 2]
    count = max(1, round((whole - places[-1]) / _STEP))
    places = places[:-1] + [places[-1] + (whole - places[-1]) * i / count for i in range(count + 1)]
    arm: list[Bezier | Arc] = []
    for a, z in pairwise(places):
        third = (z - a) / 3
        (p, u), (q, v) = (_on(disc, step, begin, t) for t in (a, z))
        arm.append(
            Bezier(
                p,
                (p[0] + third * u[0], p[1] + third * u[1]),
                (q[0] - third * v[0], q[1] - third * v[1]),
                q,
            )
        )
    return arm


def _on(disc: Disc, step: float, begin: float, t: float) -> tuple[Point, Point]:
    """A point of an arm and how it moves with t."""
    reach, shrink = disc.radius - step * _inward(t), -step * _slope(t)
    c, s = cos(begin + t), sin(begin + t)
    point = disc.centre[0] + reach * c, disc.centre[1] + reach * s
    return point, (shrink * c - reach * s, shrink * s + reach * c)
