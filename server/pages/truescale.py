"""The border at true size: on a screen whose scale she has set, or through a projector on to the cloth."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response
from markupsafe import Markup

from planner.chalk.measured import measured_side
from planner.pictures.truescale import fill_of, lines_of
from planner.plan import SIDES, SideName
from planner.solver import choose
from server.drawn import grown_along
from server.html import render
from server.pages.asked import ASolvedPlan
from server.pages.words import STANDING
from server.pages.workbench_view import packed_drawing
from server.store.links import unpack
from server.workers import workers_of

router = APIRouter(include_in_schema=False)


@router.get("/plans/{plan_id}/truescale")
def truescale_page(plan_id: str, plan: ASolvedPlan) -> HTMLResponse:
    """Every side is in the page, so that it goes on when the network does not."""
    chosen = choose(plan)
    layout, packed = chosen.layout, packed_drawing(chosen.plan)
    measured = {side: measured_side(layout, side) for side in SIDES}
    return render(
        "truescale.html",
        plan=plan,
        look=plan.look,
        back=f"/plans/{quote(plan_id)}/chalk",
        standing=STANDING[chosen.standing],
        stamp=layout.stamp,
        laid=[
            {
                "side": side,
                "length": here.length,
                "border": here.border,
                "fill": f"/truescale.svg?{urlencode({'plan': packed, 'side': side})}",
                "lines": Markup(lines_of(layout, side)),
            }
            for side, here in measured.items()
        ],
    )


@router.get("/truescale.svg")
async def fill_at_true_size(
    request: Request, plan: Annotated[str, Query(max_length=4000)], side: SideName
) -> Response:
    """The fill of one side of a packed plan, as measured along it: an image, as it takes longer than the page."""
    drawn = await workers_of(request).answer(request, _fill, plan, side)
    return Response(drawn, media_type="image/svg+xml", headers={"Cache-Control": "max-age=86400"})


def _fill(packed: str, side: SideName) -> str:
    """A piece of work. Raises PlanError when the plan is damaged or nothing lands."""
    layout, filled = grown_along(choose(unpack(packed)).layout, side)
    return fill_of(layout, side, filled)
