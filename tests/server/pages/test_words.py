"""The words of the pages and sheets: one unit throughout a plan, and no decimal beside a ruler's fraction."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from html import unescape
from io import BytesIO
from typing import get_args

import httpx
import pytest
from pypdf import PdfReader

from planner.border.corners import Ease
from planner.demo import demo_plan
from planner.lengths import parse_length
from planner.plan import SIDES, Fill, Middles, Plan, SideLengths, Units
from planner.solver.proposal import Proposal
from planner.solver.propose import propose
from server.pages.forms import values_of
from server.pages.words import offer_in_words
from server.store.links import pack

Ask = Callable[..., httpx.Response]
PAGES = ("/", "/compare", "/supplies", "/supplies/list", "/supplies.csv", "/playback")
OF_A_PLAN = (
    "chalk",
    "companion",
    "chalk.pdf",
    "handout.pdf",
    "templates.pdf?all=1",
    "pattern.pdf?side=top",
)
UNIT = re.compile(r"(?<![A-Za-z\d])[\d./]*\d ?(in|cm|mm|ft)\b")  # a plan's id may end in 2in
DECIMAL_INCHES = re.compile(r"\d*\.\d+ in\b")
HOW_TO_WRITE = "Write it your way"  # the one place where other units stand: what she may type


def quilt(units: Units, corner: str, fill: str) -> Plan:
    """A quilt as one measures it who thinks in these units."""

    def length(inches: float, cm: float) -> float:
        return inches if units == "in" else parse_length(f"{cm} cm", units)

    tin = zip((2.5, 3.0, 3.25, 3.5, 4.0, 5.0), (6, 7.5, 8, 9, 10, 12), strict=True)
    return Plan(
        sides_in=SideLengths(**dict.fromkeys(SIDES, length(88.5, 220))),
        border_in=SideLengths(**dict.fromkeys(SIDES, length(8, 20))),
        tin_in=tuple(length(*one) for one in tin),
        corner=corner,
        units=units,
        fill=Fill(kind=fill),
        cut_own=units != "in",
    )


def spoken(page: str) -> str:
    """What one reads of a page: no script, no style, no drawing, no tag; a field's own words are among it."""
    page = re.sub(r"(?s)<(script|style|svg)\b.*?</\1>|<input type=\"hidden\"[^>]*>", " ", page)
    fields = "\n".join(re.findall(r'(?:value|placeholder)="([^"]*)"', page))
    return unescape(re.sub(r"<[^>]+>", " ", page) + "\n" + fields).replace("\N{NO-BREAK SPACE}", " ")


def words(ask: Ask, plan: Plan) -> dict[str, str]:
    """What is read on every page and sheet of a plan."""
    asked = [(page, values_of(plan)) for page in PAGES]
    asked += [(f"/plans/{pack(plan)}/{page}", {}) for page in OF_A_PLAN]
    found = {}
    for page, params in asked:
        answer = ask("GET", page, params=params or None, follow_redirects=True)
        assert answer.status_code == 200, page
        if answer.headers["content-type"].startswith("application/pdf"):
            found[page] = "\n".join(one.extract_text() for one in PdfReader(BytesIO(answer.content)).pages)
        else:
            found[page] = spoken(answer.text)
    return found


@pytest.mark.parametrize("units", get_args(Units))
@pytest.mark.parametrize(
    ("corner", "fill"), [("mirrored", "feathers"), ("turning", "leaves"), ("easy_going", "echo")]
)
def test_a_plan_speaks_in_one_unit(ask: Ask, units: Units, corner: str, fill: str) -> None:
    for page, said in words(ask, quilt(units, corner, fill)).items():
        lines = [line for line in said.splitlines() if HOW_TO_WRITE not in line]
        assert "/supplies" in page or "/playback" in page or any(map(UNIT.search, lines)), page
        others = [line for line in lines if set(UNIT.findall(line)) - {units}]
        assert not others, (page, others)
        assert not DECIMAL_INCHES.search(said), (page, DECIMAL_INCHES.findall(said))
        assert "nearly needs" not in said
        assert "Thread for 1 of" not in said
        assert not re.search(r"\d quarters", said), page


@pytest.mark.parametrize(
    ("gap", "middles", "then", "said"),
    [
        (1 / 8, (1.0, 1.0), (0.0, 0.0), "it would touch all round"),
        (0.0, (3.0, 0.75), (1.5, 1.25), "the middles would look alike on all sides"),
        (0.0, (3.0, 0.75), (0.0, 0.0), "no middle would stay open"),
        (1 / 8, (4.0, 1.0), (0.0, 0.0), "it would touch all round and no middle would stay open"),
    ],
)
def test_what_one_circle_more_would_do(
    gap: float, middles: tuple[float, float], then: tuple[float, float], said: str
) -> None:
    one = propose(demo_plan()).proposals[0]

    def with_middles(across: float, down: float) -> Proposal:
        middles = Middles(top=across, bottom=across, left=down, right=down)
        return replace(one, choice=one.choice.model_copy(update={"middles_in": middles}))

    first = replace(with_middles(*middles), ease=dict.fromkeys(SIDES, Ease(0.0, gap)))
    offer = replace(with_middles(*then), needs_circle=2.75)
    assert offer_in_words(offer, first, "in") == f"With a 2 3/4 in circle {said}."
