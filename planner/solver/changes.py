"""A plan with something changed, and whether it would do: quickly found out, with fewer circles and middles."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, floor, inf
from typing import Any

from planner.border.band import largest_corner, quilt_of
from planner.errors import PlanError
from planner.geometry.arrays import Numbers
from planner.plan import Plan
from planner.solver.combos import Combos
from planner.solver.limits import Limits
from planner.solver.search import cheapest

_SKETCH_TIN = 24  # circles enough to know whether a width works
_SKETCH_MIDDLES = 4  # and every fourth middle
_SKETCH_STEP_IN = 1 / 4  # sizes she would cut, tried by quarters: what lands with some of them lands


def apply_change(plan: Plan, change: dict[str, Any]) -> Plan:
    """The plan with some dotted fields changed; her own wording of those fields and her choice are let go."""
    data = plan.model_dump()
    for path, value in change.items():
        *parents, last = path.split(".")
        target = data
        for name in parents:
            target = target[name]
        target[last] = value
    data["typed"] = {k: v for k, v in data["typed"].items() if not any(k.startswith(path) for path in change)}
    data["choice"] = None
    return Plan.model_validate(data)


def works(plan: Plan) -> bool:
    """Whether a plan has any proposal, found by trying fewer sizes and middles than ``propose`` does."""
    try:
        found = cheapest(_sketch(plan), Limits.of(plan), lambda c: c.reach_run, every=_SKETCH_MIDDLES)
        return any(len(combos) for _, combos, _ in found)
    except PlanError:
        return False


def least_excess(plan: Plan, limits: Limits, excess: Callable[[Combos], Numbers]) -> float | None:
    """The least excess over all layouts that loosened limits let through; None when they let none through."""
    least = min((x.min(initial=inf) for _, _, x in cheapest(_sketch(plan), limits, excess)), default=inf)
    return float(least) if least < inf else None


def _sketch(plan: Plan) -> Plan:
    """The plan with fewer circles, quickly solved: quarter inches for all she would cut, a thinner large tin."""
    if not plan.cut_own:
        thin = ceil(len(plan.tin_in) / _SKETCH_TIN)
        return plan.model_copy(update={"tin_in": tuple(sorted(plan.tin_in))[::thin]}) if thin > 1 else plan
    least, most = 2 * Limits.of(plan).smallest_curl, 2 * largest_corner(quilt_of(plan))
    steps = range(ceil(least / _SKETCH_STEP_IN), floor(most / _SKETCH_STEP_IN) + 1)
    sizes = {*plan.tin_in, *(i * _SKETCH_STEP_IN for i in steps)}
    return plan.model_copy(update={"cut_own": False, "tin_in": tuple(sorted(sizes))})
