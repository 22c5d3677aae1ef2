"""What it takes: every figure hers to change, a list to print, a list as CSV; bad figures are told beside them."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable

import httpx
import pytest

from planner.solver import propose
from planner.supplies.figures import FIGURES
from server.pages.forms import choice_text, read

Ask = Callable[..., httpx.Response]

QUILT = {
    "name": "=Test & quilt",
    "sides_in.top": "60",
    "sides_in.right": "72",
    "sides_in.bottom": "60",
    "sides_in.left": "72",
    "border": "8",
    "tin_in": "2 1/2; 3; 3 1/2; 4; 5; 6; 6 1/2",
}


def test_every_figure_is_a_field(ask: Ask) -> None:
    page = ask("GET", "/supplies", params=QUILT)
    assert page.status_code == 200
    for name, figure in FIGURES.items():
        assert f'name="basis.{name}"' in page.text
        assert figure.label.split("'")[0] in page.text


def test_her_figures_change_what_it_takes(ask: Ask) -> None:
    usual = ask("GET", "/supplies.csv", params=QUILT).text
    own = ask("GET", "/supplies.csv", params={**QUILT, "basis.backing_width_in": "108 in"}).text
    assert "2 widths" in usual
    assert "one piece" in own


def test_the_list_is_the_same_on_paper_and_as_csv(ask: Ask) -> None:
    answer = ask("GET", "/supplies.csv", params=QUILT)
    assert answer.headers["content-type"].startswith("text/csv")
    assert "attachment" in answer.headers["content-disposition"]
    rows = list(csv.reader(io.StringIO(answer.text, newline="")))
    paper = ask("GET", "/supplies/list", params=QUILT).text
    assert rows[0] == ["what", "how much", "note"]
    for what, how_much, _ in rows[1:]:
        assert f'<th scope="row">{what}</th><td class="much">{how_much}</td>' in paper


def test_a_price_only_when_a_rate_is_given(ask: Ask) -> None:
    assert "Altogether" not in ask("GET", "/supplies", params=QUILT).text
    priced = ask("GET", "/supplies", params={**QUILT, "basis.each": "25", "basis.minimum": "5000"}).text
    assert "5000.00" in priced
    assert "Your least price counts here." in priced


@pytest.mark.parametrize(
    ("name", "text"),
    [("waste", "300 %"), ("seam_in", "x"), ("bobbin", "Q"), ("timed_in", "90"), ("needle_number", "-1")],
)
def test_a_bad_figure_is_told_and_the_rest_still_reckoned(ask: Ask, name: str, text: str) -> None:
    page = ask("GET", "/supplies", params={**QUILT, f"basis.{name}": text})
    assert page.status_code == 200
    assert 'class="trouble"' in page.text
    assert "Shopping list" in page.text


@pytest.mark.parametrize(
    "query",
    [
        {"sides_in.top": "garbage"},
        {"border": ""},
        {"border": "59"},
        {"tin_in": ""},
        {"choice": "9,9,butted,0,1-1-1-1"},
        {"border": "3"},
    ],
)
def test_a_plan_that_cannot_be_reckoned_gets_words(ask: Ask, query: dict[str, str]) -> None:
    for path, status in (("/supplies", 200), ("/supplies/list", 200), ("/supplies.csv", 422)):
        answer = ask("GET", path, params={**QUILT, **query})
        assert answer.status_code in (status, 200)
        if answer.status_code == 200 and path != "/supplies.csv":
            assert "Test &amp; quilt" in answer.text


def test_metric_all_through(ask: Ask) -> None:
    query = {
        **QUILT,
        "units": "mm",
        "sides_in.top": "1520",
        "sides_in.right": "1830",
        "sides_in.bottom": "1520",
        "sides_in.left": "1830",
        "border": "200",
        "tin_in": "60; 70; 80; 90; 100; 120; 140; 160",
    }
    text = ask("GET", "/supplies.csv", params=query).text
    assert " yd" not in text
    assert " m," in text


def test_every_stitch_counted(ask: Ask) -> None:
    small = {
        **QUILT,
        "sides_in.top": "36",
        "sides_in.right": "36",
        "sides_in.bottom": "36",
        "sides_in.left": "36",
        "border": "6",
    }
    page = ask("GET", "/supplies", params={**small, "counted": "on"})
    assert page.status_code == 200
    assert "over stitches already there" in page.text
    assert "estimated" not in page.text


def test_without_a_choice_the_first_way_is_reckoned(ask: Ask) -> None:
    plan = read(QUILT).plan
    assert plan
    ways = [choice_text(proposal.choice) for proposal in propose(plan).proposals]
    pages = [ask("GET", "/supplies", params={**QUILT, "choice": way}).text for way in ("", *ways)]
    none, *each = (re.findall(r'data-stamp="(\w+)"', page)[0] for page in pages)
    assert each.index(none) == 0
    assert len(set(each)) == len(each)
    none, first = (ask("GET", "/supplies.csv", params={**QUILT, "choice": way}).text for way in ("", ways[0]))
    assert none == first
