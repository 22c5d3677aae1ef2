"""The words of the pages: one unit throughout a plan, and no length as a decimal beside a ruler's fraction."""

from __future__ import annotations

import re
from collections.abc import Callable
from html import unescape

import httpx
import pytest

from planner.lengths import parse_length
from planner.plan import SIDES, Fill, Plan, SideLengths
from server.pages.forms import values_of
from server.store.links import pack

Ask = Callable[..., httpx.Response]
PAGES = ("/", "/compare", "/supplies", "/supplies/list", "/chalk")
MILLIMETRES = re.compile(r"\d+(?:\.\d+)? mm\b")
DECIMAL_INCHES = re.compile(r"\d*\.\d+ in\b")


def centimetres(cm: float) -> float:
    return parse_length(f"{cm} cm", "mm")


def metric(corner: str, fill: str) -> Plan:
    """A quilt as one measures it who thinks in centimetres."""
    return Plan(
        sides_in=SideLengths(**dict.fromkeys(SIDES, centimetres(220))),
        border_in=SideLengths(**dict.fromkeys(SIDES, centimetres(20))),
        tin_in=tuple(map(centimetres, (6, 7.5, 8, 9, 10, 12))),
        corner=corner,  # type: ignore[arg-type]
        units="mm",
        fill=Fill(kind=fill),  # type: ignore[arg-type]
        cut_own=True,
    )


def spoken(page: str) -> str:
    """What one reads of a page: no script, no style, no drawing, no tag; a field's own words are among it."""
    page = re.sub(r"(?s)<(script|style|svg)\b.*?</\1>", " ", page)
    fields = " ; ".join(re.findall(r'(?:value|placeholder)="([^"]*)"', page))
    return unescape(re.sub(r"<[^>]+>", " ", page) + fields).replace("\N{NO-BREAK SPACE}", " ")


def words(ask: Ask, plan: Plan) -> dict[str, str]:
    found = {}
    for page in PAGES:
        answer = ask("GET", page, params=values_of(plan), follow_redirects=True)
        assert answer.status_code == 200, page
        found[page] = spoken(answer.text)
    found["chalk"] = spoken(ask("GET", f"/plans/{pack(plan)}/chalk").text)
    return found


@pytest.mark.parametrize(("corner", "fill"), [("mirrored", "feathers"), ("turning", "leaves")])
def test_a_metric_plan_speaks_in_centimetres(ask: Ask, corner: str, fill: str) -> None:
    """Only what is under a millimetre is said in millimetres, and the mark of the ruler itself."""
    for page, said in words(ask, metric(corner, fill)).items():
        assert re.search(r"\d c?m\b", said), page
        coarse = [m for m in MILLIMETRES.findall(said) if float(m.split()[0]) > 1]
        assert not coarse, (page, coarse)
        assert not re.search(r"\d in\b(?! or)", said), page


@pytest.mark.parametrize("corner", ["mirrored", "turning", "easy_going"])
def test_inches_are_fractions_and_praise_is_whole(ask: Ask, corner: str) -> None:
    plan = metric(corner, "feathers").model_copy(
        update={
            "units": "in",
            "sides_in": SideLengths(**dict.fromkeys(SIDES, 88.5)),
            "border_in": SideLengths(**dict.fromkeys(SIDES, 8.0)),
            "tin_in": (2.5, 3.0, 3.25, 3.5, 4.0, 5.0),
        }
    )
    for page, said in words(ask, plan).items():
        assert re.search(r"\d (in|yd)\b", said), page
        if "supplies" not in page:  # where thicknesses of thread and needles are given, finer than a ruler
            assert not DECIMAL_INCHES.search(said), (page, DECIMAL_INCHES.findall(said))
        assert "nearly needs" not in said
        assert "Thread for 1 of" not in said
        assert not re.search(r"\d quarters", said), page
