"""The bar over the drawing: which saved plan lies on the workbench, and what she may do with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import Request

from server.access.rights import store_of, visitor_of
from server.store.database import NotFound
from server.store.keys import May


@dataclass(frozen=True)
class SaveBar:
    """What the bar over the drawing says: which saved plan lies on the workbench, what she may do with it."""

    plan_id: str
    version: int  # what lies on the workbench was made from it
    head: int
    may: May

    @property
    def changes(self) -> bool:
        """Whether saving goes on from here: hers to change, and the newest."""
        return self.may == "edit" and self.version == self.head


def savebar_of(request: Request, values: Mapping[str, str]) -> SaveBar | None:
    """The saved plan that a form belongs to; None when it is none, or none that she may look at."""
    plan_id, version = values.get("plan", ""), values.get("version", "")
    if not plan_id or not version.isdecimal() or len(version) > 9:
        return None
    store = store_of(request)
    may = visitor_of(request).may(store, plan_id)
    if may is None:
        return None
    try:
        return SaveBar(plan_id, int(version), store.load(plan_id).version, may)
    except NotFound:
        return None
