"""The bar over the drawing: which saved plan lies on the workbench, and what she may do with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import Request

from planner.plan import Plan
from planner.solver.choose import settled
from server.access.rights import look, opened, store_of, visitor_of
from server.pages.forms import in_units, read, values_of
from server.store.database import NotFound
from server.store.keys import May, Opens


@dataclass(frozen=True)
class SaveBar:
    """What the bar over the drawing says.

    changed: whether what lies there is no longer what is stored; other_units: only because its lengths are shown in
    other units. word: what was done a moment ago, where that has to be said.
    """

    plan_id: str
    version: int  # what lies on the workbench was made from it
    onto: int  # the version that was the plan when she began
    head: int
    opens: Opens
    changed: bool = False
    other_units: bool = False
    word: str = ""

    @property
    def may(self) -> May:
        """The most she may do with it."""
        return self.opens.may

    @property
    def newest(self) -> bool:
        """Whether saving simply goes on from here."""
        return self.version == self.head

    @property
    def older(self) -> bool:
        """Whether she took an older version than the plan, and knew it."""
        return self.version != self.onto

    @property
    def overtaken(self) -> bool:
        """Whether somebody saved since she began."""
        return self.onto != self.head


def savebar_of(request: Request, values: Mapping[str, str]) -> SaveBar | None:
    """The saved plan that a form belongs to; None when it is none, or none that she may look at."""
    plan_id, version = values.get("plan", ""), values.get("version", "")
    if not plan_id or not version.isdecimal() or len(version) > 9:
        return None
    store, visitor = store_of(request), visitor_of(request)
    try:
        opens, base = opened(plan_id, store, visitor), look(plan_id, store, visitor, int(version))
    except NotFound:
        return None
    plan, onto = read(values).plan, values.get("onto", "")
    seen = int(onto) if onto.isdecimal() and len(onto) < 10 else base.version
    changed = differs(plan, base.plan)
    other_units = changed and not differs(plan and _in_units_of(plan, base.plan), base.plan)
    return SaveBar(plan_id, base.version, seen, base.head, opens, changed, other_units)


def differs(plan: Plan | None, stored: Plan) -> bool:
    """Whether what lies there is not what is stored. Compared as forms: an old plan spells out what is usual."""
    if plan is None or _but_choice(plan) != _but_choice(stored):
        return True
    return plan.choice != stored.choice and settled(plan).choice != settled(stored).choice


def _in_units_of(plan: Plan, other: Plan) -> Plan | None:
    return read(in_units(values_of(plan), other.units)).plan


def _but_choice(plan: Plan) -> dict[str, str]:
    return {**values_of(plan), "choice": ""}
