"""The workbench form: what she types is kept, read, or answered in words beside its field; never a crash."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from itertools import permutations
from typing import get_args
from urllib.parse import urlencode

import httpx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.demo import demo_choice, demo_plan
from planner.plan import SideLengths, Units
from server.pages.forms import (
    LENGTH_FIELDS,
    NUMBER_FIELDS,
    WORD_FIELDS,
    choice_from,
    choice_text,
    in_units,
    read,
    values_of,
)
from server.pages.measures import tin_pieces
from server.pages.offered import offered
from tests.server.attack import held

Ask = Callable[..., httpx.Response]

ALL_FIELDS = (
    *LENGTH_FIELDS,
    *WORD_FIELDS,
    *NUMBER_FIELDS,
    "tin_in",
    "cut_own",
    "choice",
    "side",
    "apply",
    "more",
)
AWKWARD = st.one_of(
    st.text(max_size=30),
    st.sampled_from(
        ["", "90", "8", "1e999", "NaN", "-4", "0", "1/0", "9" * 60, "½", "\u0000", "<b>", "٣", "7,5", "on"]
    ),
)


def test_a_tail_survives_the_form_to_its_last_digit() -> None:
    plan = demo_plan().model_copy(update={"tail_deg": 64.21047056743271})
    again = read(values_of(plan)).plan
    assert again is not None
    assert again.tail_deg == plan.tail_deg


def test_a_plan_survives_the_form() -> None:
    plan = demo_plan()
    assert read(values_of(plan)).plan == plan


def test_borders_of_different_widths_survive_the_form() -> None:
    widths = SideLengths(top=8.0, right=7.5, bottom=8.0, left=7.5)
    plan = demo_plan().model_copy(update={"border_in": widths, "choice": None, "typed": {}})
    again = read(values_of(plan)).plan
    assert again is not None
    assert again.border_in == widths


def test_a_length_between_the_marks_of_the_ruler_survives_the_form() -> None:
    sides = SideLengths(top=90.13, right=105.1, bottom=90.0, left=1000 / 25.4)
    for units in get_args(Units):
        plan = demo_plan().model_copy(update={"sides_in": sides, "units": units, "choice": None, "typed": {}})
        again = read(values_of(plan)).plan
        assert again is not None
        assert again.sides_in == sides


def test_what_she_typed_comes_back_as_typed() -> None:
    values = {**values_of(demo_plan()), "sides_in.top": "7' 6 1/8\"", "tin_in": "3 1/4; 82 mm"}
    plan = read(values).plan
    assert plan is not None
    assert plan.sides_in.top == 90.125
    assert plan.tin_in == (3.25, 82 / 25.4)
    again = values_of(plan)
    assert again["sides_in.top"] == "7' 6 1/8\""
    assert again["tin_in"] == "3 1/4; 82 mm"


TINS = ("2 1/2; 3 3/8; 4", "6 cm; 7.5 cm; 11,3 cm", "; ".join(f"{n} {n}/16" for n in range(1, 16)))


@pytest.mark.parametrize(("units", "other"), list(permutations(get_args(Units), 2)))
@pytest.mark.parametrize("tin", TINS)
def test_units_turn_the_whole_form_and_back(units: Units, other: Units, tin: str) -> None:
    """On the way there marks of the ruler, no long decimals, and the same plan; on the way back her own words."""
    form = values_of(demo_plan()) | {"units": units, "tin_in": tin, "choice": "", "fill.room_in": "7/8 in"}
    form |= {"sides_in.top": "7' 6 1/8\"", "border": "8 in", "ease_limits.lift_in": "3 mm"}
    if units != "in":
        form |= {
            f"sides_in.{side}": "258,4" if units == "cm" else "2584" for side in ("left", "right", "bottom")
        }
    plan = read(form).plan
    assert plan is not None
    there = in_units(form, other)
    for name in (*LENGTH_FIELDS, "tin_in"):
        assert not re.search(r"[.]\d\d", there[name]), (name, there[name])
    turned = read(there).plan
    assert turned is not None
    assert turned.units == other
    exact = {"sides_in", "border_in", "fill", "tin_in", "ease_limits", "binding_allowance_in"}
    assert turned.model_dump(include=exact) == plan.model_dump(include=exact)
    kept = read(values_of(turned)).plan
    assert kept == turned, "and so from the shelf, where it lay meanwhile"
    back = in_units(values_of(kept), units)
    assert {name: back[name] for name in (*LENGTH_FIELDS, "tin_in") if form[name]} == {
        name: form[name] for name in (*LENGTH_FIELDS, "tin_in") if form[name]
    }
    assert read(back).plan == plan


def test_her_words_come_back_by_way_of_two_other_units() -> None:
    form = values_of(demo_plan()) | {"sides_in.top": "90 1/8"}
    metric = in_units(in_units(form, "cm"), "mm")
    assert metric["sides_in.top"] == "2289 mm"
    plan, typed = read(metric).plan, read(form).plan
    assert plan
    assert typed
    assert plan.sides_in == typed.sides_in
    assert in_units(metric, "in")["sides_in.top"] == "90 1/8"


def test_a_number_too_long_in_her_unit_is_asked_about_in_the_next_smaller() -> None:
    for units, typed, meant in (("in", "258,4", "258.4 cm"), ("cm", "2584", "2584 mm")):
        reading = read(values_of(demo_plan()) | {"units": units, "sides_in.top": typed, "choice": ""})
        trouble = reading.troubles["sides_in.top"]
        assert (trouble.instead, trouble.cure) == (meant, f"Did you mean {meant}?")


def test_a_number_changed_after_the_switch_counts_as_it_stands() -> None:
    metric = in_units(values_of(demo_plan()), "mm")
    plan = read({**metric, "sides_in.top": "230 cm"}).plan
    assert plan is not None
    assert plan.sides_in.top == 2300 / 25.4
    assert in_units({**metric, "sides_in.top": "230 cm"}, "in")["sides_in.top"] == "90 9/16 in"


@pytest.mark.parametrize("before", ["", "|", "90|", "x|in", "90 1/8|mm", "91|in", "|in", "9" * 300 + "|in"])
def test_damage_beside_a_field_changes_nothing(before: str) -> None:
    form = values_of(demo_plan()) | {"units": "mm", "sides_in.top": "2289 mm", "before.sides_in.top": before}
    plan = read(form).plan
    assert plan is not None
    assert plan.sides_in.top == (2289 / 25.4)


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("2, 2 1/2, 3", ["2", "2 1/2", "3"]),
        ("2,5; 3", ["2,5", "3"]),
        ("2,5, 3,5", ["2,5", "3,5"]),
        ("2,3,4", ["2", "3", "4"]),
        ("2 and 3\n4", ["2", "3", "4"]),
        ("2 and 1/2; 3", ["2 and 1/2", "3"]),
        (" ; , ", []),
    ],
)
def test_a_list_of_diameters_is_parted_as_meant(text: str, pieces: list[str]) -> None:
    assert [piece for piece in tin_pieces(text) if piece != ","] == pieces


def test_a_choice_survives_a_button() -> None:
    assert choice_from(choice_text(demo_choice())) == demo_choice()


@pytest.mark.parametrize(
    "damaged", ["", "x", "1,2,3", "nan,1,butted,0,1-1-1-1", "1,1,,0,1-1-1", "1,1,,0,0-0-0-0"]
)
def test_a_damaged_choice_is_none(damaged: str) -> None:
    assert choice_from(damaged) is None


@given(st.dictionaries(st.sampled_from(ALL_FIELDS), AWKWARD))
def test_reading_a_form_never_raises_and_names_its_fields(values: dict[str, str]) -> None:
    reading = read(values)
    assert (reading.plan is None) == bool(reading.troubles or reading.missing)
    for name, trouble in reading.troubles.items():
        assert name
        assert trouble.message
        assert trouble.cure


@settings(max_examples=30)
@given(
    changes=st.dictionaries(st.sampled_from(ALL_FIELDS), AWKWARD, max_size=4),
    page=st.sampled_from(["", "drawing"]),
)
def test_no_form_breaks_a_page(ask: Ask, changes: dict[str, str], page: str) -> None:
    address = "/" + page + "?" + urlencode({**values_of(demo_plan()), **changes})
    answer = ask("GET", address)
    assert answer.status_code in {200, 204, 400, 414}, answer.text


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("sides_in.top", "-3", "less than nothing"),
        ("sides_in.top", "NaN", "cannot be read"),
        ("sides_in.top", "1e9", ""),
        ("border", "60", "only"),
        ("tin_in", "3;" * 900, "too long"),
    ],
)
def test_garbage_is_answered_beside_its_field(ask: Ask, field: str, text: str, words: str) -> None:
    values = {**values_of(demo_plan()), field: text}
    answer = ask("GET", "/?" + urlencode(values))
    assert answer.status_code == 200
    assert words in answer.text
    assert "This does not fit yet" in answer.text
    assert 'aria-invalid="true"' in answer.text


@pytest.mark.attack
def test_a_list_of_circles_is_parted_in_time_in_proportion_to_it() -> None:
    def seconds(many: int) -> float:
        took = []
        for _ in range(3):
            began = time.process_time()
            tin_pieces(" " * many + "x")
            took.append(time.process_time() - began)
        return min(took)

    ratio = seconds(32_000) / seconds(2_000)  # 16 in proportion, 256 in proportion to its square
    held("linear scanning", ratio < 64, f"{ratio:.0f}")


def test_a_tin_of_a_million_signs_is_refused_unread() -> None:
    assert "tin_in" in read({**values_of(demo_plan()), "tin_in": "3; " * 300_000}).troubles


@pytest.mark.parametrize("field", [name for name in offered() if name != "units"])
def test_a_word_that_no_list_has_is_answered_in_the_words_of_the_form(field: str) -> None:
    """A link or a file may carry a misspelt word: what she may choose is told as the form tells it."""
    reading = read({**values_of(demo_plan()), field: "zigzag", "working.reach_in": "20"})
    assert reading.plan is None
    trouble = reading.troubles[field]
    assert "zigzag" in trouble.message
    assert all(word in trouble.cure for word in offered()[field].words.values())
