"""The JSON interface: a plan in, its proposals or one whole layout out. Each route calls the planner once."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body
from pydantic import BaseModel, ConfigDict

from planner import wire
from planner.demo import demo_choice, demo_plan
from planner.layout import place
from planner.plan import Choice, Plan
from planner.solver import propose
from server.problems import documented

router = APIRouter(prefix="/api", tags=["planner"], responses=documented(400, 413, 422))


DEMO = demo_plan().model_dump(mode="json")


class LayoutRequest(BaseModel):
    """A plan and one of its choices, as ``POST /api/proposals`` gave it."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    plan: Plan
    choice: Choice


PlanBody = Annotated[
    Plan, Body(openapi_examples={"demo": {"summary": "The invented demo quilt", "value": DEMO}})
]
LayoutBody = Annotated[
    LayoutRequest,
    Body(
        openapi_examples={
            "demo": {
                "summary": "The invented demo quilt, with one of its proposals",
                "value": {"plan": DEMO, "choice": demo_choice().model_dump(mode="json")},
            }
        }
    ),
]


@router.post("/proposals", summary="Every layout that lands, best first")
def proposals(plan: PlanBody) -> dict[str, Any]:
    """Solve a plan. ``refusals`` say which limit is in the way, and the nearest change that works."""
    return wire.proposals_dict(propose(plan))


@router.post("/layout", summary="One layout, placed")
def layout(request: LayoutBody) -> dict[str, Any]:
    """Circles, spines and guide lines of one choice, in quilt coordinates (inches, x right, y down)."""
    return wire.layout_dict(place(request.plan, request.choice))
