"""A frond's leaflets: each flank keeps to its own side of the rib."""

from __future__ import annotations

import numpy as np
import pytest

from planner.fills.growing.style import Needs
from planner.fills.styles import FILLS
from planner.fills.styles.fern import frond


@pytest.mark.parametrize("slender", [0.12, 0.2, 0.3])
def test_no_flank_crosses_the_rib(slender: float) -> None:
    """Along a straight rib: one half of the outline on one side of it, the other on the other."""
    middle = np.stack((np.linspace(0, 2.0, 41), np.zeros(41)), axis=1)
    outline, _ = frond(middle, np.full(41, slender), Needs(1.0, FILLS["fern"].needs.smallest_feature, 1))
    half = len(outline.points) // 2
    assert np.all(outline.points[:half, 1] <= 1e-9)
    assert np.all(outline.points[half + 1 :, 1] >= -1e-9)
