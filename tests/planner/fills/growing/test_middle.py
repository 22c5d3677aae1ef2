"""On the middle line of a side stand whole shapes, each stitched once; two halves face each other nowhere."""

from __future__ import annotations

import numpy as np
import pytest

from planner.border.layout import place
from planner.fills import fill
from planner.fills.growing.middle import on_the_line, onto_the_line, towards
from planner.plan import SIDES, Plan
from planner.solver import propose
from tests.outside.fill_judge import Drawing, thin


@pytest.mark.parametrize("kind", ["feathers", "leaves"])
def test_a_shape_stands_across_the_middle_line_and_is_stitched_once(kind: str) -> None:
    plan = Plan.model_validate(
        {
            "sides_in": dict.fromkeys(SIDES, 39.0),
            "border_in": dict.fromkeys(SIDES, 6.0),
            "cut_own": True,
            "meeting": "little_spines",
            "fill": {"kind": kind},
        }
    )
    layout = place(plan, propose(plan).proposals[0].choice)
    found = fill(layout, only=lambda pocket: pocket.side == "top" and pocket.curl > 1)
    middle = layout.quilt.width / 2
    across = []
    for shape in found.shapes():
        x = [point[0] for point in shape.points(0.01)]
        if min(x) < middle - 0.05 and max(x) > middle + 0.05:
            across.append(shape)
    assert across
    assert {shape.pocket.run for shape in across if shape.pocket} == {"start"}
    laid = {(*np.round(shape.start, 3).tolist(), round(shape.length, 3)) for shape in across}
    assert len(laid) == len(across)
    whole = [cell for cell in found.cells if cell.begins is not None]
    assert len(whole) == 1 and whole[0].begins is not None
    image = found.cells[whole[0].begins]
    assert whole[0].shapes[: len(image.shapes)] == image.shapes
    assert found.svg_defs().count(f'<use href="#cell{whole[0].begins}"/>') == 1  # drawn once for both


def test_the_widest_place_on_the_line_is_found() -> None:
    own = np.array([(-0.3, y) for y in np.linspace(-2, 2, 401)] + [(-0.1, 0.5), (-0.1, -0.9)])
    place_there, free = on_the_line(0.0, np.array([-0.2, 0.0]), 0.4, own)
    assert place_there[0] == 0.0
    assert free == pytest.approx(0.3, abs=1e-3)
    assert min(np.hypot(*(own - place_there).T)) == pytest.approx(free, abs=1e-6)


def test_what_hangs_nearest_to_the_line_is_tried_first_and_its_axis_bends_onto_the_line() -> None:
    own = np.array([(-0.5, 0.1), (-0.2, 0.6), (-0.02, 0.6), (-0.02, 9.0)])
    assert list(towards(np.zeros(2), 0.3, own, np.arange(4))) == [2, 1]
    assert list(towards(np.zeros(2), 0.3, own, np.arange(4), 3.0)) == []
    axis = onto_the_line(own[1], np.zeros(2))
    assert axis[0] == pytest.approx(own[1]) and axis[-1] == pytest.approx((0, 0))
    assert abs(axis[20:, 0]).max() < 0.06


def test_no_thinner_shape_stands_on_the_line_than_elsewhere() -> None:
    """Of a holly fill in 4 in borders a leaf stood there of less than the smallest feature."""
    plan = Plan.model_validate(
        {
            "sides_in": {"top": 82.0, "bottom": 82.0, "right": 100.0, "left": 100.0},
            "border_in": dict.fromkeys(SIDES, 4.0),
            "tin_in": [n / 8 for n in range(8, 60, 2)],
            "meeting": "butted",
            "fill": {"kind": "holly"},
        }
    )
    layout = place(plan, propose(plan).proposals[0].choice)
    last = len(layout.chains["top"].circles)
    found = fill(layout, only=lambda pocket: pocket.side == "top" and pocket.curl > last - 2)
    assert any(cell.begins is not None for cell in found.cells)
    assert not list(thin(Drawing(layout, found), found))
