"""The bar over the drawing: which saved plan lies on the workbench, and what she may do with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import Request

from planner.plan import Plan
from planner.solver.choose import settled
from server.access.rights import look, opened, store_of, visitor_of
from server.pages.forms import read, values_of
from server.store.database import NotFound
from server.store.keys import May, Opens


@dataclass(frozen=True)
class SaveBar:
    """What the bar over the drawing says. changed: whether what lies there is no longer what is stored."""

    plan_id: str
    version: int  # what lies on the workbench was made from it
    head: int
    opens: Opens
    changed: bool = False

    @property
    def may(self) -> May:
        """The most she may do with it."""
        return self.opens.may

    @property
    def newest(self) -> bool:
        """Whether saving simply goes on from here."""
        return self.version == self.head


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
    return SaveBar(plan_id, base.version, base.head, opens, differs(read(values).plan, base.plan))


def differs(plan: Plan | None, stored: Plan) -> bool:
    """Whether what lies there is not what is stored. Compared as forms: an old plan spells out what is usual."""
    if plan is None or _but_choice(plan) != _but_choice(stored):
        return True
    return plan.choice != stored.choice and settled(plan).choice != settled(stored).choice


def _but_choice(plan: Plan) -> dict[str, str]:
    return {**values_of(plan), "choice": ""}
