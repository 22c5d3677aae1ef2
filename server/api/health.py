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
    plans: Literal["read and saved", "only read"]


@router.get("/health", responses=documented(503))
def health(store: AStore) -> Health:
    """200 when plans can be read; 503 when not. Says whether they can be saved too."""
    store.search(page=1)
    return Health(plans="only read" if store.database.read_only else "read and saved")
