"""Units and paper of her country, from what browsers send as Accept-Language (RFC 9110, 12.5.4)."""

from __future__ import annotations

import re
from collections.abc import Callable

import httpx
import pytest

from planner.demo import demo_plan
from planner.plan import Plan
from server.pages.habits import usual_paper, usual_units
from server.store.links import pack

Ask = Callable[..., httpx.Response]


@pytest.mark.parametrize(
    ("languages", "units", "paper"),
    [
        ("en-US,en;q=0.9", "in", "letter"),
        ("en", "in", "letter"),
        ("en-GB,en;q=0.9", "in", "a4"),
        ("en-AU", "in", "a4"),
        ("fr-CA,fr;q=0.8", "in", "letter"),
        ("cs-CZ,cs;q=0.9,en;q=0.8", "cm", "a4"),
        ("de", "cm", "a4"),
        ("es-MX", "cm", "letter"),
        ("ja", "cm", "a4"),
        ("zh-Hant-TW", "cm", "a4"),
        ("", "in", "letter"),
        ("*", "in", "letter"),
    ],
)
def test_units_and_paper(languages: str, units: str, paper: str) -> None:
    assert usual_units(languages) == units
    assert usual_paper(languages, "letter") == paper


def test_a_new_plan_begins_in_her_units_and_a_sheet_on_her_paper(ask: Ask) -> None:
    def chosen(path: str, field: str, languages: str) -> str:
        page = ask("GET", path, headers={"Accept-Language": languages}).text
        select = re.search(f'<select id="{field}".*?</select>', page, re.S)
        assert select
        return re.findall(r'value="([^"]+)" selected', select[0])[0]

    sheet = f"/plans/{pack(demo_plan())}/chalk"
    assert chosen("/new", "units", "de-DE") == "cm"
    assert chosen("/new", "units", "en-US") == "in"
    assert chosen(sheet, "paper", "en-GB") == "a4"
    assert chosen(sheet, "paper", "en-US") == "letter"
    assert chosen("/?units=in&" + "name=Hers", "units", "de-DE") == "in"  # hers once she has said so


def test_a_metric_plan_is_printed_on_a4_unless_she_chose(ask: Ask) -> None:
    """A browser that says "en-US" because nobody told it otherwise; what she chose stays."""
    metric = demo_plan().model_copy(update={"units": "cm"})

    def chosen(plan: Plan, cookies: str = "") -> str:
        headers = {"Accept-Language": "en-US,en;q=0.9", "Cookie": cookies}
        page = ask("GET", f"/plans/{pack(plan)}/chalk", headers=headers).text
        select = re.search('<select id="paper".*?</select>', page, re.S)
        assert select
        return re.findall(r'value="([^"]+)" selected', select[0])[0]

    assert chosen(metric) == "a4"
    assert chosen(demo_plan()) == "letter"
    made = ask("GET", f"/plans/{pack(metric)}/making/templates.pdf?paper=letter")
    kept = made.headers["set-cookie"].split(";")[0]
    assert chosen(metric, kept) == "letter"
    inches = ask("GET", f"/plans/{pack(demo_plan())}/making/templates.pdf?paper=letter").headers["set-cookie"]
    assert chosen(metric, inches.split(";")[0]) == "a4", "a plan in inches says nothing of a metric one"
    assert usual_paper("es-MX", "a4") == "letter"
