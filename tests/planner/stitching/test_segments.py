"""The one line is one line: where a move of the needle ends, the next one begins."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import dist

import pytest

from planner.fills import fill as filled
from planner.fills.styles import FILLS
from planner.plan import Fill
from planner.stitching.order import path_of
from planner.stitching.segments import StitchPath
from tests.planner.landed import example

JOINT_IN = 1e-6
SMALL = {"sides": (40.0, 40.0, 40.0, 40.0)}  # one pocket of each kind is what matters
CORNERS = {"mirrored": 0, "turning": 4}


def widest_joint(path: StitchPath) -> float:
    """The farthest that two moves of one line, or two curves of one move, are from each other, inches."""
    drawn = [(s.line, s.curves) for s in path.segments]
    within = [(a.end, b.start) for _, curves in drawn for a, b in pairwise(curves)]
    between = [(last[-1].end, first[0].start) for (m, last), (n, first) in pairwise(drawn) if m == n]
    assert len(between) > len(path.segments) / 2
    return max(dist(*joint) for joint in within + between)


@pytest.mark.parametrize("kind", FILLS)
@pytest.mark.parametrize("corner", CORNERS)
def test_every_move_begins_where_the_last_one_ended(corner: str, kind: str) -> None:
    """Whether the spines come first or on the way."""
    layout = example(CORNERS[corner], fill=Fill(kind=kind), **SMALL)
    fill = filled(layout)
    for when in ("first", "on_the_way"):
        stitched = replace(layout, plan=layout.plan.model_copy(update={"spine": when}))
        assert widest_joint(path_of(stitched, fill)) <= JOINT_IN, when


def test_a_move_that_begins_elsewhere_is_seen() -> None:
    """The judge is not blind: a shape begun a hair farther along is told."""
    layout = example(CORNERS["turning"], fill=Fill(kind="feathers"), **SMALL)
    path = path_of(layout, filled(layout))
    n = next(n for n, s in enumerate(path.segments) if n and s.kind == "fill")
    begun, ended = path.segments[n].places
    moved = path.segments[n]._replace(places=(begun + 0.01 if begun < ended else begun - 0.01, ended))
    shifted = replace(path, segments=(*path.segments[:n], moved, *path.segments[n + 1 :]))
    assert widest_joint(shifted) > JOINT_IN
