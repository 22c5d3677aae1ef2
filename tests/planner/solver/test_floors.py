"""What nobody could stitch is refused where it is typed, each with its reason; what is at the floor is not."""

from __future__ import annotations

import json
from typing import Any

import pytest

from planner.demo import demo_plan
from planner.errors import PlanError
from planner.plan import SIDES, Plan
from planner.solver import choose, landing, propose, rank, search
from planner.solver.changes import apply_change
from planner.solver.floors import FLOORS, check_floors

MOST_WORK = 150_000
NEAR = {"tin_in": [1 + n / 20 for n in range(60)]}


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


def extreme(border: float, **more: Any) -> Plan:
    """A square of twenty feet, sixty circles, the widest ease: the most that passes the floors."""
    plan: dict[str, Any] = demo_plan().model_dump(mode="json")
    plan |= {
        "sides_in": dict.fromkeys(SIDES, 240.0),
        "border_in": dict.fromkeys(SIDES, border),
        "choice": None,
    }
    plan |= {"tin_in": [1 + n / 8 for n in range(60)], "ease_limits": {"lift_in": 0.25, "gap_in": 0.25}}
    return Plan.model_validate_json(json.dumps(plan | more))


@pytest.mark.parametrize(
    ("border", "more"),
    [(4.0, {}), (8.0, {}), (20.0, {}), (12.0, {"cut_own": True}), (6.0, NEAR), (8.0, NEAR)],
    ids=["4", "8", "20", "12, she cuts", "6, near sizes", "8, near sizes"],
)
def test_what_passes_is_solved_with_bounded_work(
    border: float, more: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The work of a solve is what it lands: pairs of circles, each with its counts. The usual demo lands 6,000."""
    tried: list[int] = []
    count = landing._every_count

    def counted(*given: Any) -> Any:
        found = count(*given)
        tried.append(len(found[0]))
        return found

    monkeypatch.setattr(landing, "_every_count", counted)
    found = propose(extreme(border, **more))
    assert found.proposals or found.refusals
    assert sum(tried) <= MOST_WORK, sum(tried)


@pytest.mark.long
def test_fewer_circles_find_what_all_of_them_would(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is left out looks like what is tried: the best costs no more than a little more."""
    for border in (4.0, 12.0):
        some = propose(extreme(border)).proposals[0].score
        with monkeypatch.context() as all_of_them:
            all_of_them.setattr(search, "_MOST_TRIES", 10**9)
            all_of_them.setattr(search, "_FEW", 1000)
            every = rank.best(extreme(border))
        assert every is not None
        assert some <= every.score + 0.25


@pytest.mark.parametrize("border", [32.0, 60.0, 119.0])
def test_a_border_that_no_curl_reaches_across_is_refused(border: float) -> None:
    with pytest.raises(PlanError) as told:
        propose(extreme(border))
    assert told.value.field == "border_in.top"
    assert "31 3/4 in" in told.value.cure
    check_floors(extreme(31.75))
    longer = extreme(border, fill={"kind": "feathers", "longest_in": border})
    check_floors(longer)  # she says that she can stitch them


def test_no_cure_is_offered_that_would_be_refused() -> None:
    """More ease than a run may show is no cure: the same plan with it must land."""
    plan = demo_with("ease_limits", "gap_in", 0.25).model_copy(update={"tin_in": (2.0,)})
    for refusal in propose(plan).refusals:
        if refusal.change:
            assert propose(apply_change(plan, refusal.change)).proposals, refusal
