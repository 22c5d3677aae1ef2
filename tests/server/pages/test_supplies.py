"""What it takes: every figure hers to change, a list to print, a list as CSV; bad figures are told beside them."""

from __future__ import annotations

import csv
import html
import io
import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Literal

import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import escape

from planner.plan import Plan, SideLengths, Units
from planner.solver import propose
from planner.stitching.segments import ThreadPath
from planner.supplies.basis import usual
from planner.supplies.figures import FIGURES, label_of
from planner.supplies.supplies import supplies_of
from planner.supplies.thread import thread_sum_words, thread_words
from planner.supplies.work import Work
from planner.threads import Thread
from server.pages.forms import choice_text, read
from server.pages.supplies import answers

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
    for name in FIGURES:
        assert f'name="basis.{name}"' in page.text
        assert escape(label_of(name, "in")) in page.text


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
        assert f'<td class="much">{how_much}</td><th scope="row">{what}<span class="note">' in paper


def test_until_she_says_it_is_asked_whether_the_borders_are_on_and_cloth_is_counted(ask: Ask) -> None:
    page = ask("GET", "/supplies", params=QUILT).text
    assert '<option value="unsaid" selected>not said yet</option>' in page
    assert "none if they are sewn on" in page
    assert (
        "none if they are sewn on"
        not in ask("GET", "/supplies", params=QUILT | {"basis.borders": "cut"}).text
    )


def test_her_answers_are_kept_with_the_saved_plan(ask: Ask) -> None:
    said = {"basis.borders": "on", "basis.currency": "€", "basis.cloth_each": "14.50"}
    there = ask("POST", "/plans", data=QUILT | said).headers["location"]
    bench = ask("GET", there).text
    kept = dict(re.findall(r'<input type="hidden" name="(basis\.[^"]+)" value="([^"]+)">', bench))
    assert kept == said
    assert "hidden>, changed since" in bench
    stamp = re.findall(r'data-stamp="(\w+)"', bench)
    assert stamp == re.findall(r'data-stamp="(\w+)"', ask("GET", "/", params=QUILT).text), "no other drawing"
    page = ask("GET", "/supplies", params=QUILT | kept).text
    assert page.count('name="basis.borders"') == 1


def test_cloth_costs_its_price_for_each_yard_that_is_bought(ask: Ask) -> None:
    """Binding and backing of the shopping list, in eighths of a yard, by her price; no work is charged."""
    said = {"basis.borders": "on", "basis.currency": "$", "basis.cloth_each": "12"}
    lines = csv.reader(io.StringIO(ask("GET", "/supplies.csv", params=QUILT | said).text, newline=""))
    words = [
        how_much.removesuffix(" yd")
        for what, how_much, _ in lines
        if what in ("Binding cloth", "Backing cloth")
    ]
    yards = sum(sum(map(Fraction, one.split())) for one in words)
    page = ask("GET", "/supplies", params=QUILT | said).text
    assert len(words) == 2
    assert f"<dt>Altogether</dt><dd>${float(12 * yards):.2f}</dd>" in page
    assert "Quilting, by the hour" not in page
    refused = ask("GET", "/supplies", params=QUILT | {"basis.currency": "12 dollars"}).text
    assert "is no sign of money" in refused


def test_sources_stand_together_at_the_foot_not_in_every_question(ask: Ask) -> None:
    page = ask("GET", "/supplies", params=QUILT).text
    form, foot = page.split("Where the usual figures come from")
    assert "castillejacotton" in foot
    assert "castillejacotton" not in form


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


