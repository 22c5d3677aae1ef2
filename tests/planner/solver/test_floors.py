"""What nobody could stitch is refused where it is typed, each with its reason; what is at the floor is not."""

from __future__ import annotations

import json
from typing import Any

import pytest

from planner.demo import demo_plan
from planner.errors import PlanError
from planner.plan import Plan
from planner.solver import choose, propose
from planner.solver.floors import FLOORS, check_floors


def demo_with(part: str, name: str, value: float) -> Plan:
    plan: dict[str, Any] = demo_plan().model_dump(mode="json")
    plan[part] = {**plan[part], name: value}
    return Plan.model_validate_json(json.dumps({**plan, "choice": None}))


@pytest.mark.parametrize("name", FLOORS)
def test_a_need_under_its_floor_is_refused_beside_its_field(name: str) -> None:
    least = FLOORS[name][0]
    for ask in (propose, choose):
        with pytest.raises(PlanError) as told:
            ask(demo_with("fill", name, least * 0.99))
        assert told.value.field == f"fill.{name}"
        assert told.value.cure
    check_floors(demo_with("fill", name, least))


@pytest.mark.parametrize("name", ["lift_in", "gap_in"])
def test_more_ease_than_a_run_may_show_is_refused(name: str) -> None:
    with pytest.raises(PlanError) as told:
        propose(demo_with("ease_limits", name, 0.3))
    assert told.value.field == f"ease_limits.{name}"
    check_floors(demo_with("ease_limits", name, 0.25))


def test_a_narrow_band_takes_a_quarter_of_itself_at_most() -> None:
    plan = demo_with("ease_limits", "lift_in", 0.25)
    narrow = plan.model_copy(
        update={
            "border_in": plan.border_in.model_copy(
                update=dict.fromkeys(("top", "right", "bottom", "left"), 1.5 + plan.binding_allowance_in)
            )
        }
    )
    with pytest.raises(PlanError) as told:
        check_floors(narrow)
    assert told.value.field == "ease_limits.lift_in"
