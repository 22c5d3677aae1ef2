"""Side by side, as page and as JSON: the link holds all of it, failures stand in their place, nothing breaks."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any
from urllib.parse import parse_qs, urlsplit

import httpx
import pytest

Ask = Callable[..., httpx.Response]

QUILT = {
    "name": "Test <b>quilt</b>",
    "sides_in.top": "60",
    "sides_in.right": "72",
    "sides_in.bottom": "60",
    "sides_in.left": "72",
    "border": "8",
    "tin_in": "2 1/2; 3; 3 1/2; 4; 5; 6; 6 1/2",
}


def links(page: str) -> list[dict[str, list[str]]]:
    """The queries of the links that take a variant as the plan."""
    found = re.findall(r'<a class="button" href="([^"]+)"', page)
    return [parse_qs(urlsplit(link.replace("&amp;", "&")).query) for link in found]


def test_a_link_holds_the_whole_comparison(ask: Ask) -> None:
    query = {**QUILT, "by": "width", "widths": "7; 8; 9", "keep": "centre"}
    page = ask("GET", "/compare", params=query)
    assert page.status_code == 200
    assert page.text == ask("GET", "/compare", params=query).text
    assert page.text.count('class="swatch"') == 3  # one picture a column
    assert 'value="7; 8; 9"' in page.text
    assert "<b>quilt" not in page.text


def test_one_click_takes_a_width_as_the_plan(ask: Ask) -> None:
    page = ask("GET", "/compare", params={**QUILT, "widths": "7; 9", "keep": "centre"}).text
    taken = links(page)
    assert len(taken) == 2
    assert taken[1]["border"] == ["9 in"]
    assert taken[1]["sides_in.top"] == ["62 in"]
    workbench = ask("GET", "/", params={name: texts[0] for name, texts in taken[1].items()})
    assert workbench.status_code == 200
    drawn = re.search(r'aria-current="true"[^>]*>|value="([^"]+)"[^>]*aria-current="true"', workbench.text)
    assert drawn is not None
    assert f'value="{taken[1]["choice"][0]}" aria-current="true"' in workbench.text


def test_the_outer_size_may_stay(ask: Ask) -> None:
    page = ask("GET", "/compare", params={**QUILT, "widths": "7; 9", "keep": "outer"}).text
    assert [link["sides_in.top"] for link in links(page)] == [["60 in"], ["60 in"]]


def test_borders_of_two_widths_stand_beside_those_of_one(ask: Ask) -> None:
    """The plan on the table first, and nine widths without it: ten do not fit on a sheet."""
    two = {**QUILT, "border_in.left": "7", "border_in.right": "7"}
    page = ask("GET", "/compare", params={**two, "widths": "7; 8"}).text
    mine = links(page)[0]
    assert "as it is, 8 in and 7 in" in page
    assert (mine["border"], mine["border_in.left"]) == (["8"], ["7"])
    assert len(links(page)) == 3
    nine = "; ".join(str(5 + n / 2) for n in range(9))
    assert "as it is" not in ask("GET", "/compare", params={**two, "widths": nine}).text


def test_what_does_not_work_says_why_in_its_place(ask: Ask) -> None:
    page = ask("GET", "/compare", params={**QUILT, "widths": "2; 8; 31", "keep": "outer"}).text
    assert page.count("Does not work") == 2
    assert page.count('class="swatch"') == 1


@pytest.mark.parametrize(
    "query",
    [
        {"widths": "eight"},
        {"widths": "8"},
        {"widths": "1;2;3;4;5;6;7;8;9;10"},
        {"widths": "1e9; -3"},
        {"by": "nonsense", "keep": "nonsense"},
        {"sides_in.top": "garbage"},
        {"border": ""},
        {"border": "59"},
        {"basis.waste": "a lot"},
        {"tin_in": ""},
        {"choice": "broken"},
    ],
)
def test_garbage_gets_words(ask: Ask, query: dict[str, str]) -> None:
    page = ask("GET", "/compare", params={**QUILT, **query})
    assert page.status_code == 200
    assert ('class="trouble"' in page.text) or ('class="columns' in page.text)


def test_fills_and_corners(ask: Ask) -> None:
    fills = ask("GET", "/compare", params={**QUILT, "by": "fill", "take.feathers": "on", "take.echo": "on"})
    assert fills.text.count('<th scope="col">') == 2
    corners = ask("GET", "/compare", params={**QUILT, "by": "corner"})
    assert corners.text.count('<th scope="col">') == 3


def test_the_fill_is_fetched_as_on_the_workbench(ask: Ask) -> None:
    page = ask("GET", "/compare", params={**QUILT, "widths": "7; 8"}).text
    images = re.findall(r'<image class="layer-fill" href="([^"]+)"', page)
    assert len(set(images)) == 2
    assert all(address.startswith("/fill.svg?plan=") for address in images)


def test_json_says_the_same(ask: Ask, demo: dict[str, Any]) -> None:
    answer = ask("POST", "/api/compare", json={"plan": demo, "widths_in": [7.0, 8.0]})
    assert answer.status_code == 200
    body = answer.json()
    assert [one["label"] for one in body["variants"]] == ["7 in", "8 in"]
    for variant in body["variants"]:
        figures = variant["figures"]
        assert figures["thread_needle_in"] > figures["quilt_in"][0]
        assert figures["minutes"][0] < figures["minutes"][1]
        asked = {"plan": variant["plan"], "choice": variant["choice"], "stitching": False}
        layout = ask("POST", "/api/layout", json=asked)
        assert len(layout.json()["circles"]) == figures["curls"]
    assert all(len(row["cells"]) == 2 for row in body["rows"])


@pytest.mark.parametrize(
    "change",
    [
        {},
        {"widths_in": [8.0]},
        {"widths_in": [8.0, 9.0], "fills": ["echo", "leaves"]},
        {"widths_in": [0.0, 9.0]},
        {"widths_in": [float(n) for n in range(1, 12)]},
    ],
)
def test_json_refusals_name_field_and_cure(ask: Ask, demo: dict[str, Any], change: dict[str, Any]) -> None:
    answer = ask("POST", "/api/compare", json={"plan": demo, **change})
    assert answer.status_code == 422
    assert answer.json()["field"]


def test_a_saved_plan_beside_this_one(ask: Ask, demo: dict[str, Any]) -> None:
    saved = ask("POST", "/api/plans", json={"plan": {**demo, "name": "On the shelf"}}).json()
    page = ask("GET", "/compare", params={**QUILT, "by": "plan", "beside": saved["id"]})
    assert page.status_code == 200
    assert page.text.count('<th scope="col">') == 2
    assert "On the shelf, saved" in page.text
    lost = ask("GET", "/compare", params={**QUILT, "by": "plan", "beside": "no-such-plan"})
    assert lost.status_code == 200
    assert 'class="trouble"' in lost.text


TWO_THREADS = {
    "threads.0.name": "green",
    "threads.0.colours.0": "#2a6b3a",
    "threads.1.name": "brown",
    "threads.1.colours.0": "#6a4a34",
    "fill.kind": "echo",
    "stitched_with.spine": "1",
}
SIDES = ("top", "right", "bottom", "left")
SMALL = {**QUILT, **{f"sides_in.{side}": "36" for side in SIDES}, "widths": "5; 6"}


def row(page: str, name: str) -> list[str]:
    """The cells of one row of figures, without what marks the best; none where there is no such row."""
    found = re.search(rf'<th scope="row">{name}</th>(.*?)</tr>', page, re.DOTALL)
    cells = found[1].split("</td>")[:-1] if found else []
    return [re.sub(r"<em>.*?</em>|<[^>]+>", "", cell).strip() for cell in cells]


def test_starts_are_counted_where_she_asks(ask: Ask) -> None:
    """Each column's are those that its own page of what it takes counts; time then goes by them too."""
    query = {**SMALL, **TWO_THREADS}
    before = ask("GET", "/compare", params=query).text
    assert not row(before, "Starts")
    assert 'name="counted"' in before
    after = ask("GET", "/compare", params=query | {"counted": "on"}).text
    assert 'name="counted"' not in after
    takes = [ask("GET", "/supplies", params=one).text for one in links(after)]
    assert row(after, "Starts") == [re.findall(r"begun ([\d,]+) times", page)[0] for page in takes]
    assert row(after, "Thread changes") == ["1", "1"]
    assert not row(after, "Advances")
    assert row(after, "Time") != row(before, "Time")


def test_a_column_that_her_frame_cannot_reach_says_so(ask: Ask) -> None:
    framed = {**SMALL, "fill.kind": "echo", "working.way": "frame", "counted": "on"}
    enough, little = (
        ask("GET", "/compare", params=framed | {"working.reach_in": n}).text for n in ("24", "4")
    )
    assert all(int(cell) > 0 for cell in row(enough, "Advances"))
    assert "Does not work" not in enough
    assert little.count("Does not work") == little.count("whole pockets need") == 2


def test_json_counts_where_it_is_asked_to(ask: Ask, demo: dict[str, Any]) -> None:
    plan = {**demo, "sides_in": dict.fromkeys(SIDES, 36.0), "fill": {"kind": "echo"}, "choice": None}
    asked = {"plan": plan, "widths_in": [5.0, 6.0]}
    guessed, counted = (
        [one["figures"] for one in ask("POST", "/api/compare", json=body).json()["variants"]]
        for body in (asked, asked | {"counted": True})
    )
    assert all(one["estimated"] and one["starts"] is None for one in guessed)
    assert all(not one["estimated"] and one["starts"] > 0 and one["thread_changes"] == 0 for one in counted)
