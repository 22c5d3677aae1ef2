"""What each thread takes: the sums are the whole, and the list names every one."""

from __future__ import annotations

from dataclasses import replace
from math import ceil

import pytest

from planner.fills import fill
from planner.pictures.colour import contrast
from planner.plan import Fill, Plan
from planner.sheets.handout_pdf import threads_in_words
from planner.sheets.quilt_drawing import inks
from planner.stitching.order import path_of
from planner.supplies.basis import DEFAULTS
from planner.supplies.by_thread import own_bobbins, takes_by_thread
from planner.supplies.called import length_on
from planner.supplies.supplies import Supplies, supplies_of
from planner.supplies.work import work_of
from tests.planner.landed import example

THREADS = [
    {"name": "holly green", "colours": ["#1f5a34"], "spool": "40 weight, 1,000 yd"},
    {"name": "", "colours": ["#b0202a"]},
    {"name": "gold", "colours": ["#d79a2a"]},
]


@pytest.fixture(scope="module", params=["other bobbins", "own bobbins", "bought bobbins"])
def taken(request: pytest.FixtureRequest) -> Supplies:
    bare = example(4, fill=Fill(kind="flowers"))
    more = {"threads": THREADS, "stitched_with": {"accents": 1, "eyes": 2}}
    layout = replace(bare, plan=Plan.model_validate(bare.plan.model_dump() | more))
    basis = {
        "other bobbins": DEFAULTS,
        "own bobbins": replace(DEFAULTS, bobbin_number=DEFAULTS.needle_number),
        "bought bobbins": replace(DEFAULTS, bobbins="bought"),
    }[request.param]
    return supplies_of(layout.plan, work_of(layout, path_of(layout, fill(layout))), basis)


def test_sums_of_threads_are_the_whole(taken: Supplies) -> None:
    each = taken.by_thread
    assert len(each) == 3
    assert sum(one.path.length for one in each) == pytest.approx(taken.work.stitching_in)
    assert sum(one.path.retraced for one in each) == pytest.approx(taken.work.retraced_in)
    assert sum(one.path.starts for one in each) == taken.work.starts
    assert sum(one.sewn.needle_in for one in each) == pytest.approx(taken.thread.needle_in)
    assert sum(one.sewn.bobbin_in for one in each) == pytest.approx(taken.thread.bobbin_in)
    assert sum(one.sewn.spools for one in each) == taken.thread.spools
    assert taken.work.changes == 2


@pytest.mark.parametrize(
    ("label", "inches"),
    [
        ("no 28, 500 yd", 18_000.0),
        ("40 weight, 1,000 yd", 36_000.0),
        ("1.000 m", 100_000 / 2.54),
        ("1000 metres / 1094 yards", 100_000 / 2.54),
        ("40 wt", None),
        ("12 mm", None),
        ("0 yd", None),
        ("", None),
    ],
)
def test_a_label_says_what_its_spool_holds(label: str, inches: float | None) -> None:
    assert length_on(label) == (inches and pytest.approx(inches))


def test_spools_are_counted_by_their_own_labels(taken: Supplies) -> None:
    """She wrote 100 yd on one thread's label: so many spools of it are bought, not one of 3,000 yd."""
    green, *others = taken.by_thread
    threads = [{**THREADS[0], "spool": "100 yd"}, *THREADS[1:]]
    plan = example(4, fill=Fill(kind="flowers")).plan
    plan = Plan.model_validate(plan.model_dump() | {"threads": threads, "stitched_with": {"accents": 1}})
    paths = [one.path for one in taken.by_thread]
    small, *same = takes_by_thread(paths, taken.basis, "in", plan)
    needed = green.sewn.needle_in + (green.sewn.bobbin_in if own_bobbins(taken.basis) else 0.0)
    assert small.sewn.spools == ceil(needed / 3600.0) > green.sewn.spools
    assert [one.sewn.spools for one in same] == [one.sewn.spools for one in others]


def test_a_thread_of_many_starts_is_nearly_all_tails(taken: Supplies) -> None:
    """Two tails of 6 in a start: most of what berries take of thread, and nearly all of their time."""
    red = taken.by_thread[1]
    assert red.path.starts > 100
    tails = 12.0 * red.path.starts * 1.15
    assert tails > red.sewn.needle_in / 2
    assert red.tying.quick == pytest.approx(2 * red.path.starts)
    assert red.tying.quick > 0.8 * red.minutes.quick


def test_the_list_names_each_thread_and_its_bobbins(taken: Supplies) -> None:
    lines = {item.what: item for item in taken.shopping}
    assert {"Holly green", "Thread 2", "Gold"} <= lines.keys()
    assert lines["Holly green"].note.startswith("40 weight, 1,000 yd; needle ")
    basis = taken.basis
    if basis.bobbins == "bought":
        assert "Wound bobbins, class M" in lines
    elif basis.bobbin_number == basis.needle_number:
        bobbins = lines["Bobbins to wind, class M"]
        assert int(bobbins.how_much) == sum(one.sewn.bobbins for one in taken.by_thread)
        assert "of holly green, " in bobbins.note
        assert ", bobbins " in lines["Gold"].note
    else:
        assert "Thread to wind on bobbins" in lines


def test_one_thread_is_listed_as_ever() -> None:
    layout = example(4, fill=Fill(kind="leaves"))
    work = work_of(layout, path_of(layout, fill(layout)))
    assert work.threads == ()
    assert {"Needle thread", "Thread to wind on bobbins"} <= {
        item.what for item in supplies_of(layout.plan, work).shopping
    }


def test_the_hand_out_says_which_threads_to_bring() -> None:
    plan = example(4, fill=Fill(kind="flowers")).plan
    several = Plan.model_validate(
        plan.model_dump() | {"threads": THREADS, "stitched_with": {"accents": 1, "eyes": 2}}
    )
    assert threads_in_words(plan) == "Thread for top and bobbin"
    words = threads_in_words(several)
    assert words.startswith(
        "Threads for the top, stitched in this order: 1. holly green (spine, main shapes, "
    )
    assert "2. thread 2 (berries)" in words


def test_paper_shows_each_thread_and_pale_ones_darker() -> None:
    several = Plan.model_validate(example(4).plan.model_dump() | {"threads": THREADS})
    drawn = inks(several)
    assert drawn[:2] == ["#1f5a34", "#b0202a"]
    assert drawn[2] != "#d79a2a"
    assert all(contrast(ink, "#ffffff") >= 3 for ink in drawn)
    assert inks(example(4).plan) == [""], "one thread alone is drawn in the layer's ink"
