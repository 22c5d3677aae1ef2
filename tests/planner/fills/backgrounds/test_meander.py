"""A small meander: one line that never crosses itself, everywhere, evenly, and home again."""

from __future__ import annotations

from dataclasses import replace
from math import tau

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.fills.backgrounds.meander import meanders_of
from planner.fills.growing.grow import Needs
from planner.geometry.curves import Curve
from tests.planner.fills.backgrounds.test_pebbles import a_box

STEP_IN = 0.12  # from turn to turn where the room is an inch


def seen(line: tuple[Curve, ...]) -> shapely.LineString:
    return shapely.LineString([line[0].start] + [p for c in line for p in c.points(1e-4)[1:]])


@settings(max_examples=15, deadline=None)
@given(across=st.floats(0.6, 3), down=st.floats(0.5, 2), room=st.floats(0.4, 1.75), seed=st.integers(0, 99))
def test_it_is_one_line_that_comes_home_and_never_crosses(
    across: float, down: float, room: float, seed: int
) -> None:
    lines = list(map(seen, meanders_of(a_box(across, down), Needs(room, 0.125, seed))))
    assert len(lines) == 1
    (line,) = lines
    (x, y), end = line.coords[0], line.coords[-1]
    assert end == pytest.approx((x, y)) and y == pytest.approx(0, abs=1e-9), "begins in the air"
    assert shapely.is_simple(shapely.LinearRing(line.coords[:-1])), "crosses itself"
    assert shapely.box(0, -1e-9, across, down).covers(line), "over the edge"


def test_it_goes_everywhere_and_evenly() -> None:
    """No circle half a room wide stays empty, and its turns lie apart: a band along it covers what it is long."""
    (line,) = map(seen, meanders_of(a_box(3.0, 2.0), Needs(1.0, 0.125, 1)))
    grid = np.stack(np.meshgrid(np.arange(0.0, 3, 0.03), np.arange(0.0, 2, 0.03)), axis=-1).reshape(-1, 2)
    edge = shapely.box(0, 0, 3, 2).exterior
    free = shapely.distance(shapely.union(line, edge), shapely.points(grid))
    assert free.max() < 0.25
    assert line.length == pytest.approx(6.0 / STEP_IN, rel=0.25)
    assert line.buffer(STEP_IN / 8).area > 0.97 * line.length * STEP_IN / 4


def test_it_goes_round_a_line_that_it_must_not_cross() -> None:
    """A ring of stitches in the middle, as small as a berry: none of it inside, none across."""
    box, angle = a_box(2.0, 1.5), np.linspace(0, tau, 80)
    for radius in (0.03, 0.1, 0.4):
        ring = shapely.LineString(
            np.stack((1 + radius * np.cos(angle), 0.8 + radius * np.sin(angle)), axis=1)
        )
        ground = replace(box, stitched=[*box.stitched, ring], cloth=[shapely.Polygon(ring)])
        lines = list(map(seen, meanders_of(ground, Needs(1.0, 0.125, 3))))
        assert lines
        for line in lines:
            assert line.distance(shapely.Polygon(ring)) > 1e-3


def test_the_same_seed_the_same_meander_another_another() -> None:
    one, same, other = (meanders_of(a_box(2, 1), Needs(1.0, 0.125, seed)) for seed in (1, 1, 2))
    assert one == same != other


def test_nothing_to_grow_from_no_meander() -> None:
    none = np.zeros((0, 2))
    ground = replace(a_box(2, 1), feet=none, ways=none, stitched=[])
    assert meanders_of(ground, Needs(1.0, 0.125, 1)) == []


def test_no_room_no_meander() -> None:
    assert meanders_of(a_box(2, 0.1), Needs(1.0, 0.125, 1)) == []
