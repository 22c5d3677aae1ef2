"""Whether the planner is well: for a proxy or a monitor."""

from __future__ import annotations

from typing import Literal

from fastapi import APIRouter
from pydantic import BaseModel

from server.access.rights import AStore
from server.problems import documented

router = APIRouter(tags=["health"])


class Health(BaseModel):
    status: Literal["ok"] = "ok"
    reading: bool
    saving: bool
    whole: bool


@router.get("/health", responses=documented(503))
def health(store: AStore) -> Health:
    """200 when plans can be read; 503 when not. Says whether they can be saved, and whether the file is whole."""
    store.search(page=1)
    database = store.database
    saving = not (database.read_only or database.damaged)
    return Health(reading=True, saving=saving, whole=not database.damaged)
