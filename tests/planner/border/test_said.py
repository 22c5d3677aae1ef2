"""What is said plainly agrees with the figures of the layout."""

from __future__ import annotations

import pytest

from planner.border.layout import place
from planner.border.said import by_side, room_and_strip, said_of
from planner.lengths import format_length
from planner.plan import SIDES, Fill
from planner.solver import choose
from tests.landing_shares import TINS, quilts


@pytest.mark.parametrize("number", [4, pytest.param(60, marks=pytest.mark.long)])
@pytest.mark.parametrize("unequal", [False, True])
def test_every_length_that_is_said_is_one_of_the_layout(number: int, unequal: bool) -> None:
    for plan in quilts(number, unequal=unequal, seed=41):
        layout = choose(plan.model_copy(update={"tin_in": TINS["6 circles"]})).layout
        units, words = plan.units, " ".join(said_of(layout))
        own = layout.quilt.own
        if layout.choice.meeting in ("wreath", "little_spines", "lattice"):
            assert all(format_length(layout.own[side].middle, units) in words for side in SIDES)
        for side in SIDES:
            if own[side].strip > 1 / 32:
                assert format_length(own[side].strip, units) in words
            assert format_length(own[side].room, units) in room_and_strip(layout)
        assert words.count("None") == 0


def test_what_she_expects_is_not_said() -> None:
    """Her own comfortable room, no strip, middles that close: not a word."""
    for plan in quilts(40, unequal=False, seed=43):
        chosen = choose(plan.model_copy(update={"tin_in": TINS["12 circles"], "fill": Fill(kind="feathers")}))
        usual = chosen.choice.room_in == 1.0 and chosen.choice.meeting in ("butted", "full_circle")
        if usual:
            assert said_of(place(chosen.plan, chosen.choice)) == ()
            return
    pytest.fail("no quilt of forty is as expected")


def test_sides_are_listed_as_one_says_them() -> None:
    """What four sides ask for, however they differ, is one sentence with one "and" a list."""
    for widths, words in (
        ((6.0, 6.0, 6.0, 6.0), "6 in"),
        ((1.0, 2.0, 1.0, 2.0), "1 in at the top and bottom and 2 in at the sides"),
        ((1.0, 1.0, 2.0, 1.0), "1 in at the top and sides and 2 in at the bottom"),
        (
            (1.0, 2.0, 3.0, 4.0),
            "1 in at the top, 2 in at the right side, 3 in at the bottom and 4 in at the left side",
        ),
    ):
        said = by_side({side: f"{wide:g} in" for side, wide in zip(SIDES, widths, strict=True)})
        assert said == words
