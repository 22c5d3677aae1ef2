"""What a version changed of the one before it, in a line; and the stamp of each in the list."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from typing import Any

import httpx
import pytest

from planner.demo import demo_plan
from planner.solver.choose import choose, settled
from server.pages.forms import in_units, read, values_of
from server.pages.measures import units_named
from server.pages.two_versions import TICKS, changes_in_words, differences

Ask = Callable[..., httpx.Response]


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"border": "8 1/2", "fill.kind": "leaves"}, "Leaves instead of feathers; border width 8 → 8 1/2 in"),
        ({"corner": "turning"}, "Turning corners instead of mirrored corners"),
        ({"name": "Another"}, "Name Harbour Lights (invented) → Another"),
        ({"look.border": "#000000", "look.cloth": "#ffffff"}, "Other colours"),
        ({"basis.borders": "on", "basis.currency": "€"}, "Answers on what it takes"),
        ({}, ""),
        ({"fill.room_in": "1"}, "Room for the fill"),
        (
            {"sides_in.top": "91", "sides_in.left": "107", "border": "7", "background": "pebbles"},
            "Behind the fill nothing → pebbles; top side 90 1/8 → 91 in; left side 106 → 107 in; and 1 more",
        ),
    ],
)
def test_what_changed(changed: dict[str, str], words: str) -> None:
    plan = read(values_of(demo_plan()) | changed).plan
    assert plan is not None
    assert changes_in_words(demo_plan(), plan) == words


def test_which_tags_a_plan_has_now_is_said() -> None:
    plan = demo_plan()
    tagged = plan.model_copy(update={"tags": ("2026", "gift")})
    assert changes_in_words(plan, tagged) == "Tags 2026, gift"
    assert changes_in_words(tagged, plan) == "Tags taken off"


def test_colours_are_called_by_plain_words_and_shown() -> None:
    plan = read(values_of(demo_plan()) | {"look.border": "#a5502a"}).plan
    assert plan is not None
    (border,) = differences(demo_plan(), plan)
    assert (border.one, border.other) == ("slate", "rust")
    assert border.colours == (demo_plan().look.border, "#a5502a")


def test_an_answer_that_nobody_asks_for_any_more_breaks_no_page(ask: Ask) -> None:
    """As a plan file from another version of the program may hold."""
    plan = demo_plan().model_copy(update={"answers": {"moons": "9", "stitches_per_inch": "11"}})
    there = ask("POST", "/api/plans", json={"plan": plan.model_dump(mode="json")}).json()
    later = {"plan": demo_plan().model_dump(mode="json"), "base_version": 1}
    assert ask("PUT", f"/api/plans/{there['id']}", json=later).status_code == 200
    page = ask("GET", f"/plans/{there['id']}/compare?one=1")
    assert page.status_code == 200
    assert "Stitches an inch" in page.text
    assert "moons" not in page.text


def test_the_list_shows_the_stamp_and_what_changed(ask: Ask) -> None:
    values = values_of(demo_plan())
    there = ask("POST", "/plans", data=values).headers["location"]
    again = values | {"fill.kind": "leaves", "choice": ""}
    ask("POST", "/plans", data=again | {"plan": there.removeprefix("/plans/"), "version": "1"})
    page = ask("GET", f"{there}/versions").text
    for texts in (values, again):
        plan = read(texts).plan
        assert plan is not None
        assert f"stamp {choose(settled(plan)).layout.stamp}" in page
    assert '<p class="changed">Leaves instead of feathers</p>' in page


def selects(page: str) -> dict[str, tuple[str, dict[str, str]]]:
    """The lists of the workbench's form: label, and the words of each text."""
    found = {}
    for name, inside in re.findall(r'<select id="([^"]+)" name="[^"]+"[^>]*>(.*?)</select>', page, re.S):
        label = re.findall(rf'<label for="{re.escape(name)}">([^<]+)</label>', page)[0]
        options = re.findall(r'<option value="([^"]*)"[^>]*>([^<]+)</option>', inside)
        found[name] = (html.unescape(label), {value: html.unescape(words) for value, words in options})
    return found


def test_where_versions_differ_is_said_as_the_form_says_it(ask: Ask) -> None:
    """Every list of the form, every word in it; and no machine's word for any other field."""
    threads = {
        "threads.0.colours.0": "#112233",
        "threads.1.colours.0": "#a32a2a",
        "threads.1.name": "berries",
    }
    values = values_of(demo_plan()) | threads | {"fill.kind": "flowers"}
    lists = selects(ask("GET", "/", params=values).text)
    assert {"units", "meeting", "corner_motif", "spine", "accents", "stitched_with.flowers"} <= set(lists)
    plain = read(values).plan
    assert plain is not None
    for name, (label, words) in lists.items():
        for text in words:
            changed = in_units(values, units_named(text)) if name == "units" else values | {name: text}
            plan = read(changed | ({"working.reach_in": "18"} if text == "frame" else {})).plan
            assert plan is not None, (name, text)
            told = {row.label: row for row in differences(plain, plan)}
            for row in told.values():
                assert "_" not in row.label + row.one + row.other, row
            was = values_of(plain).get(name, "")
            if values_of(plan).get(name, "") == was:
                continue
            if name.startswith("stitched_with."):
                assert (
                    next(row.other for one, row in told.items() if one.startswith("Thread of")) == words[text]
                )
                continue
            assert (told[label].one, told[label].other) == (words[was], words[text])


@pytest.mark.parametrize("name", TICKS)
def test_a_tick_is_yes_or_no(name: str) -> None:
    values = values_of(demo_plan())
    one, other = (
        read(values | {name: text}).plan
        for text in ("", "lines_covered_later" if name == "travels" else "on")
    )
    assert one is not None
    assert other is not None
    assert {(row.one, row.other) for row in differences(one, other)} == {("no", "yes")}
    assert "_" not in differences(one, other)[0].label


@pytest.mark.parametrize(
    "of_its_own",
    [
        {"corner_diameter_in": 6.5},
        {"run_diameter_in": 3.25},
        {"middle_in": 2.5},
        {"meeting": "butted"},
        {"room_in": 0.9375},
        {"strip_in": 0.5},
    ],
    ids=str,
)
def test_what_two_layouts_differ_in_is_told_and_nothing_else(of_its_own: dict[str, Any]) -> None:
    """A row that read the same on both sides stood under "Where they differ", and the room in no row at all."""
    plan = demo_plan()
    assert plan.choice is not None
    other = plan.model_copy(update={"choice": plan.choice.model_copy(update=of_its_own)})
    rows = differences(plan, other)
    assert len(rows) == 1
    assert rows[0].one != rows[0].other
