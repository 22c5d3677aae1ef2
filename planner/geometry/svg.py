"""SVG path data in whole numbers: much shorter than what curves.svg_path writes, and as good to look at."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil

from planner.geometry.curves import Arc, Bezier, Curve, Point

_LARGEST_TURN = 1.6  # radians


def whole_path(curves: Iterable[Curve], per_in: int) -> str:
    """SVG path data of curves, each beginning where the one before it ended, in units of which an inch has so many.

    Each step is from the last rounded point, so that rounding never adds up. Where a curve goes on as the one
    before it ended, to such a unit, its first handle goes without saying.
    """
    text, said, here = "", "M", (0, 0)
    on: tuple[int, int] | None = None  # from the last handle to the point it leads to
    for curve in curves:
        if not text:
            here = _whole(curve.start, per_in)
            text = "M" + _numbers(here)
        # Near a half turn the ends of an arc hardly say how it bulges: rounded, it would bulge wrongly.
        count = ceil(abs(curve.sweep) / _LARGEST_TURN) if isinstance(curve, Arc) else 1
        for i in range(1, count + 1):
            points = [curve.end if i == count else curve.point(i / count)]
            if isinstance(curve, Bezier):
                points = [curve.p1, curve.p2, *points]
            steps = [v - w for p in points for v, w in zip(_whole(p, per_in), here, strict=True)]
            command, more = "l", steps
            if isinstance(curve, Arc):
                radius = round(curve.radius * per_in)
                command, more = "a", [radius, radius, 0, 0, curve.sweep > 0, *steps]
            elif isinstance(curve, Bezier):
                smooth = on is not None and max(abs(steps[0] - on[0]), abs(steps[1] - on[1])) <= 1
                command, more = ("s", steps[2:]) if smooth else ("c", steps)
            text += (command if command != said else "") + _numbers(more)
            on = (steps[4] - steps[2], steps[5] - steps[3]) if isinstance(curve, Bezier) else None
            said, here = command, (here[0] + steps[-2], here[1] + steps[-1])
    return text


def _whole(point: Point, per_in: int) -> tuple[int, int]:
    return round(point[0] * per_in), round(point[1] * per_in)


def _numbers(values: Sequence[int]) -> str:
    """Numbers as SVG reads them after others: " 125-5 0"."""
    return "".join(f"{'' if value < 0 else ' '}{value:d}" for value in values)
