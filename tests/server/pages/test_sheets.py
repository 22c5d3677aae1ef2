"""Everything she takes to the table, asked for over HTTP: the page, the files, and the page that waits with her."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from typing import Any

import httpx
import pytest
from pypdf import PdfReader

from planner.demo import demo_plan
from planner.plan import Plan
from planner.solver import choose
from server.pages.forms import values_of
from server.pages.sheets import SHEETS, Wanted, sheet_bytes
from server.store.links import pack, unpack

Ask = Callable[..., httpx.Response]
QUICK = [
    sheet for sheet in SHEETS if sheet not in ("handout.pdf", "practice.pdf")
]  # the fill grows for those


@pytest.fixture(scope="module")
def plan() -> Plan:
    return demo_plan().model_copy(update={"name": "Žofie <b>波</b> & Größe"})


@pytest.fixture(scope="module")
def here(plan: Plan) -> str:
    """The plan named by a carrying link: nothing has to be saved first."""
    return f"/plans/{pack(plan)}"


def test_the_chalk_page_has_the_readings_of_every_side(ask: Ask, here: str) -> None:
    page = ask("GET", f"{here}/chalk")
    assert page.status_code == 200
    assert "<b>波</b>" not in page.text  # the name is text, never markup
    assert "Žofie &lt;b&gt;波&lt;/b&gt; &amp; Größe" in page.text
    for words in ("Guide lines", "Miter", "Corner circle", "First curl", "Each circle on", "true place"):
        assert words in page.text
    assert page.text.count("<table>") == 4


@pytest.mark.parametrize(
    ("query", "words"),
    [("", "at your left"), ("?left=1", "at your right"), ("?middle=1", "to your left and right")],
)
def test_each_reading_is_one_switch(ask: Ask, here: str, query: str, words: str) -> None:
    assert words in ask("GET", f"{here}/chalk{query}").text


def test_what_lies_on_the_bench_can_be_chalked_unsaved(ask: Ask, plan: Plan) -> None:
    answer = ask("GET", "/chalk", params=values_of(plan))
    assert answer.status_code == 303
    assert unpack(answer.headers["location"].split("/")[2]).sides_in == plan.sides_in
    assert ask("GET", "/chalk", params={"sides_in.top": "ten yards of love"}).status_code == 422


@pytest.mark.parametrize("sheet", QUICK)
def test_every_sheet_is_what_it_says(ask: Ask, here: str, sheet: str) -> None:
    answer = ask("GET", f"{here}/{sheet}", params={"all": "1"})
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith(SHEETS[sheet][1])  # type: ignore[index]
    if sheet.endswith(".pdf"):
        assert len(PdfReader(BytesIO(answer.content)).pages) > 0
    assert "filename" in answer.headers["content-disposition"]


@pytest.mark.parametrize("sheet", QUICK)
def test_same_plan_same_bytes(plan: Plan, sheet: Any) -> None:
    wanted = Wanted(all=True)
    first = sheet_bytes(plan, sheet, wanted)
    assert sheet_bytes(plan, sheet, wanted) == first


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"paper": "papyrus"}, "paper"),
        ({"paper": "roll"}, "roll"),
        ({"paper": "roll", "roll": "two ells"}, "roll"),
        ({"paper": "roll", "roll": "1 in"}, "roll"),
        ({"side": "inside"}, "side"),
    ],
)
def test_what_cannot_be_printed_names_the_field_and_the_cure(
    ask: Ask, here: str, query: dict[str, str], field: str
) -> None:
    answer = ask("GET", f"{here}/pattern.pdf", params=query)
    assert answer.status_code == 422
    assert answer.json()["field"] == field
    assert answer.json()["cure"]


def test_a_pattern_of_500_sheets_is_refused_and_the_cure_works(ask: Ask, plan: Plan) -> None:
    """A quilt of 240 in with borders of 60 in: the cure names a paper that does."""
    wide = {"top": 60.0, "right": 60.0, "bottom": 60.0, "left": 60.0}
    large = {"top": 240.0, "right": 240.0, "bottom": 239.0, "left": 239.0}
    huge = Plan.model_validate(
        {
            "name": "Tent",
            "sides_in": large,
            "border_in": wide,
            "cut_own": False,
            "tin_in": [28.0, 30.0, 36.0, 40.0],
        }
        | {"fill": {"kind": "feathers", "room_in": 4.0, "longest_in": 60.0}}
    )
    answer = ask("GET", f"/plans/{pack(huge)}/pattern.pdf", params={"paper": "letter"})
    assert answer.status_code == 422, answer.headers
    assert "sheets of Letter" in answer.json()["detail"]
    cure = answer.json()["cure"]
    assert "Print on" in cure
    assert ask("GET", f"/plans/{pack(huge)}/chalk").status_code == 200


@pytest.mark.parametrize("sheet", ["chalk.pdf", "templates.pdf", "handout.pdf"])
def test_a_roll_is_for_patterns(ask: Ask, here: str, sheet: str) -> None:
    answer = ask("GET", f"{here}/{sheet}", params={"paper": "roll", "roll": "24", "all": "1"})
    assert answer.status_code == 422
    assert "letter, a4 or a3" in answer.json()["cure"]
    assert ask("GET", f"{here}/pattern.pdf", params={"paper": "roll", "roll": "61 cm"}).status_code == 200


def test_all_templates_owned_is_told(ask: Ask, here: str) -> None:
    answer = ask("GET", f"{here}/templates.pdf")
    assert answer.status_code == 422
    assert "in your tin" in answer.json()["detail"]


def test_the_waiting_page_tells_each_sheet_and_ends_at_the_file(ask: Ask, here: str) -> None:
    page = ask("GET", f"{here}/making/pattern.pdf", params={"side": "top", "paper": "a4"})
    assert page.status_code == 200
    assert page.text.count("<progress") >= 4
    assert "Ready" in page.text
    assert f'url={here}/pattern.pdf?paper=a4&amp;side=top"' in page.text
    assert "</html>" in page.text


def test_the_waiting_page_tells_what_is_wrong(ask: Ask, here: str) -> None:
    page = ask("GET", f"{here}/making/pattern.pdf", params={"paper": "papyrus"})
    assert "papyrus" in page.text and "Use letter, a4, a3" in page.text and "</html>" in page.text


@pytest.mark.parametrize("plan_id", ["c1.broken", "nothing-here", "c1.", "c9.aaaa"])
def test_a_plan_that_is_none_is_no_server_error(ask: Ask, plan_id: str) -> None:
    for sheet in ("chalk", "pattern.pdf", "making/pattern.pdf"):
        assert 400 <= ask("GET", f"/plans/{plan_id}/{sheet}").status_code < 500


def test_a_choice_that_no_longer_lands_gives_the_nearest_that_does(plan: Plan) -> None:
    chosen = choose(plan).choice
    changed = plan.model_copy(
        update={"choice": chosen, "sides_in": plan.sides_in.model_copy(update={"top": 84.0, "bottom": 84.0})}
    )
    assert choose(changed).choice.counts != chosen.counts
