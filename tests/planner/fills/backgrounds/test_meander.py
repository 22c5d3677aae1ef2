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
from planner.fills.growing.style import Needs
from planner.fills.shape import PER_IN
from planner.geometry.curves import Curve
from planner.geometry.svg import whole_path
from tests.planner.fills.backgrounds.test_pebbles import a_box

STEP_IN = 0.13  # from turn to turn where the room is an inch


def seen(line: tuple[Curve, ...]) -> shapely.LineString:
    return shapely.LineString([line[0].start] + [p for c in line for p in c.points(1e-4)[1:]])


@settings(max_examples=15, deadline=None)
@given(across=st.floats(0.6, 3), down=st.floats(0.5, 2), room=st.floats(0.4, 1.75), seed=st.integers(0, 99))
def test_it_is_one_line_that_comes_home_and_never_crosses(
    across: float, down: float, room: float, seed: int
) -> None:
    lines = list(map(seen, meanders_of(a_box(across, down), Needs(room, 0.125, seed))))
    if not lines:
        assert min(across, down) < 0.5 * room, "a hole is open"
        return
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
        ground = replace(
            box,
            stitched=[*box.stitched, ring],
            cloth=[shapely.Polygon(ring)],
            lines=np.concatenate((box.lines, ring.coords)),
        )
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


def straightest(line: shapely.LineString, within: float) -> float:
    """The longest stretch of a line on which its heading stays within so many radians, inches."""
    points = shapely.get_coordinates(shapely.segmentize(line, STEP_IN / 20))
    ahead = np.diff(points, axis=0)
    way = np.cumsum(np.hypot(*ahead.T))
    heading = np.unwrap(np.arctan2(ahead[:, 1], ahead[:, 0]))
    longest, low = 0.0, 0
    for high in range(len(heading)):
        while np.ptp(heading[low : high + 1]) > within:
            low += 1
        longest = max(longest, float(way[high] - way[low]))
    return longest


@pytest.mark.parametrize(("across", "down"), [(3.0, 2.0), (4.0, 0.6), (0.6, 2.0)])
def test_it_turns_all_the_way(across: float, down: float) -> None:
    """Nowhere does it run straight on from one turn to the next but one, not even along an edge."""
    for seed in range(6):
        (line,) = map(seen, meanders_of(a_box(across, down), Needs(1.0, 0.125, seed)))
        assert straightest(line, 0.1) < 2 * STEP_IN


def test_no_stub_but_in_a_hole() -> None:
    """In a small square stands a turn or none, as the hole that would stay is half a room wide or less."""
    for wide in np.arange(0.2, 0.75, 0.05):
        box = a_box(wide, wide)
        lines = list(map(seen, meanders_of(box, Needs(1.0, 0.125, 1))))
        assert lines or wide < 0.5
        if wide < 0.4:
            assert not lines


def test_its_drawing_is_short() -> None:
    """Two numbers a curve: said with their handles, those of a large quilt's meanders took 300 kB."""
    (line,) = meanders_of(a_box(4.0, 3.0), Needs(1.0, 0.125, 1))
    assert len(whole_path(line, PER_IN)) < 6.5 * len(line)
