"""Berries beside the cones: few, in twos and threes, and each two or three stitched from one start."""

from __future__ import annotations

from collections import Counter

from planner.border.layout import Layout
from planner.fills import fill
from planner.plan import Fill
from planner.stitching.order import path_of
from planner.threads import STARTING_POINTS
from tests.planner.landed import example


def in_three_threads() -> Layout:
    begin = next(one for one in STARTING_POINTS if one.key == "brown_cones")
    return example(
        fill=Fill(kind="needles"),
        sides=(48.0, 54.0, 48.0, 54.0),
        threads=begin.threads,
        stitched_with=dict(begin.stitched_with),
    )


def test_a_thread_of_berries_starts_once_a_sprig_and_the_needles_hardly_more_than_once() -> None:
    layout = in_three_threads()
    grown = fill(layout)
    kinds = Counter(shape.kind for shape in grown.shapes())
    green, brown, red = path_of(layout, grown).threads
    sprigs = red.starts
    assert 2 * sprigs <= kinds["berry"] <= 3 * sprigs
    assert 0.02 < kinds["berry"] / kinds.total() < 0.1
    assert brown.starts < kinds["cone"] / 4
    # In each corner one needle stands between cones: begun there, and the line taken up again after it.
    assert green.starts <= 1 + 3 * 4, "needles hang on what another thread stitches"
