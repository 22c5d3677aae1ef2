"""The order of stitching in stages and in words: what is said of pockets, sides and corners."""

from __future__ import annotations

import re
from itertools import groupby

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.fills import fill
from planner.fills.pocket import Pocket
from planner.pictures.stages import Stage, legs, stages, where_in_words
from planner.stitching.order import path_of
from planner.threads import Working
from tests.planner.landed import SPINE_LAST, example, wall_hanging


@pytest.mark.parametrize(
    ("where", "name", "words"),
    [
        (Pocket("curl", "top", "end", 3), "top-end-3", "top border, curl 3 from the top right corner"),
        (
            Pocket("curl", "left", "start", 1),
            "left-start-1",
            "left border, curl 1 from the bottom left corner",
        ),
        (
            Pocket("back", "top", "start", 9),
            "top-start-9-back",
            "top border, curl 9 from the top left corner, towards the middle",
        ),
        (Pocket("inside", "top"), "top_left-inside", "top left corner, inside"),
        (Pocket("outside", "left"), "bottom_left-outside", "bottom left corner, outside"),
        (Pocket("ring", "right"), "right-ring", "right border, inside the circle in the middle"),
        (Pocket("middle", "bottom"), "bottom-middle", "bottom border, the middle"),
    ],
)
def test_a_pocket_has_one_name_and_one_way_to_be_told(where: Pocket, name: str, words: str) -> None:
    assert (where.id, where_in_words(where)) == (name, words)


def test_sides_and_corners_in_words() -> None:
    assert where_in_words("top_left") == "top left corner"
    assert where_in_words("bottom") == "bottom border"


def test_every_pocket_of_a_fill_has_a_name_of_its_own() -> None:
    for style in (0, 1, 4):
        names = [copy.pocket.id for copy in fill(example(style)).copies]
        assert len(names) == len(set(names))


def curls_in(words: str) -> list[int]:
    """The curls that a step names, read as she would read it: one by one, all between, or every second one."""
    told = re.search(r"border, (every second curl,|curls?) (.*?),? from the", words)
    assert told
    step, named = 2 if told[1].startswith("every") else 1, list[int]()
    for part in re.split(", then |, | and ", told[2]):
        first, last = (int(part.split(" to ")[n]) for n in (0, -1))
        named += range(first, last + 1, step) if last >= first else range(first, last - 1, -step)
    return named


@given(st.lists(st.integers(1, 24), min_size=1, max_size=14))
def test_a_step_names_the_curls_of_its_pockets_and_no_other(curls: list[int]) -> None:
    pockets = [Pocket("curl", "left", "start", curl) for curl in curls]
    (leg,) = legs([Stage(0, pocket, n, ()) for n, pocket in enumerate(pockets, 1)])
    assert sorted(curls_in(leg.words)) == sorted(set(curls))


@pytest.mark.parametrize(("way", "threads"), [("whole_quilt", 3), ("border_by_border", 1), ("frame", 3)])
def test_whatever_the_way_of_working_a_step_names_its_curls(way: str, threads: int) -> None:
    """Each step of a real order, one by one: its pockets' curls, all of them."""
    working = Working(way=way, reach_in=12.0 if way == "frame" else None)  # type: ignore[arg-type]
    layout = wall_hanging(working=working, **(SPINE_LAST if threads > 1 else {}))
    named, there = [], []
    told = stages(layout, path_of(layout, fill(layout)))
    for _, here in groupby(told, key=lambda one: (one.thread, one.strip)):
        section = list(here)
        named += [sorted(curls_in(leg.words)) for leg in legs(section) if " curl" in leg.words]
        pockets = [one.where for one in section if isinstance(one.where, Pocket)]
        for (_, run), these in groupby(pockets, key=lambda one: (one.side, one.curl and one.run)):
            if run:
                there.append(sorted({one.curl for one in these}))
    assert named == there
    assert len(there) > 8


def test_runs_of_pockets_in_words() -> None:
    """One side of the spines is filled on the way out, the other on the way back: every second curl."""

    def words(*curls: int) -> str:
        pockets = [Pocket("curl", "top", "start", curl) for curl in curls]
        return legs([Stage(0, pocket, n, ()) for n, pocket in enumerate(pockets, 1)])[0].words

    assert words(4) == "top border, curl 4 from the top left corner"
    assert words(3, 4, 5) == "top border, curls 3 to 5 from the top left corner"
    assert words(9, 7, 5) == "top border, every second curl, 9 to 5, from the top left corner"
    assert (
        words(1, 3, 5, 4, 2) == "top border, every second curl, 1 to 5, then 4 to 2, from the top left corner"
    )
