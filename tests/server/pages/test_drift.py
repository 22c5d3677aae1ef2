"""Standing off while chalking: the next version of the plan, or the plan in the link, with the rest spread anew."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlsplit

import httpx

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
    bench = ask("GET", there).text
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


def test_where_the_readings_count_from_the_other_end_nothing_is_spread_wrongly(ask: Ask) -> None:
    """A turning side is numbered through from her left, its run from her right."""
    plan = demo_plan().model_copy(update={"choice": None, "corner": "turning", "meeting": "any"})
    there = f"/plans/{pack(choose(plan).plan)}/drift"
    page = ask("POST", there, data=SLIGHT | {"curl": "4"})
    assert page.status_code == 422
    assert "from the raw corner at your right" in page.text
    from_there = ask("POST", f"{there}?left=1", data=SLIGHT | {"curl": "4"})
    assert "from the raw corner at your right" not in from_there.text


def test_what_she_mistypes_is_said_at_its_field(ask: Ask) -> None:
    for wrong in ({"curl": "x"}, {"by": "much"}, {"by": "20"}, {"curl": "400"}, {"way": "short"}):
        page = ask("POST", f"/plans/{pack(PLAN)}/drift", data=SLIGHT | wrong)
        assert page.status_code == 422
        assert 'role="alert"' in page.text


def test_a_form_carries_the_drifts() -> None:
    assert PLAN.choice is not None
    drifts = (Drift(side="top", curl=7, by_in=1 / 16), Drift(side="left", curl=2, by_in=-0.01))
    choice = PLAN.choice.model_copy(update={"drifts": drifts})
    assert choice_from(choice_text(choice)) == choice
    assert choice_from(choice_text(PLAN.choice)) == PLAN.choice
    plan = read(values_of(PLAN.model_copy(update={"choice": choice}))).plan
    assert plan is not None
    assert plan.choice == choice
    bare = choice.model_copy(update={"room_in": None, "strip_in": 0.0})
    assert choice_from(choice_text(bare)) == bare
