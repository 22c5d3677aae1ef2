"""Marks of the slider: what is marked touches when it is solved in full, and what is not does not."""

from __future__ import annotations

from planner.geometry.arrays import TOUCHING_IN
from planner.lengths import MM_PER_IN
from planner.plan import SIDES, Plan
from planner.solver import propose
from planner.solver.changes import apply_change
from planner.solver.touching import touching_widths

PLAN = {
    "name": "Cushion",
    "sides_in": {"top": 40.0, "right": 48.0, "bottom": 40.0, "left": 48.0},
    "border_in": dict.fromkeys(SIDES, 6.0),
    "tin_in": (3.0, 5.0),
    "corner": "turning",
}


def gap(plan: Plan, width: float) -> float | None:
    found = propose(apply_change(plan, {"border_in": dict.fromkeys(SIDES, width)})).proposals
    return max(ease.gap for ease in found[0].ease.values()) if found else None


def test_what_is_marked_touches_and_nothing_else() -> None:
    plan = Plan.model_validate(PLAN)
    marked = touching_widths(plan)
    steps = [6 + n / 8 for n in range(-12, 13)]
    touching = [width for width in steps if (found := gap(plan, width)) is not None and found < TOUCHING_IN]
    assert list(marked) == touching
    assert 0 < len(marked) < len(steps), "the check can fail"


def test_metric_marks_stand_on_millimetres() -> None:
    millimetres = [
        width * float(MM_PER_IN) for width in touching_widths(Plan.model_validate(PLAN | {"units": "mm"}))
    ]
    assert millimetres
    assert all(abs(one - 2 * round(one / 2)) < 1e-6 for one in millimetres)
