"""The pages: rendered here, complete without scripts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from planner.demo import demo_plan
from planner.pictures.colour import chalk_for
from planner.plan import SIDES, Fill, Plan
from planner.solver.propose import question_of
from planner.solver.touching import touching_widths
from server.html import render
from server.pages.as_quilted import quilted_picture
from server.pages.forms import LENGTH_FIELDS, in_units, look_of, read, values_of
from server.pages.habits import usual_units
from server.pages.measures import units_named
from server.pages.savebar import savebar_of
from server.pages.thread_form import with_thread_pressed
from server.pages.workbench_page import table_of, workbench_page
from server.pages.workbench_view import (
    card_fill_picture,
    cured,
    drawing_of,
    fill_picture,
    picture_alone,
    reading_of,
    seen,
)
from server.solving import proposals_ready
from server.worker import Overload
from server.workers import workers_of

router = APIRouter(include_in_schema=False)

LAYERS = {"guides": "guide lines", "circles": "circles", "spines": "spines", "fill": "fill"}
NOTHING_DRAWN = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"/>'
EMPTY_SHEET = {"name": "My quilt", "fill.kind": Fill().kind}


@router.get("/")
async def workbench(request: Request) -> HTMLResponse:
    """The workbench. The whole form travels in the address, so a drawing can be marked and sent."""
    values = dict(request.query_params)
    if not values:
        return await run_in_threadpool(workbench_page, values_of(demo_plan()), demo=True)
    if "apply" in values:  # what is offered is known when it is solved
        await _ready(request, values)
    after = await run_in_threadpool(pressed, dict(values))
    if not seen(after):
        await _ready(request, after)
    savebar = await run_in_threadpool(savebar_of, request, after)
    return await run_in_threadpool(workbench_page, after, savebar=savebar)


async def _ready(request: Request, values: Mapping[str, str]) -> None:
    """From here on the proposals of the plan in a form are there at once, when it holds one."""
    plan = (await run_in_threadpool(reading_of, values)).plan
    if plan is not None:
        await proposals_ready(request, plan)


@router.get("/favicon.ico")
def icon() -> RedirectResponse:
    """The mark, where a window without a page of ours asks for it: one that shows a PDF."""
    return RedirectResponse("/static/curl.svg", 301)


@router.get("/drawing")
def drawing(request: Request) -> Response:
    """What lies on the table for the same form, without solving again; no content when that way is gone."""
    view = drawing_of(dict(request.query_params))
    if view is None:
        return Response(status_code=204)
    return render("table.html", **table_of(view, request.query_params))


@router.get("/touching")
async def touching(request: Request) -> Response:
    """Marks for the slider of the same form: near widths at which the circles land touching."""
    plan = read(dict(request.query_params)).plan
    if plan is None or len({plan.border_in.of(side) for side in SIDES}) > 1:
        return Response(status_code=204)
    widths = await workers_of(request).answer(request, _touching, question_of(plan))
    return JSONResponse({"widths_in": widths})


def _touching(question: str) -> tuple[float, ...]:
    return touching_widths(Plan.model_validate_json(question))


@router.get("/new")
def empty_sheet(request: Request) -> HTMLResponse:
    """The workbench before anything was measured, in the units of her country until she says otherwise."""
    units = usual_units(request.headers.get("accept-language", ""))
    return workbench_page({**EMPTY_SHEET, "units": units})


@router.get("/picture.svg")
async def picture_svg(request: Request) -> Response:
    """The drawing alone, for the same form: the whole quilt, or with ``view=run`` one side."""
    values = dict(request.query_params)
    view = values.pop("view", "")
    drawn = await workers_of(request).answer(
        request, picture_alone, values or values_of(demo_plan()), view == "run"
    )
    return Response(drawn, media_type="image/svg+xml")


@router.get("/fill.svg")
async def fill_svg(request: Request, plan: Annotated[str, Query(max_length=4000)]) -> Response:
    """The fill of one layout, to lie in its drawing: an image of its own, because it takes longer than the page."""
    return await _image(request, fill_picture, plan)


@router.get("/card.svg")
async def card_svg(request: Request, plan: Annotated[str, Query(max_length=4000)]) -> Response:
    """The fill of a small picture among the ways that land: as much as it shows, fetched when it comes in view."""
    return await _image(request, card_fill_picture, plan)


@router.get("/quilted.svg")
async def quilted_svg(
    request: Request, plan: Annotated[str, Query(max_length=4000)], side: str = "", own: bool = False
) -> Response:
    """The border as quilted, one side or the whole of one packed plan; an image too, for the same reason.

    own: to lie over a photograph of her cloth.
    """
    return await _image(request, quilted_picture, plan, side, own)


async def _image(request: Request, work: Callable[..., str], *arguments: str | bool) -> Response:
    """An image that a page fetches by itself; where it cannot be drawn an empty one: no mark of a broken one."""
    try:
        drawn = await workers_of(request).answer(request, work, *arguments)
    except Overload as why:
        return Response(NOTHING_DRAWN, why.status, why.headers, "image/svg+xml")
    return Response(drawn, media_type="image/svg+xml", headers={"Cache-Control": "max-age=86400"})


@router.get("/look.css")
def look_css(request: Request) -> Response:
    """Her cloth and thread as colours for the page; a style sheet, because pages carry no inline styles."""
    look = look_of(request.query_params)
    colours = {
        "cloth": look.cloth,
        "border": look.border,
        "thread": look.thread,
        "chalk": chalk_for(look.border),
    }
    rules = "".join(f"--{name}:{colour};" for name, colour in colours.items())
    return Response(f":root{{{rules}}}", media_type="text/css", headers={"Cache-Control": "max-age=86400"})


def pressed(values: dict[str, str]) -> dict[str, str]:
    """The form's texts after what its buttons ask for: a cure applied, a thread more, lengths in other units."""
    name, _, text = values.pop("instead", "").partition("=")
    values = cured(values, values.pop("apply", "")) | ({name: text} if name in LENGTH_FIELDS else {})
    values = with_thread_pressed(values, values.pop("thread", ""))
    units, were = units_named(values.get("units", "")), values.pop("units_were", "")
    return in_units({**values, "units": were}, units) if were and units_named(were) != units else values
