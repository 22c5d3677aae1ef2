"""The pages: rendered here, complete without scripts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from planner.border.corners.record import CornerStyle
from planner.border.corners.styles import CORNER_STYLES
from planner.border.meetings import MEETINGS
from planner.border.meetings.record import Meeting
from planner.demo import demo_plan
from planner.fills.record import FillRecord
from planner.fills.styles import FILLS
from planner.lengths import format_length
from planner.pictures.colour import chalk_for
from planner.plan import SIDES, Fill, Look, Plan, Units
from server.html import render
from server.pages.forms import LABELS, LENGTH_FIELDS, in_units, values_of
from server.pages.savebar import SaveBar, savebar_of
from server.pages.workbench_view import View, cured, drawing_of, fill_picture, picture_alone, view_of
from server.solving import form_ready
from server.worker import Overload
from server.workers import Busy, workers_of

router = APIRouter(include_in_schema=False)

LAYERS = {"guides": "guide lines", "circles": "circles", "spines": "spines", "fill": "fill"}
NOTHING_DRAWN = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1 1"/>'
EMPTY_SHEET = {"name": "My quilt", "units": "in", "fill.kind": Fill().kind}


@router.get("/")
async def workbench(request: Request) -> HTMLResponse:
    """The workbench. The whole form travels in the address, so a drawing can be marked and sent."""
    values = dict(request.query_params)
    if not values:
        return await run_in_threadpool(workbench_page, values_of(demo_plan()), demo=True)
    await form_ready(request, values)
    after = await run_in_threadpool(pressed, dict(values))
    if after != values:
        await form_ready(request, after)
    savebar = await run_in_threadpool(savebar_of, request, after)
    return await run_in_threadpool(workbench_page, after, savebar=savebar)


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
    return render("table.html", **_table(view, request.query_params))


@router.get("/new")
def empty_sheet() -> HTMLResponse:
    """The workbench before anything was measured."""
    return workbench_page(EMPTY_SHEET)


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
    try:
        drawn = await workers_of(request).answer(request, fill_picture, plan)
    except Overload:  # where nothing can be drawn nothing is shown: not the mark of a broken picture
        return Response(NOTHING_DRAWN, 503, Busy.headers, "image/svg+xml")
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


def workbench_page(
    values: Mapping[str, str], *, savebar: SaveBar | None = None, demo: bool = False, status: int = 200
) -> HTMLResponse:
    """The workbench for a form's texts; `savebar` says which saved plan they belong to."""
    view = view_of(values)
    return render(
        "workbench.html",
        status,
        savebar=savebar,
        demo=demo,
        values={**FORM_DEFAULTS, **view.reading.values},
        **_table(view, values),
        fills=_listed(FILLS),
        corners=_listed(CORNER_STYLES),
        meetings=[("any", "any"), *_listed(MEETINGS)],
        look=look_of({name: values.get(f"look.{name}", "") for name in Look.model_fields}),
        fill_defaults=_usual(values.get("fill.kind", ""), "mm" if values.get("units") == "mm" else "in"),
    )


def _listed(family: Mapping[str, FillRecord | Meeting | CornerStyle]) -> list[tuple[str, str]]:
    """The kinds of a family, as a form offers them."""
    return [(one.kind, one.listed) for one in family.values()]


def _usual(kind: str, units: Units) -> dict[str, str]:
    """What a fill commonly needs, as it would be typed."""
    needs = (FILLS.get(kind) or FILLS[Fill().kind]).needs
    return {need: format_length(length, units) for need, length in needs.usual.items()}


def _table(view: View, values: Mapping[str, str]) -> dict[str, Any]:
    """What the template of the table needs."""
    hidden = {name for name in LAYERS if values.get("layers") and not values.get(f"show.{name}")}
    return {
        "view": view,
        "labels": LABELS,
        "layers": LAYERS,
        "hidden": hidden,
        "closer": "closer" in values,
    }


def pressed(values: dict[str, str]) -> dict[str, str]:
    """The form's texts after what its buttons ask for: a cure applied, lengths put into other units."""
    name, _, text = values.pop("instead", "").partition("=")
    values = cured(values, values.pop("apply", "")) | ({name: text} if name in LENGTH_FIELDS else {})
    units, were = values.get("units"), values.pop("units_were", "")
    if {units, were} == {"in", "mm"}:
        values = in_units({**values, "units": were}, "mm" if units == "mm" else "in")
    return values


def look_of(texts: Mapping[str, str]) -> Look:
    """The colours in ``texts``; whatever is no colour keeps its default."""
    wanted = {name: texts[name] for name in Look.model_fields if texts.get(name)}
    try:
        return Look.model_validate(wanted)
    except ValueError:
        return Look()


FORM_DEFAULTS: dict[str, str] = {
    **values_of(Plan(sides_in=demo_plan().sides_in, border_in=demo_plan().border_in)),
    **{f"sides_in.{side}": "" for side in SIDES},
    "border": "",
}
