"""Which circle to buy or cut next: what the page says is what comes of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape

import httpx
import pytest

from planner.demo import demo_plan
from planner.lengths import parse_length
from planner.plan import SIDES
from planner.solver import choose
from planner.solver.changes import apply_change
from server.pages.forms import values_of

Ask = Callable[..., httpx.Response]

POOR = apply_change(demo_plan(), {"tin_in": (3.0, 7.0), "name": "Poor tin"})


def test_the_size_it_names_is_taken_and_printed(ask: Ask) -> None:
    page = ask("GET", "/circles", params=values_of(POOR)).text
    sizes = re.findall(r"<h3>A circle of ([^<]+)</h3>", page)
    assert 1 <= len(sizes) <= 2
    take, template = re.findall(r'<a class="plain" href="([^"]+)"', page)[:2]
    bench = ask("GET", unescape(take)).text
    assert f"{sizes[0].removesuffix(' in')}" in bench
    assert 'aria-current="true"' in bench  # the way it showed is the one that is drawn
    made = ask("GET", unescape(template).replace("/making", ""))
    assert made.status_code == 200 and made.content.startswith(b"%PDF")


def test_a_full_tin_is_told_so(ask: Ask) -> None:
    page = ask("GET", "/circles", params=values_of(apply_change(demo_plan(), {"cut_own": True}))).text
    assert "You cut your own circles" in page


def test_the_shelf_is_looked_through_when_she_asks(ask: Ask) -> None:
    for name in ("One", "Two"):
        ask("POST", "/plans", data=values_of(POOR.model_copy(update={"name": name})))
    assert "Look through" in ask("GET", "/circles").text
    page = ask("GET", "/circles?shelf=1").text
    assert re.search(r"<strong>[^<]+</strong> would better \d+ of \d+ plan", page)
    assert ">One</a>" in page and ">Two</a>" in page


def test_her_tin_is_drawn_to_scale_and_what_this_border_takes_of_it_is_filled(ask: Ask) -> None:
    page = ask("GET", "/circles").text  # the demo
    tin = re.findall(
        r'<li(?: class="(used)")?><svg[^>]*><circle cy="-\d+" r="(\d+)"/></svg>([\d /]+) in', page
    )
    plan = demo_plan()
    choice = choose(plan).choice
    drawn = {choice.run_diameter_in, choice.corner_diameter_in, *map(choice.middle_of, SIDES)}
    assert choice.meeting == "wreath", "whose middle is a circle too"
    assert len(tin) == len(plan.tin_in)
    for (used, radius, name), size in zip(tin, sorted(plan.tin_in), strict=True):
        assert parse_length(name, "in") == size
        assert float(radius) == pytest.approx(100 * size / max(plan.tin_in), abs=0.5)
        assert bool(used) == (size in drawn)


def test_what_a_circle_betters_is_said_and_not_only_what_it_changes(ask: Ask) -> None:
    """With circles of 3 and 7 in the curls of a row all but touch; a larger corner, or larger curls, part them."""
    page = ask("GET", "/circles", params=values_of(POOR)).text
    sizes = re.findall(r"<h3>A circle of [^<]*</h3>\s*<p class=\"facts\">([^<]*)</p>", page)
    assert sizes
    assert all("lie open, where they now crowd" in said for said in sizes)
