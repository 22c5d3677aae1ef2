"""Variants of pockets along a run."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

import pytest

from planner.border.layout import place
from planner.fills import fill
from planner.fills.pocket import Pocket
from planner.fills.shape import Copy
from planner.fills.variants import variants_of
from planner.geometry.curves import Motion
from planner.solver import propose
from tests.contact_sheet import plan_of


def _run(count: int) -> list[Copy]:
    """Curls of a side as they are laid: out along its start, back along its end."""
    starts = [Copy(0, Motion(), Pocket("curl", "top", "start", n)) for n in range(1, count + 1)]
    ends = [Copy(0, Motion(), Pocket("curl", "top", "end", n)) for n in range(count, 0, -1)]
    return starts + ends


def test_neighbours_along_a_run_and_in_a_row_differ() -> None:
    more, laid = variants_of(_run(12), [40], 1.0)
    assert [variant for _, variant in more] == [1, 2, 3, 4]
    cells = [copy.cell for copy in laid]
    assert all(a != b for a, b in pairwise(cells[:12]))
    assert all(a != b for a, b in zip(cells[:12], cells[2:12], strict=False))
    assert cells[:12] == cells[:11:-1], "the end run is the start's mirror image"


def test_there_are_fewer_where_they_would_be_much_work() -> None:
    assert len(variants_of(_run(12), [120], 1.0)[0]) == 2
    assert len(variants_of(_run(12), [60], 1.0)[0]) == 4 and len(variants_of(_run(12), [60], 2.0)[0]) == 2
    more, laid = variants_of(_run(12), [200], 1.0)
    assert len(more) == 1
    assert all(a.cell != b.cell for a, b in zip(laid[:12], laid[2:12], strict=False)), (
        "in a row two come in turn"
    )
    assert not variants_of(_run(12), [1000], 1.0)[0]
    assert not variants_of(_run(1), [40], 1.0)[0], "what comes once in a run has no neighbour alike"


@pytest.mark.parametrize("kind", ["leaves", "flowers", "feathers", "holly", "fern", "ribbon"])
def test_curls_of_a_run_are_not_stamped_alike(kind: str) -> None:
    """The curls of one kind of pocket come with different shapes, not only moved."""
    plan = plan_of(kind, 6, "turning", 60, 60, None)
    found = fill(place(plan, propose(plan).proposals[0].choice))
    along = defaultdict(set)
    for copy in found.copies:
        along[copy.pocket.side, copy.pocket.run].add(copy.cell)
    most = max(len(cells) for cells in along.values())
    tails = {
        tuple(round(shape.length, 2) for shape in cell.shapes)
        for cell in found.cells
        if cell.shapes and cell.shapes[0].pocket and cell.shapes[0].pocket.kind == "curl"
    }
    assert most >= 5
    assert len(tails) >= 5
