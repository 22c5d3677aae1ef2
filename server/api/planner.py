"""The JSON interface: a plan in, its proposals or one whole layout out. Each route calls the planner once."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Body, Request, Response
from pydantic import BaseModel, ConfigDict, Field
from starlette.concurrency import run_in_threadpool

from planner.border.layout import place
from planner.demo import demo_choice, demo_plan
from planner.plan import Choice, Plan
from planner.solver import Chosen, choose, place_lawful, propose
from planner.stamp import stamp_of
from server.api.wire_layout import PlacedOut, placed_out
from server.api.wire_proposals import ProposalsOut
from server.api.wire_stitching import StitchedOut, stitched_out
from server.drawn import grown, stitched
from server.problems import documented
from server.solving import layout_ready, proposals_ready
from server.workers import workers_of

router = APIRouter(prefix="/api", tags=["planner"], responses=documented(400, 413, 422))


DEMO = demo_plan().model_dump(mode="json")


class LayoutRequest(BaseModel):
    """A plan and one of its choices, as ``POST /api/proposals`` gave it; without a choice, the plan's own layout.

    Without ``stitching`` the answer leaves out fill, pockets and path, and comes at once: they take seconds.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    plan: Plan
    choice: Choice | None = None
    stitching: Annotated[bool, Field(strict=True)] = True


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
async def proposals(http: Request, plan: PlanBody) -> ProposalsOut:
    """Solve a plan. ``refusals`` say which limit is in the way, and the nearest change that works."""
    await proposals_ready(http, plan)
    return await run_in_threadpool(_proposals, plan)


def _proposals(plan: Plan) -> ProposalsOut:
    found = propose(plan)
    return ProposalsOut.of(found, [stamp_on(plan, proposal.choice) for proposal in found.every])


@router.post("/layout", summary="One layout, placed", response_model=StitchedOut | PlacedOut)
async def layout(http: Request, request: LayoutBody) -> Response:
    """Circles, spines and guide lines of one choice, its fill and its stitching path.

    Quilt coordinates: inches, x right, y down. The answer for a whole bed quilt is about 4 MB.
    """
    if request.stitching:
        answer = await workers_of(http).answer(http, laid_out, request)
    else:
        await layout_ready(http, request.plan)
        answer = await run_in_threadpool(laid_out, request)
    return Response(answer, media_type="application/json")


def laid_out(request: LayoutRequest) -> bytes:
    """The whole answer as JSON: with the stitching a second or two of work. Raises PlanError."""
    chosen = chosen_of(request)
    answer = placed_out(chosen)
    if request.stitching:
        answer = stitched_out(answer, grown(chosen.layout), stitched(chosen.layout), request.plan.units)
    return answer.model_dump_json().encode()


def stamp_on(plan: Plan, choice: Choice) -> str:
    """The stamp of a proposal. Only where circles wander does it take a placing."""
    return place(plan, choice).stamp if plan.corner == "easy_going" else stamp_of(plan, choice)


def chosen_of(request: LayoutRequest) -> Chosen:
    """The choice that is asked for, placed; the layout of the plan where none is. Raises PlanError."""
    if request.choice is None:
        return choose(request.plan)
    plan = request.plan.model_copy(update={"choice": request.choice})
    return Chosen(place_lawful(plan, request.choice), "hers")
