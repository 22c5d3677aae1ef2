"""A frame that reaches too little is told of on every page that follows the needle, with the least that does."""

from __future__ import annotations

from collections.abc import Callable

import httpx
import pytest

from planner.demo import demo_plan
from planner.plan import Plan
from planner.threads import Working
from server.pages.forms import values_of
from server.store.links import pack

Ask = Callable[..., httpx.Response]


def on_a_short_frame() -> Plan:
    """The demo quilt, with a thread whose colours follow the needle, on a frame of 3 in."""
    plan = demo_plan()
    greens = {"name": "greens", "colours": ["#225533", "#88aa66"], "repeat_in": 5.0}
    working = Working(way="frame", reach_in=3.0)
    return Plan.model_validate(plan.model_dump() | {"threads": [greens], "working": working.model_dump()})


@pytest.mark.parametrize("page", ["/playback", "/supplies", "/threads", "/", "/compare"])
def test_a_page_says_what_the_frame_must_reach(ask: Ask, page: str) -> None:
    answer = ask("GET", page, params=values_of(on_a_short_frame()) | {"counted": "1"})
    assert answer.status_code in (200, 422)
    if page in ("/playback", "/threads"):
        assert "whole pockets need" in answer.text.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize("sheet", ["fill.svg", "pattern.svg", "handout.pdf"])
def test_no_sheet_breaks(ask: Ask, sheet: str) -> None:
    plan = on_a_short_frame()
    path = "/fill.svg" if sheet == "fill.svg" else f"/plans/{pack(plan)}/{sheet}"
    assert ask("GET", path, params={"plan": pack(plan)}).status_code < 500


def test_the_layout_is_refused_as_a_problem(ask: Ask) -> None:
    answer = ask("POST", "/api/layout", json={"plan": on_a_short_frame().model_dump(mode="json")})
    assert answer.status_code == 422
    assert answer.json()["field"] == "working.reach_in"
    assert "whole pockets need" in answer.text
