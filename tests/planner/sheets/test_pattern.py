"""The pattern shows all of the fill that lies on it, wherever a shape begins."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from planner.border.layout import Layout
from planner.chalk.measured import measured_side
from planner.fills import fill
from planner.fills.shape import Shape
from planner.geometry.curves import Line
from planner.plan import Fill, SideName
from planner.sheets.pattern import patterns, ruler_motion
from tests.planner.landed import example


@pytest.mark.parametrize(
    ("points", "shown"),
    [
        (((1.0, 1.0), (2.0, 2.0)), True),
        (((40.0, 3.0), (20.0, 3.0)), True),  # begins past the middle, as half of a lattice's frame does
        (((40.0, 3.0), (41.0, 4.0)), False),  # on the other half
        (((10.0, 9.0), (10.0, 5.0)), True),  # begins beyond the seam
        (((10.0, 9.0), (12.0, 9.5)), False),
    ],
)
def test_a_shape_is_kept_by_where_it_lies(points: tuple[tuple[float, float], ...], shown: bool) -> None:
    layout = example(3)

    def grow(here: Layout, side: SideName) -> Iterable[Shape]:
        on = ruler_motion(here, side).undone()
        yield Shape("hatch", "", (Line(*(on.point(p) for p in points)),))

    (pattern,) = patterns(layout, side="top", grow=grow)
    assert bool(list(pattern.drawing.on("fill"))) is shown


def test_a_lattices_frame_is_whole_up_to_the_middle() -> None:
    layout = example(3, fill=Fill(kind="echo"))
    side = measured_side(layout, "top")
    (pattern,) = patterns(layout, side="top", grow=lambda here, name: fill(here, name).shapes())
    half = layout.choice.middle_in / 2
    inner_corner = (side.middle - half, side.border - 0.04)  # a sliver is kept clear of the seam's ditch
    points = [curve.start for stroke in pattern.drawing.on("fill") for curve in stroke.curves]
    points += [curve.end for stroke in pattern.drawing.on("fill") for curve in stroke.curves]
    assert min(abs(x - inner_corner[0]) + abs(y - inner_corner[1]) for x, y in points) < 1e-6
