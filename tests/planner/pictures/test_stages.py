"""The order of stitching in stages and in words: what is said of pockets, sides and corners."""

from __future__ import annotations

import pytest

from planner.fills import fill
from planner.fills.pocket import Pocket
from planner.pictures.stages import Stage, legs, where_in_words
from tests.planner.landed import example


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
        (Pocket("ring", "right"), "right-ring", "right border, inside the ring"),
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
