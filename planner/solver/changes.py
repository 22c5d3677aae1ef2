"""A plan with something changed, and the layout that lets it land."""

from __future__ import annotations

from typing import Any

from planner.errors import PlanError
from planner.plan import Choice, Plan
from planner.solver.combos import choice_of
from planner.solver.effort import Patience
from planner.solver.floors import check_floors
from planner.solver.rank import find


def apply_change(plan: Plan, change: dict[str, Any]) -> Plan:
    """The plan with some dotted fields changed; her own wording of those fields and her choice are let go.

    ``border``, typed for all four widths, goes with any of them.
    """
    data = plan.model_dump()
    for path, value in change.items():
        *parents, last = path.split(".")
        target = data
        for name in parents:
            target = target[name]
        target[last] = value
    data["typed"] = {
        name: text
        for name, text in data["typed"].items()
        if not any(path.startswith(name) or name.startswith(path) for path in change)
    }
    data["choice"] = None
    return Plan.model_validate(data)


def landing_choice(plan: Plan, patience: Patience) -> Choice | None:
    """The best layout of a plan; None where nothing lands, the plan is impossible or patience has run out."""
    if not patience:
        return None
    try:
        check_floors(plan)
        found = find(plan, 1, patience)
    except PlanError:
        return None
    return choice_of(plan, found.grounds, found.combos, 0) if len(found) else None
