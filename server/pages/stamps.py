"""The stamp of a plan's layout, for the foot of a page and the name of a file."""

from __future__ import annotations

from planner.errors import PlanError
from planner.plan import Plan
from planner.solver import choose


def stamp_on(plan: Plan | None) -> str:
    """The stamp of the layout of a plan; '' where there is none, or nothing lands."""
    try:
        return choose(plan).layout.stamp if plan else ""
    except PlanError:
        return ""
