"""What a version changed of the one before it, in a line; and the stamp of each in the list."""

from __future__ import annotations

from collections.abc import Callable

import httpx
import pytest

from planner.demo import demo_plan
from planner.solver.choose import choose, settled
from server.pages.forms import read, values_of
from server.pages.two_versions import changes_in_words

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
            "Behind the fill none → pebbles; top side 90 1/8 → 91 in; left side 106 → 107 in; and 1 more",
        ),
    ],
)
def test_what_changed(changed: dict[str, str], words: str) -> None:
    plan = read(values_of(demo_plan()) | changed).plan
    assert plan is not None
    assert changes_in_words(demo_plan(), plan) == words


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
