"""One plan is one layout: whatever was edited since she chose, every door draws, reckons and prints the same."""

from __future__ import annotations

import re
from collections.abc import Callable

import httpx
import pytest

from planner.demo import demo_plan
from planner.lengths import format_length
from planner.plan import SIDES, Plan, SideLengths
from server.pages.forms import choice_from, values_of
from server.store.links import pack

Ask = Callable[..., httpx.Response]


def shorter() -> Plan:
    """The demo quilt with every side an inch shorter; its form still carries the choice."""
    plan = demo_plan()
    sides = SideLengths(**{side: plan.sides_in.of(side) - 1 for side in SIDES})
    return plan.model_copy(update={"sides_in": sides, "typed": {}})


def without_its_circle() -> Plan:
    """The demo quilt after its run circle was lost from the tin."""
    plan = demo_plan()
    lost = plan.choice.run_diameter_in if plan.choice else 0
    return plan.model_copy(update={"tin_in": tuple(d for d in plan.tin_in if d != lost), "typed": {}})


@pytest.mark.parametrize("edited", [shorter, without_its_circle])
def test_an_edit_since_her_choice_is_answered_alike(ask: Ask, edited: Callable[[], Plan]) -> None:
    plan = edited()
    bench = ask("GET", "/", params=values_of(plan)).text
    drawn = choice_from(re.findall(r'id="choice" value="([^"]*)"', bench)[0])
    assert drawn
    beside = ask("POST", "/api/compare", json={"plan": plan.model_dump(), "corners": ["mirrored", "turning"]})
    assert beside.json()["variants"][0]["choice"] == drawn.model_dump(mode="json")
    chalk = ask("GET", f"/plans/{pack(plan)}/chalk").text
    for diameter in (drawn.corner_diameter_in, drawn.run_diameter_in):
        assert format_length(diameter, plan.units) in chalk.replace("\N{NO-BREAK SPACE}", " ")
    carried = values_of(plan.model_copy(update={"choice": drawn}))
    reckoned, same = (ask("GET", "/supplies.csv", params=texts).text for texts in (values_of(plan), carried))
    assert reckoned == same
