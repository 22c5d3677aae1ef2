"""Leaves point the way that their neighbours do; what is left between their tips takes berries on a stem."""

from __future__ import annotations

from collections import Counter
from math import atan2, degrees

import numpy as np
import pytest

from planner.border.layout import place
from planner.fills import fill
from planner.plan import SIDES, Plan
from planner.solver import propose


@pytest.mark.parametrize(("width", "corner", "meeting"), [(6, "turning", "any"), (5, "mirrored", "wreath")])
def test_no_leaf_lies_along_the_edge_across_the_tips_of_others(width: int, corner: str, meeting: str) -> None:
    """Of the leaves no longer than the room that hung there, half and a third lay within 25 degrees of the edge."""
    plan = Plan.model_validate(
        {
            "sides_in": {side: (81 if side in ("top", "bottom") else 99) - 2 * width for side in SIDES},
            "border_in": dict.fromkeys(SIDES, width),
            "tin_in": [n / 8 for n in range(8, 60, 2)],
            "corner": corner,
            "meeting": meeting,
            "fill": {"kind": "leaves"},
        }
    )
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
