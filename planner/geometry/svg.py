"""SVG path data of curves, in two notations: inches as they are, and whole numbers, which are much shorter.

Both go over the same steps; only where an arc is cut, and how numbers are written, differs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, hypot, pi
from typing import NamedTuple

from planner.geometry.arrays import ROUNDING, SAME_IN
from planner.geometry.curves import Arc, Bezier, Curve, Point, as_arc

_HALF_TURN = pi + ROUNDING  # an SVG arc over more than a half turn would need its large-arc flag
# Near a half turn the ends of an arc hardly say how it bulges: rounded to whole units it would bulge wrongly.
_QUARTER_TURN = 1.6


class _Step(NamedTuple):
    """One command of a path: its letter, the points it leads through, of an arc the radius and which way.

    half: whether an arc is half a circle.
    """

    command: str
    points: tuple[Point, ...]
    radius: float = 0.0
    clockwise: bool = False
    half: bool = False


def _steps(curves: Iterable[Curve], largest_turn: float) -> Iterator[_Step]:
    """What to draw, with a move wherever a curve does not begin at the last one's end.

    largest_turn: arcs that turn farther are cut evenly, radians.
    """
    here: Point | None = None
    for curve in curves:
        start = curve.start
        if here is None or hypot(start[0] - here[0], start[1] - here[1]) > SAME_IN:
            yield _Step("M", (start,))
        here = curve.end
        if isinstance(curve, Bezier):
            handle = curve.handle
            yield _Step("Q", (handle, here)) if handle else _Step("C", (curve.p1, curve.p2, here))
        elif isinstance(curve, Arc):
            half = abs(abs(curve.sweep) - pi) < ROUNDING
            count = 1 if half else max(1, ceil(abs(curve.sweep) / largest_turn))
            for i in range(1, count + 1):
                end = here if i == count else curve.point(i / count)
                yield _Step("A", (end,), curve.radius, curve.sweep > 0, half)
        else:
            yield _Step("L", (here,))


def number(value: float) -> str:
    """A length for a drawing: four decimals (a ten-thousandth of an inch), no trailing noughts."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def svg_path(curves: Iterable[Curve]) -> str:
    """Path data in inches; it moves only where a curve does not begin at the last one's end."""
    text = ""
    for step in _steps(curves, _HALF_TURN):
        radius = number(step.radius) if step.radius else ""
        arc = f"{radius} {radius} 0 0 {step.clockwise:d} " if radius else ""
        text += step.command + arc + " ".join(number(v) for point in step.points for v in point)
    return text


def whole_path(curves: Iterable[Curve], per_in: int) -> str:
    """Path data in whole units, of which an inch has so many; the curves follow one another without a gap.

    Each step is from the last rounded point, so that rounding never adds up. Where a curve goes on as the one
    before it ended, to such a unit, its first handle goes without saying: of a quadratic one all but its end.
    """
    return whole_paths([curves], per_in)


def whole_paths(lines: Iterable[Iterable[Curve]], per_in: int) -> str:
    """The same of several lines, as one path: each begins so far from where the one before it ended.

    A circle in two halves is drawn in one stroke, from its top: all but a unit of it, which is far less than its
    thread is wide; its two flags and that unit need no blanks between them.
    """
    text, here = "", (0, 0)
    for line in lines:
        curves = tuple(line)
        circle = _circle(curves)
        if circle:
            (x, y), radius = _whole(circle.centre, per_in), round(circle.radius * per_in)
            text += f"{_move((x, y - radius), here, text)}a{radius} {radius} 0 101 0"
            here = (x + 1, y - radius)
            continue
        said = ""
        on: tuple[int, int] | None = None  # from the last handle to the point it leads to
        for step in _steps(curves, _QUARTER_TURN):
            if step.command == "M":
                begin = _whole(step.points[0], per_in)
                text += _move(begin, here, text)
                said, here, on = "m", begin, None
                continue
            ways = [v - w for p in step.points for v, w in zip(_whole(p, per_in), here, strict=True)]
            command, values = step.command.lower(), ways
            if command == "a":
                # A radius too small for its ends is made to fit by the reader: half a circle to the last digit.
                radius = 1 if step.half else round(step.radius * per_in)
                values = [radius, radius, 0, 0, step.clockwise, *ways]
            elif command == "c" and on and said in "cs" and _apart(on, ways) <= 1:
                command, values = "s", ways[2:]
            elif command == "q" and on and said in "qt" and not _apart(on, ways):
                # To the unit: the handle that goes without saying here is what the next one goes by.
                command, values = "t", ways[2:]
            text += _numbers(values) if command == said else command + _numbers(values).lstrip()
            on = (ways[-2] - ways[-4], ways[-1] - ways[-3]) if step.command in "CQ" else None
            said, here = command, (here[0] + ways[-2], here[1] + ways[-1])
    return text


def _apart(one: Sequence[int], other: Sequence[int]) -> int:
    """How many units two steps are apart, across or down."""
    return max(abs(one[0] - other[0]), abs(one[1] - other[1]))


def _circle(curves: Sequence[Curve]) -> Arc | None:
    """The first half of a circle that is drawn in two."""
    if len(curves) != 2 or not all(isinstance(c, Arc) and abs(abs(c.sweep) - pi) < ROUNDING for c in curves):
        return None
    one, other = as_arc(curves[0]), as_arc(curves[1])
    return one if hypot(other.end[0] - one.start[0], other.end[1] - one.start[1]) < SAME_IN else None


def _move(to: tuple[int, int], here: tuple[int, int], before: str) -> str:
    """A move: where nothing was drawn before it, from the origin."""
    return ("m" if before else "M") + _numbers((to[0] - here[0], to[1] - here[1])).lstrip()


def _whole(point: Point, per_in: int) -> tuple[int, int]:
    return round(point[0] * per_in), round(point[1] * per_in)


def _numbers(values: Sequence[int]) -> str:
    """Numbers as SVG reads them after others: " 125-5 0"."""
    return "".join(f"{'' if value < 0 else ' '}{value:d}" for value in values)
