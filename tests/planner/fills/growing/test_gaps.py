"""What is chosen among alike places does not hang on the last bit of a float."""

from __future__ import annotations

import numpy as np
import pytest

from planner.border.layout import place
from planner.fills import fill
from planner.fills.growing import outline
from planner.geometry.arrays import Indices, Numbers
from planner.solver import propose
from tests.contact_sheet import plan_of


@pytest.mark.parametrize(("kind", "style"), [("leaves", "wreath"), ("feathers", "butted")])
def test_the_last_bit_chooses_nothing(kind: str, style: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The drawn curves shaken by 1e-12 in: the same shapes begin at the same places."""
    plan = plan_of(kind, 8, style, 40, 50, None)
    layout = place(plan, propose(plan).proposals[0].choice)
    calm = [shape.start for cell in fill(layout).cells for shape in cell.shapes]
    handles = outline._handles

    def shaken(outlines: list[outline.Outline]) -> tuple[Numbers, Indices]:
        found, counts = handles(outlines)
        return found + 1e-12 * np.sin(1e3 * np.arange(found.size)).reshape(found.shape), counts

    monkeypatch.setattr(outline, "_handles", shaken)
    again = [shape.start for cell in fill(layout).cells for shape in cell.shapes]
    assert len(again) == len(calm)
    assert np.abs(np.array(again) - np.array(calm)).max() < 1e-4
