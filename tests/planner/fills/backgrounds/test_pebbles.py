"""Pebbles: apart from each other and from every line, each on what it grows from, of many sizes."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise
from math import hypot, pi

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.fills.backgrounds.open_ground import STEP_IN, OpenGround
from planner.fills.backgrounds.pebbles import pebbles_of
from planner.fills.growing.style import Needs
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Arc, Curve


def along(*corners: tuple[float, float]) -> Numbers:
    """Points along straight lines from corner to corner."""
    parts = [
        np.linspace(a, b, int(hypot(b[0] - a[0], b[1] - a[1]) / STEP_IN) + 2) for a, b in pairwise(corners)
    ]
    return np.concatenate(parts)


def a_box(across: float, down: float) -> OpenGround:
    """A ground with a straight line to grow from along its top."""
    top = along((0, 0), (across, 0))
    edge = along((0, 0), (0, down), (across, down), (across, 0))
    ground = shapely.box(0, 0, across, down)
    return OpenGround(
        ground, [], [], [shapely.LineString(top)], top, np.tile((0.0, 1.0), (len(top), 1)), top, edge
    )


def circles(lines: list[tuple[Curve, ...]]) -> list[tuple[float, float, float]]:
    found = []
    for line in lines:
        one, other = line
        assert isinstance(one, Arc) and isinstance(other, Arc)
        assert one.centre == other.centre and one.sweep + other.sweep == pytest.approx(2 * pi)
        assert one.end == pytest.approx(other.start) and other.end == pytest.approx(one.start)
        found.append((*one.centre, one.radius))
    return found


@settings(max_examples=15, deadline=None)
@given(
    across=st.floats(0.5, 3),
    down=st.floats(0.4, 2),
    room=st.floats(0.4, 1.75),
    seed=st.integers(0, 99),
)
def test_they_lie_apart_and_inside_each_on_one_before_it(
    across: float, down: float, room: float, seed: int
) -> None:
    lines = pebbles_of(a_box(across, down), Needs(room, 0.125, seed))
    found = circles(lines)
    for (x, y, r), (u, v, s) in combinations(found, 2):
        assert hypot(u - x, v - y) > r + s - 1e-9, "two overlap"
    for x, y, r in found:
        assert r >= 0.125 / 2 - 1e-9, "thinner than the smallest feature"
        assert r - 1e-3 < x < across - r + 1e-3 and r - 1e-9 < y < down - r + 1e-3, "over the edge"
    for n, line in enumerate(lines):
        x, y = line[0].start
        off = [abs(hypot(x - u, y - v) - s) for u, v, s in found[:n]]
        assert min([*off, abs(y)]) < 1e-9, "begun in the air"


def test_they_fill_the_ground_with_many_sizes() -> None:
    """Seen as cloth: about what equal circles in a square grid cover (pi/4), and no hole for one more."""
    found = circles(pebbles_of(a_box(3.0, 2.0), Needs(1.0, 0.125, 1)))
    radii = [r for *_, r in found]
    assert sum(pi * r * r for r in radii) > 0.62 * 6.0
    assert max(radii) > 1.6 * min(radii)
    assert len({round(r, 2) for r in radii}) > 4
    grid = np.stack(np.meshgrid(np.arange(0.05, 3, 0.02), np.arange(0.05, 2, 0.02)), axis=-1).reshape(-1, 2)
    free = np.minimum.reduce([np.hypot(*(grid - (x, y)).T) - r for x, y, r in found])
    inside = np.minimum.reduce([grid[:, 0], 3 - grid[:, 0], grid[:, 1], 2 - grid[:, 1]])
    assert np.minimum(free, inside).max() < 1.35 * min(radii)


def test_they_keep_off_a_line_that_is_no_host() -> None:
    """A ring of stitches in the middle: none on it, none crosses it."""
    ground = a_box(2.0, 1.5)
    angle = np.linspace(0, 2 * pi, 80)
    ring = np.stack((1 + 0.3 * np.cos(angle), 0.8 + 0.3 * np.sin(angle)), axis=1)
    found = circles(
        pebbles_of(
            replace(ground, lines=np.concatenate((ground.lines, ring))),
            Needs(1.0, 0.125, 3),
        )
    )
    assert found
    for x, y, r in found:
        assert abs(hypot(x - 1, y - 0.8) - 0.3) > r - 1e-3, "on the ring"


def test_the_same_seed_the_same_pebbles_another_others() -> None:
    one, same, other = (pebbles_of(a_box(2, 1), Needs(1.0, 0.125, seed)) for seed in (1, 1, 2))
    assert one == same != other


def test_nothing_to_grow_from_no_pebbles() -> None:
    none = np.zeros((0, 2))
    assert (
        pebbles_of(
            OpenGround(shapely.box(0, 0, 1, 1), [], [], [], none, none, none, along((0, 0), (1, 0), (1, 1))),
            Needs(1.0, 0.125, 1),
        )
        == []
    )


def test_no_pebble_leaves_the_ground_through_a_gap_in_its_edge() -> None:
    """An edge that is told with a gap in it: the pebbles stop at the ground's end all the same."""
    ground = a_box(1.0, 1.0)
    open_below = ground.edges[ground.edges[:, 1] < 0.95]
    found = circles(
        pebbles_of(
            replace(ground, edges=open_below),
            Needs(1.0, 0.125, 1),
        )
    )
    assert found and max(y for _, y, _ in found) < 1.1
