"""Which circle to buy or cut next: what the page says is what comes of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape

import httpx

from planner.demo import demo_plan
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
