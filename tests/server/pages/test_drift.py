"""Standing off while chalking: the next version of the plan, or the plan in the link, with the rest spread anew."""

from __future__ import annotations

import html
import json
from collections.abc import Callable
from urllib.parse import urlsplit

import httpx
import pytest

from planner.demo import demo_plan
from planner.plan import Drift
from planner.solver import choose
from server.pages.forms import choice_from, choice_text, read, values_of
from server.store.links import pack, unpack

Ask = Callable[..., httpx.Response]
PLAN = choose(demo_plan().model_copy(update={"choice": None})).plan
SLIGHT = {"side": "top", "curl": "7", "by": "1/16", "way": "far", "panel": "9"}


def test_in_a_link_the_plan_goes_on_in_the_next_one(ask: Ask) -> None:
    words = pack(PLAN)
    answer = ask("POST", f"/plans/{words}/drift", data=SLIGHT)
    assert answer.status_code == 303
    there = urlsplit(answer.headers["location"])
    assert there.fragment == "c10"
    after = unpack(there.path.split("/")[2])
    assert after.choice is not None
    assert after.choice.drifts == (Drift(side="top", curl=7, by_in=1 / 16),)
    page = ask("GET", answer.headers["location"]).text
    assert choose(after).layout.stamp in page
    assert f'data-before="{choose(PLAN).layout.stamp}"' in page


def test_of_a_saved_plan_it_is_the_next_version(ask: Ask) -> None:
    there = ask("POST", "/plans", data=values_of(PLAN)).headers["location"]
    answer = ask("POST", f"{there}/drift", data=SLIGHT)
    assert answer.headers["location"].startswith(f"{there}/companion?")
    bench = ask("GET", there).text.replace("\N{NO-BREAK SPACE}", " ")
    assert "Version 2 of your plan" in bench
    assert "Spread anew: the top from curl 7 on, which stood 1/16 in too far along." in bench
    assert "Spread anew" not in ask("GET", f"{there}?version=1").text


def test_on_arrival_it_is_said_what_has_happened(ask: Ask) -> None:
    there = ask("POST", "/plans", data=values_of(PLAN)).headers["location"]
    here = ask("POST", f"{there}/drift", data=SLIGHT).headers["location"]
    news = ask("GET", here).text.split('id="news"')[1].split("</p>")[0]
    assert "The top side is spread anew: curls " in news
    assert f"Sheets printed before (stamp {choose(PLAN).layout.stamp}) no longer hold." in news
    assert "Version 2 is kept; version 1 can be taken up again." in news
    assert 'id="news"' not in ask("GET", f"{there}/companion").text
    assert "top spread anew from curl 7; saved, from version 1" in ask("GET", f"{there}/versions").text
    assert "top spread anew from curl 7" in ask("GET", f"{there}/compare?one=1&other=2").text
    again = ask("POST", f"{there}/drift", data=SLIGHT | {"curl": "4", "panel": "6"})  # before the first
    assert again.status_code == 303
    assert "from curl 4; saved, from version 2" in ask("GET", f"{there}/versions").text
    assert "spread anew from curl 4 already" in ask("GET", f"{there}/drift?side=top&curl=4").text


def test_what_cannot_be_spread_is_said_with_a_button_that_works(ask: Ask) -> None:
    words = pack(PLAN)
    page = ask("POST", f"/plans/{words}/drift", data=SLIGHT | {"by": "3/8"})
    assert page.status_code == 422
    assert "is more than the curls after it can take up" in page.text
    curl = page.text.split("Go on from curl ")[1].split("<")[0]
    by = page.text.split('name="by" value="')[1].split('"')[0]
    assert int(curl) < 7
    answer = ask("POST", f"/plans/{words}/drift", data=SLIGHT | {"curl": curl, "by": by})
    assert answer.status_code == 303


def test_a_turning_side_keeps_what_is_chalked_from_the_end_at_which_her_readings_begin(ask: Ask) -> None:
    """It is numbered through from her left, its run from her right; left-handed readings from her right."""
    update = {"choice": None, "corner": "turning", "meeting": "any", "cut_own": True}
    plan = choose(demo_plan().model_copy(update=update)).plan
    there = f"/plans/{pack(plan)}/drift"
    for query, far in (("", True), ("?left=1", False)):
        answer = ask("POST", there + query, data=SLIGHT | {"curl": "4"})
        assert answer.status_code == 303, answer.text
        after = unpack(urlsplit(answer.headers["location"]).path.split("/")[2])
        before, now = (choose(one).layout.own["top"].circles for one in (plan, after))
        end, other = (slice(None, -5, -1), 1) if far else (slice(0, 4), -1)
        off = [b.centre[0] - a.centre[0] for a, b in zip(before[end], now[end], strict=True)]
        assert off == pytest.approx([-other * n / 64 for n in (1, 2, 3, 4)])
        page = ask("GET", answer.headers["location"]).text
        assert "The top side is spread anew: curls 5 to " in page


def test_easy_going_curls_are_not_said_to_be_spread_anew(ask: Ask) -> None:
    plan = demo_plan().model_copy(update={"choice": None, "corner": "easy_going", "meeting": "any"})
    page = ask("POST", f"/plans/{pack(choose(plan).plan)}/drift", data=SLIGHT)
    assert page.status_code == 422
    assert "cannot be spread anew" in page.text


def test_what_she_mistypes_is_said_at_its_field(ask: Ask) -> None:
    for wrong in ({"curl": "x"}, {"by": "much"}, {"by": "20"}, {"curl": "400"}, {"way": "short"}):
        page = ask("POST", f"/plans/{pack(PLAN)}/drift", data=SLIGHT | wrong)
        assert page.status_code == 422
        assert 'role="alert"' in page.text


def test_a_form_carries_the_drifts() -> None:
    assert PLAN.choice is not None
    drifts = (
        Drift(side="top", curl=7, by_in=1 / 16),
        Drift(side="left", curl=2, by_in=-0.01, from_far_end=True),
    )
    choice = PLAN.choice.model_copy(update={"drifts": drifts})
    assert choice_from(choice_text(choice)) == choice
    assert choice_from(choice_text(PLAN.choice)) == PLAN.choice
    plan = read(values_of(PLAN.model_copy(update={"choice": choice}))).plan
    assert plan is not None
    assert plan.choice == choice
    bare = choice.model_copy(update={"room_in": None, "strip_in": 0.0})
    assert choice_from(choice_text(bare)) == bare


def test_after_a_side_is_measured_anew_it_is_known_what_still_holds(ask: Ask) -> None:
    """The page carries which circles of the version before stand where some do now, and which are gone."""
    values = values_of(PLAN)
    there = ask("POST", "/plans", data=values).headers["location"]
    assert 'data-gone="{}"' in ask("GET", f"{there}/companion").text
    again = values | {"sides_in.top": "90 1/4", "plan": there.removeprefix("/plans/"), "version": "1"}
    assert ask("POST", "/plans", data=again).status_code == 303
    page = ask("GET", f"{there}/companion").text
    assert f'data-before="{choose(PLAN).layout.stamp}"' in page
    holds, gone = (
        json.loads(html.unescape(page.split(f'data-{name}="')[1].split('"')[0])) for name in ("holds", "gone")
    )
    assert holds and gone
    assert not set(holds) & set(gone)
    assert {where.split(",")[0] for where, _ in gone.values()} == {"Top"}
