"""A flower of any size has its eye."""

from __future__ import annotations

import numpy as np
import pytest

from planner.fills.growing.style import Needs
from planner.fills.styles import FILLS
from planner.fills.styles.flowers import flower

RANGE = FILLS["flowers"].needs


@pytest.mark.parametrize("room", [RANGE.least_room, 0.8125, RANGE.comfortable_room, RANGE.most_room])
def test_every_flower_has_its_eye(room: float) -> None:
    """Where it has one ring of petals and where it has two, from the smallest that stands in a curl."""
    needs = Needs(room, RANGE.smallest_feature, seed=1)
    for radius in np.arange(0.32, 1.2, 0.002).tolist():
        stem = radius * np.stack((np.linspace(2, 0, 50), np.zeros(50)), axis=1)
        kinds = [one.kind for one in flower(stem, radius, needs).outlines]
        assert kinds.count("eye") == 1, f"a blank flower {radius:.3f} in wide by half"
