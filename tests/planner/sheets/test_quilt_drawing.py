"""The whole quilt on paper: what would be a dot is left out, and nothing else."""

from __future__ import annotations

from math import tau

from planner.fills.shape import Shape
from planner.geometry.curves import Arc, Bezier, Line
from planner.sheets.quilt_drawing import quilt_drawing
from tests.planner.landed import example


def test_only_dots_are_left_out() -> None:
    layout = example(0)
    pebble = Shape("pebble", "", (Arc((3.0, 3.0), 0.1, 0.0, tau),))
    bulge = Shape(
        "teardrop", "", (Bezier((5.0, 3.0), (5.5, 3.0), (5.5, 3.4), (5.0, 3.4)),)
    )  # its ends lie near
    needle = Shape("needle", "", (Line((4.0, 3.0), (4.0, 4.0)),))
    ring = Shape("berry", "", (Arc((6.0, 3.0), 0.2, 0.0, tau),))  # begins where it ends
    shapes = (pebble, bulge, needle, ring)

    def drawn(dot_in: float) -> list[object]:
        return [stroke.curves for stroke in quilt_drawing(layout, shapes, dot_in=dot_in).on("fill")]

    assert drawn(0.0) == [shape.curves for shape in shapes]
    assert drawn(0.3) == [bulge.curves, needle.curves, ring.curves]
    assert drawn(0.6) == [needle.curves]
