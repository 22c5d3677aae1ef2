"""Needles are simple; berries few, in twos and threes, each two or three stitched from one start."""

from __future__ import annotations

from collections import Counter

import numpy as np
import shapely

from planner.border.layout import Layout, place
from planner.fills import fill
from planner.fills.growing.outline import drawn, thinner
from planner.fills.styles.tufts import tuft
from planner.geometry.arrays import MEETING_IN
from planner.plan import SIDES, Choice, Fill, Plan
from planner.solver import propose
from planner.stitching.order import path_of
from planner.threads import STARTING_POINTS
from tests.contact_sheet import plan_of
from tests.outside.fill_judge import Drawing, crossings
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


def test_what_stands_on_the_middle_line_crosses_nothing_with_all_that_it_bears() -> None:
    """A cone stood in the gap between two runs; its berries crossed other cones, and a needle beyond the line."""
    layout = landed(8, "little_spines")
    grown = fill(layout, only=lambda pocket: pocket.side == "right" and pocket.curl >= 5)
    assert any(shape.kind == "berry" for shape in grown.shapes())
    assert not list(crossings(Drawing(layout, grown)))


def test_a_needle_that_leaves_its_neighbour_does_not_run_back_into_it() -> None:
    """In a corner's circle one did so, at so flat an angle that points a hundredth of an inch apart hid it."""
    layout = landed(6, "full_circle")
    grown = fill(layout, only=lambda pocket: pocket.kind == "inside" and pocket.side == "top")
    assert not list(crossings(Drawing(layout, grown)))


def test_a_strip_that_widens_at_its_very_end_has_no_needle_that_begins_there() -> None:
    """It was divided by what was left of its length, and nothing was: the whole fill failed."""
    sides = {side: 37.89284665253055 if side in ("top", "bottom") else 26.134119615082056 for side in SIDES}
    counts = {side: 12 if side in ("top", "bottom") else 7 for side in SIDES}
    plan = Plan.model_validate(
        {
            "sides_in": sides,
            "border_in": dict.fromkeys(SIDES, 5.4208060868211),
            "cut_own": True,
            "meeting": "full_circle",
            "background": "pebbles",
            "fill": {"kind": "needles", "room_in": 0.5289854095078147},
        }
    )
    circles = {"corner_diameter_in": 3.875, "run_diameter_in": 2.125, "room_in": 0.5289854095078147}
    layout = place(plan, Choice.model_validate({**circles, "meeting": "full_circle", "counts": counts}))
    assert all(np.isfinite(shape.points(0.01)).all() for shape in fill(layout).shapes())


def test_no_needle_crosses_itself() -> None:
    """In the corners of a border of 10 in 22 did, where the lines on both their sides all but met ahead."""
    grown = fill(landed(10, "butted"), only=lambda pocket: pocket.side == "top" and pocket.curl < 3)
    lines = [shapely.LineString(shape.points(1e-3)) for shape in grown.shapes() if shape.kind == "needle"]
    assert len(lines) > 300
    assert shapely.is_simple(lines).all()


def test_a_gap_takes_a_tuft_of_slender_needles() -> None:
    """Within a leaf about a straight line: three where it is wide, one where it is narrow; none meets another."""
    axis = np.stack((np.linspace(0, 1.2, 49), np.zeros(49)), axis=1)
    leaf = np.sin(np.pi * np.linspace(0, 1, 49) ** 0.82) ** 0.8
    for half, count in ((0.28, 3), (0.19, 2), (0.06, 1)):
        grown = tuft(axis, half * leaf, 0.031)
        assert len(grown) == count
        whole = drawn(grown, 20)
        assert np.abs(whole.points[:, 1]).max() < half
        lines = whole.between_ends(2e-3).linestrings()
        assert shapely.is_simple(whole.linestrings()).all()
        assert not any(shapely.intersects(one, lines[:i]).any() for i, one in enumerate(lines))
        assert not thinner(whole, 0.062).any()


def test_needles_fan_out_round_the_tips() -> None:
    """One stood there, and loose leaves round it: needles that begin at one point were all but one left out."""
    layout = landed(7, "little_spines")
    grown = fill(layout, only=lambda pocket: pocket.kind == "curl" and pocket.side == "top")
    begun = np.array([shape.start for shape in grown.shapes() if shape.kind == "needle"])
    tips = np.array([one.piece.curve.end for one in layout.spines if one.piece.part == "tail"])
    away = np.hypot(*(begun - tips[:, None]).transpose(2, 0, 1))
    borne = (away < 0.35).sum(axis=1)[(away < 0.35).any(axis=1)]
    assert len(borne) >= 12
    assert np.mean(borne) > 6.5, "of the tuft at a tip"
    assert np.mean((away < MEETING_IN).sum(axis=1) > 1) > 0.15, "of those that begin at one point"


def landed(width: int, meeting: str) -> Layout:
    """The first proposal for a quilt of 90 by 108 in with borders so wide."""
    plan = plan_of("needles", width, meeting, 90, 108, None)
    return place(plan, propose(plan).proposals[0].choice)