def test_her_answers_are_kept_on_the_way_back_to_the_plan_and_in_again(ask: Ask) -> None:
    answers_ = {"basis.borders": "on", "basis.backing_width_in": "108", "basis.shrinkage": "0 %"}
    page = ask("GET", "/supplies", params=QUILT | answers_).text
    back = html.unescape(re.findall(r'<a href="(/\?[^"]+)">Back to the plan</a>', page)[0])
    bench = ask("GET", back).text
    kept = dict(re.findall(r'<input type="hidden" name="(basis\.[^"]+)" value="([^"]+)">', bench))
    assert kept == answers_ | {"basis.backing_width_in": "108 in"}, "a bare number says its unit"
    again = ask("GET", "/supplies.csv", params=QUILT | kept).text
    assert again == ask("GET", "/supplies.csv", params=QUILT | answers_).text
    assert "Border cloth" not in again


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


EACH = st.builds(
    ThreadPath,
    thread=st.just(0),
    length=st.floats(1, 40_000),
    retraced=st.just(0.0),
    starts=st.integers(1, 400),
    carries=st.integers(0, 50),
)


def number(words: str) -> float:
    """The number at the head of "2,130 yd" or of "2 1/2"."""
    return float(sum(Fraction(part) for part in re.findall(r"[\d/]+", words.replace(",", ""))))


def span(words: str) -> tuple[float, float]:
    """ "2 1/2 to 6 hours" as minutes."""
    *ends, unit = words.replace(" to ", "|").replace(" hours", "|60").replace(" minutes", "|1").split("|")
    return number(ends[0]) * int(unit), number(ends[-1]) * int(unit)


@given(
    st.lists(EACH, min_size=2, max_size=6),
    st.sampled_from(["in", "cm"]),
    st.booleans(),
    st.sampled_from(["wound", "bought"]),
)
def test_what_is_shown_of_the_whole_is_the_sum_of_what_is_shown_of_its_parts(
    each: list[ThreadPath], units: Units, alike: bool, bobbins: Literal["wound", "bought"]
) -> None:
    plan = Plan(
        sides_in=SideLengths(top=36, right=36, bottom=36, left=36),
        border_in=SideLengths(top=4.5, right=4.5, bottom=4.5, left=4.5),
        units=units,
        threads=tuple(Thread(colours=("#1f5a34",)) for _ in each),
    )
    paths = tuple(replace(path, thread=n) for n, path in enumerate(each))
    length, starts = sum(path.length for path in paths), sum(path.starts for path in paths)
    carries, changes = sum(path.carries for path in paths), len(paths) - 1
    work = Work(length, starts, 40, 16, 600.0, 0.5, 0.0, carries, paths, changes)
    basis = replace(usual(units), bobbins=bobbins)
    basis = replace(basis, bobbin_number=basis.needle_number) if alike else basis
    shown = answers(supplies_of(plan, work, basis), plan)
    rows = shown["threads"]
    assert sum(number(row["needle"]) for row in rows) == number(shown["needle"])
    assert sum(number(row["stitched"]) for row in rows) == number(shown["stitched"])
    unit_in = 36.0 if units == "in" else 100 / 2.54  # what was counted reads as by the needle's path
    assert 0 <= number(shown["stitched"]) - length / unit_in < len(rows)
    assert number(shown["needle"]) + number(shown["bobbin"]) == number(shown["thread"])
    assert sum(row["bobbins"] for row in rows) == shown["bobbins"]
    assert sum(row["spools"] for row in rows) == shown["spools"]
    bought = {line.what: line for line in shown["lines"]}
    assert [
        int(one.how_much) for what, one in bought.items() if "obbins" in what and "Thread" not in what
    ] == [shown["bobbins"]]
    parts, whole = [span(words) for _, words in shown["tasks"]], span(shown["time"])
    step = 5 if whole[1] < 100 else 30 if whole[1] < 600 else 60
    for end in (0, 1):
        assert abs(sum(part[end] for part in parts) - whole[end]) <= step


def test_lengths_of_thread_are_rounded_up_and_then_added() -> None:
    assert thread_words(12.8 * 36, "in") == "13 yd"
    assert thread_sum_words([270 * 36, 41 * 36, 12.8 * 36], "in") == "324 yd"
    assert thread_sum_words([261 * 36, 101 * 36], "in") == "380 yd"
