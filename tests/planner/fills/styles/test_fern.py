"""Fronds: each flank keeps to its own side of the rib, leaflets are of a size, and none is a caterpillar."""

from __future__ import annotations

import numpy as np
import pytest

from planner.fills.styles import FILLS
from planner.fills.styles.fern import frond, in_gap

SMALLEST_IN = FILLS["fern"].needs.smallest_feature


@pytest.mark.parametrize("slender", [0.12, 0.2, 0.3])
def test_no_flank_crosses_the_rib(slender: float) -> None:
    """Along a straight rib: one half of the outline on one side of it, the other on the other."""
    middle = np.stack((np.linspace(0, 2.0, 41), np.zeros(41)), axis=1)
    outline, _ = frond(middle, np.full(41, slender), SMALLEST_IN)
    half = len(outline.points) // 2
    assert np.all(outline.points[:half, 1] <= 1e-9)
    assert np.all(outline.points[half + 1 :, 1] >= -1e-9)


@pytest.mark.parametrize("broad", [0.1, 0.2, 0.3])
@pytest.mark.parametrize("length", [1.2, 2.0, 4.0])
def test_leaflets_are_of_a_size(broad: float, length: float) -> None:
    """However broad a frond in a gap is: it has more of them, or it would be an oak leaf."""
    axis = np.stack((np.linspace(0, length, 49), np.zeros(49)), axis=1)
    grown = in_gap(axis, np.full(49, broad * length), SMALLEST_IN / 2)
    if not grown:
        assert broad * length < 2 * SMALLEST_IN
        return
    valleys = grown[0].points[list(grown[0].corners)][: len(grown[0].corners) // 2, 0]
    assert np.diff(valleys).max() < 3 * SMALLEST_IN


def test_a_frond_is_no_caterpillar() -> None:
    """Where there is so little width for its length, there is none; a short one beside it is."""
    for length, count in ((3.0, 0), (1.2, 2)):
        middle = np.stack((np.linspace(0, length, 120), np.zeros(120)), axis=1)
        assert len(frond(middle, np.full(120, 0.16), SMALLEST_IN, grass=0.1)) == count
