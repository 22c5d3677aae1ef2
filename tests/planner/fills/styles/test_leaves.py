"""Leaves point the way that their neighbours do; what is left between their tips takes berries on a stem."""

from __future__ import annotations

from collections import Counter
from math import atan2, degrees

import numpy as np
import pytest

from planner.border.layout import place
from planner.fills import fill
from planner.solver import propose
from tests.contact_sheet import plan_of


@pytest.mark.parametrize(("width", "style"), [(6, "turning"), (5, "wreath")])
def test_no_leaf_lies_along_the_edge_across_the_tips_of_others(width: int, style: str) -> None:
    """Of the leaves no longer than the room that hung there, half and a third lay within 25 degrees of the edge."""
    plan = plan_of("leaves", width, style, 81, 99, None)
    layout = place(plan, propose(plan).proposals[0].choice)
    grown = fill(layout)
    far = np.array([layout.quilt.width, layout.quilt.height])
    among_tips = across = 0
    for shape in (shape for shape in grown.shapes() if shape.kind == "leaf"):
        points = np.array(shape.points(1e-2))
        reach = np.hypot(*(points - points[0]).T)
        ends = points[[0, int(np.argmax(reach))]]
        # Of both ends how far they are from the left, top, right and bottom: the edge to which both are nearest.
        off = np.concatenate((ends, far - ends), axis=1)
        edge = int(np.argmin(off.max(axis=0)))
        if off[:, edge].max() < plan.binding_allowance_in + 1.25 * layout.room and reach.max() < layout.room:
            out, along = off[0, edge] - off[1, edge], ends[1, (edge + 1) % 2] - ends[0, (edge + 1) % 2]
            among_tips += 1
            across += degrees(atan2(out, abs(along))) < 25
    assert among_tips
    assert across <= 0.02 * among_tips
    count = Counter(shape.kind for shape in grown.shapes())
    assert 0.02 < count["berry"] / count.total() < 0.12
