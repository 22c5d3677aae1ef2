"""Empty paper: points along what is drawn, and the nearest empty place for words, against plain searches."""

from __future__ import annotations

from math import hypot, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.geometry.curves import Arc, Bezier, Curve, Line
from planner.sheets.free import CELL_IN, FINE_IN, free_box, points_on

CURVES: tuple[Curve, ...] = (
    Line((0.0, 0.0), (3.0, 4.0)),
    Line((1.0, 1.0), (1.0, 1.0)),
    Arc((2.0, 1.0), 1.5, 0.3, -1.7 * pi),
    Bezier((0.0, 0.0), (1.0, 2.0), (3.0, -2.0), (4.0, 0.5)),
)


@pytest.mark.parametrize("curve", CURVES, ids=lambda curve: type(curve).__name__)
def test_points_on_a_curve_lie_on_it_from_end_to_end_with_none_far_apart(curve: Curve) -> None:
    points = points_on([curve])
    assert points[0] == pytest.approx(curve.start)
    assert points[-1] == pytest.approx(curve.end)
    # A cubic's speed is at most three times that of its mean: its points are the closer for that elsewhere.
    assert np.hypot(*np.diff(points, axis=0).T).max() <= 2 * CELL_IN
    fine = np.array([curve.point(t) for t in np.linspace(0, 1, 4001)])
    assert max(np.hypot(*(fine - point).T).min() for point in points) < 2e-3


def test_points_on_several_curves_are_those_of_each() -> None:
    every = sorted(map(tuple, points_on(CURVES).round(9)))
    assert every == sorted(tuple(p) for curve in CURVES for p in points_on([curve]).round(9))


@given(
    st.lists(st.tuples(st.floats(-2, 2), st.floats(-2, 2)), max_size=30), st.floats(0.1, 1), st.floats(0.1, 1)
)
def test_a_free_box_covers_nothing_and_none_lies_nearer(
    points: list[tuple[float, float]], wide: float, high: float
) -> None:
    taken, near, within = np.array(points).reshape(-1, 2), (0.25, -0.5), 0.9
    offsets = np.arange(-within, within + FINE_IN, FINE_IN)
    free = [
        hypot(x, y)
        for x in offsets
        for y in offsets
        if hypot(x, y) <= within
        and not (np.abs(taken - (near[0] + x, near[1] + y)) < (wide / 2 + 1e-9, high / 2 + 1e-9)).all(1).any()
    ]
    box = free_box(taken, wide, high, near, within)
    if box is None:
        assert not free
        return
    middle = (box.x + wide / 2, box.y + high / 2)
    assert not (np.abs(taken - middle) < (wide / 2 - 1e-9, high / 2 - 1e-9)).all(axis=1).any()
    away = hypot(middle[0] - near[0], middle[1] - near[1])
    assert away <= min(within, *free, 9.0) + 1e-9
