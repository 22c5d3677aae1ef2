"""A plan saved before room was a range opens with its circles, spines and chalk readings where they were."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from planner.border.layout import place
from planner.plan import Choice, Plan
from tests.fixtures.landed_before import facts

BEFORE = json.loads((Path(__file__).parents[2] / "fixtures" / "landed_before.json").read_text("utf-8"))


@pytest.mark.parametrize("old", BEFORE, ids=lambda old: f"{old['plan']['corner']}-{old['choice']['meeting']}")
def test_an_old_choice_is_drawn_as_it_was(old: dict[str, Any]) -> None:
    plan = Plan.model_validate_json(json.dumps(old["plan"]))
    found = json.loads(json.dumps(facts(place(plan, Choice.model_validate_json(json.dumps(old["choice"]))))))
    assert found["chalk"] == old["chalk"]
    for name in ("circles", "spines"):
        assert len(found[name]) == len(old[name])
        for one, was in zip(found[name], old[name], strict=True):
            assert one == pytest.approx(was, abs=2e-9)


def test_the_old_plans_are_of_every_kind() -> None:
    assert {old["choice"]["meeting"] for old in BEFORE} >= {None, "wreath", "lattice", "little_spines"}
    assert {old["plan"]["corner"] for old in BEFORE} == {"mirrored", "turning", "easy_going"}
    assert any(old["plan"]["border_in"]["top"] != old["plan"]["border_in"]["bottom"] for old in BEFORE)
