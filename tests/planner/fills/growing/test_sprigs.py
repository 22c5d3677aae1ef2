"""Berries in a hole: within it, touching each other at nodes, none too small to stitch."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.fills.growing.sprigs import in_a_hole
from planner.fills.growing.standing import Hole


@given(
    radius=st.floats(0.08, 0.8),
    away=st.floats(1.05, 3),
    turn=st.floats(-3.2, 3.2),
    smallest=st.floats(0.05, 0.2),
)
def test_berries_lie_in_their_hole(radius: float, away: float, turn: float, smallest: float) -> None:
    foot = radius * away * np.array([np.cos(turn), np.sin(turn)])
    for stem, *berries in in_a_hole(Hole((0.0, 0.0), radius, tuple(foot.tolist())), 0.15, smallest):
        assert stem.kind == "stem" and stem.points[0] == pytest.approx(foot)
        assert stem.points[-1] == pytest.approx(berries[0].points[0])
        middles = [one.points[:-1].mean(axis=0) for one in berries]
        radii = [
            float(np.hypot(*(one.points - at).T).min()) for one, at in zip(berries, middles, strict=True)
        ]
        assert 2 <= len(berries) <= 3
        assert min(radii) > smallest / 2 and max(radii) <= 0.15 + 1e-9
        assert all(hypot(*at) + r < 1.02 * radius for at, r in zip(middles, radii, strict=True))
        for one, r in zip(berries[1:], radii[1:], strict=True):
            nodes = berries[0].points[berries[0].nodes]
            assert np.hypot(*(nodes - one.points[0]).T).min() < 1e-9, "no node of the first one"
            assert r < radii[0]
        for (at, r), (other, q) in pairwise(list(zip(middles[1:], radii[1:], strict=True))):
            assert hypot(*(at - other)) > r + q


def test_where_there_is_no_room_there_is_no_berry() -> None:
    assert in_a_hole(Hole((0.0, 0.0), 0.1, (0.2, 0.0)), 0.15, 0.2) == []
