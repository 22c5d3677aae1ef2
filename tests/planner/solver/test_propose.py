"""Garbage in: a ValidationError or a PlanError that names its field and its cure, and nothing else."""

from __future__ import annotations

from math import inf, nan
from typing import Any

import pytest
from pydantic import ValidationError

from planner.demo import demo_plan
from planner.errors import PlanError
from planner.plan import Plan
from planner.solver import propose
from planner.solver.changes import apply_change
from planner.solver.propose import advice_on

EVERY = ("top", "right", "bottom", "left")
WRONG_LENGTHS = (-1.0, 0.0, nan, inf, -inf, 1e9, True, "8", None, [], {})


def changed(path: str, value: Any) -> dict[str, Any]:
    data = demo_plan().model_dump()
    *parents, last = path.split(".")
    target = data
    for name in parents:
        target = target[name]
    target[last] = value
    return data


@pytest.mark.parametrize("path", ["sides_in.top", "border_in.left", "fill.room_in", "fill.longest_in"])
@pytest.mark.parametrize("value", WRONG_LENGTHS, ids=repr)
def test_no_length(path: str, value: object) -> None:
    if value is None and path.startswith("fill."):
        return  # a need left open
    with pytest.raises(ValidationError):
        Plan.model_validate(changed(path, value))


def deep(levels: int) -> list[Any]:
    nest: list[Any] = []
    for _ in range(levels):
        nest = [nest]
    return nest


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("tin_in", tuple(1 + i / 10_000 for i in range(10_000))),
        ("tin_in", (nan,)),
        ("tin_in", (-3.0,)),
        ("tin_in", (True,)),
        ("tin_in", deep(500)),
        ("sides_in", deep(500)),
        ("cut_own", 1),
        ("tail_deg", nan),
        ("tail_deg", 1e9),
        ("tail_deg", True),
        ("seed", -1),
        ("seed", True),
        ("ease_limits.gap_in", -0.1),
        ("ease_limits.lift_in", nan),
        ("corner", "round"),
        ("nothing", 1),
    ],
)
def test_no_plan(path: str, value: object) -> None:
    with pytest.raises(ValidationError):
        Plan.model_validate(changed(path, value))


@pytest.mark.parametrize(
    ("path", "value", "field"),
    [
        ("tin_in", (), "tin_in"),
        ("border_in", dict.fromkeys(EVERY, 60.0), "border_in"),
        ("binding_allowance_in", 100.0, "border_in"),
        ("sides_in", dict.fromkeys(EVERY, 1.0), "border_in"),
    ],
)
def test_nothing_to_solve(path: str, value: object, field: str) -> None:
    with pytest.raises(PlanError) as refused:
        propose(Plan.model_validate(changed(path, value)))
    assert refused.value.field.startswith(field)
    assert refused.value.cure


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("border_in", dict.fromkeys(EVERY, 2.25)),
        ("border_in.top", 1.0),
        ("fill.room_in", 3.0),
        ("fill.room_in", 4.0),
        ("tin_in", (0.5,)),
        ("fill.longest_in", 1.2),
    ],
)
def test_a_refusals_cure_works(path: str, value: object) -> None:
    plan = Plan.model_validate(changed(path, value))
    found = propose(plan)
    assert not found.proposals and found.refusals
    changes = [refusal.change for refusal in found.refusals if refusal.change]
    assert changes
    for change in changes:
        assert propose(apply_change(plan, change)).proposals


@pytest.mark.parametrize(
    ("off", "advised"), [(0.0, False), (0.9, False), (1.0, False), (1.1, True), (1.9, True)]
)
@pytest.mark.parametrize(("longer", "shorter"), [("top", "bottom"), ("right", "left"), ("left", "right")])
def test_sides_more_than_one_in_a_hundred_apart_want_squaring_up(
    off: float, advised: bool, longer: str, shorter: str
) -> None:
    sides = dict.fromkeys(EVERY, 100.0) | {shorter: 100.0 - off}
    advice = advice_on(Plan.model_validate(changed("sides_in", sides)))
    assert len(advice) == advised
    assert all(f"{side} " in words for words in advice for side in (longer, shorter))
