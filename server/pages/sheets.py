"""What she takes to the table: the chalk page, and every sheet as a file.

A plan is named by its id on the shelf, or by the words of a carrying link (store.links): then nothing needs to
be saved first. A sheet that takes a while has a page that tells how far it is (``making``); it needs no script,
because the server writes it line by line.
"""

from __future__ import annotations

import logging
from collections.abc import AsyncIterator, Iterator
from html import escape
from typing import Literal
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response, StreamingResponse
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool

from planner.border.layout import Layout
from planner.chalk.marking import SideMarks, chalked_round, side_marks
from planner.chalk.steps import error_words, steps
from planner.errors import PlanError
from planner.fills.shape import Shape
from planner.plan import Plan, SideName
from planner.sheets.chalk_pdf import chalk_pdf, opening, row_words, sizes
from planner.sheets.figures import step_figures, strip
from planner.sheets.handout_pdf import handout_pdf
from planner.sheets.paper import PAPERS, USUAL
from planner.sheets.pattern import patterns, side_named, sides_title
from planner.sheets.pattern_dxf import pattern_dxf
from planner.sheets.pattern_pdf import pattern_pdf, sets_of
from planner.sheets.pattern_svg import figure_svg, pattern_svg
from planner.sheets.practice import exercises
from planner.sheets.practice_pdf import practice_pdf
from planner.sheets.templates_pdf import missing, templates_pdf
from planner.solver import choose
from planner.solver.choose import settled
from server.access.rights import YEAR_S, cookie, set_cookie
from server.drawn import grown, grown_as_measured, stitched, stitched_as_measured
from server.html import MARK, attachment, render, templates
from server.pages.address import origin, plan_address, query_of
from server.pages.asked import CARRIED, AMoment, AnOrigin, ASolvedPlan, AWanted, Wanted
from server.pages.habits import paper_kept, usual_paper
from server.pages.savebar import savebar_of
from server.pages.stamps import stamp_on
from server.pages.words import STANDING
from server.problems import documented
from server.store.links import pack
from server.worker import tell
from server.workers import Answer, Gone, workers_of

log = logging.getLogger("cornerwise.sheets")
router = APIRouter(tags=["sheets"], responses=documented(403, 404, 422, 503))

Sheet = Literal[
    "pattern.pdf", "pattern.svg", "pattern.dxf", "templates.pdf", "practice.pdf", "chalk.pdf", "handout.pdf"
]
SHEETS: dict[Sheet, tuple[str, str]] = {
    "pattern.pdf": ("the full-size pattern, tiled", "application/pdf"),
    "pattern.svg": ("the pattern in real units", "image/svg+xml"),
    "pattern.dxf": ("the pattern with true arcs, for cutters", "image/vnd.dxf"),
    "templates.pdf": ("circle templates", "application/pdf"),
    "practice.pdf": ("the practice sheet", "application/pdf"),
    "chalk.pdf": ("the chalk sheet", "application/pdf"),
    "handout.pdf": ("the class hand-out", "application/pdf"),
}
ON_SHEETS = ("templates.pdf", "practice.pdf", "chalk.pdf", "handout.pdf")  # not from a roll
FILE = {"type": "string", "format": "binary"}  # in the OpenAPI document


@router.get("/chalk", include_in_schema=False)
def from_the_workbench(request: Request) -> RedirectResponse:
    """The chalk page of what lies on the workbench; where that is not saved, the plan travels in the address."""
    here = plan_address(dict(request.query_params))
    if here.plan is None:
        trouble = next(iter(here.troubles.values()))
        raise PlanError(trouble.message, field=trouble.field, cure=trouble.cure)
    savebar = savebar_of(request, here.texts)
    if savebar and savebar.newest and not savebar.changed:
        return RedirectResponse(f"/plans/{savebar.plan_id}/chalk", 303)
    of = origin(here.texts) if savebar else {}
    plan = here.plan if here.plan.choice else settled(here.plan)  # what she prints stays what it is
    return RedirectResponse(_with(f"/plans/{pack(plan)}/chalk", urlencode(of)), 303)


def _with(path: str, query: str) -> str:
    return f"{path}?{query}" if query else path


@router.get("/plans/{plan_id}/chalk", include_in_schema=False)
def chalk_page(
    request: Request, plan_id: str, plan: ASolvedPlan, wanted: AWanted, of: AnOrigin
) -> HTMLResponse:
    """The steps and the tables to read from, and the way to every other sheet."""
    chosen = choose(plan)
    layout = chosen.layout
    tables = side_marks(layout, wanted.stance)
    figures = step_figures(tables[0])
    lacking = missing(layout)
    return render(
        "chalk.html",
        plan=plan,
        here=f"/plans/{quote(plan_id)}",
        back=f"/?{urlencode(query_of(plan) | of)}"
        if plan_id.startswith(CARRIED)
        else f"/plans/{quote(plan_id)}",
        query=query_of(plan) | of,
        origin=of,
        wanted=wanted,
        standing=STANDING[chosen.standing],
        stamp=layout.stamp,
        opening=opening(tables),
        steps=[
            (step, Markup(figure_svg(figures[step.figure], step.title))) for step in steps(layout, tables)
        ],
        tables=[_table(layout, table) for table in tables],
        unit=plan.units,
        error=error_words(tables),
        default_paper=_paper(request, plan),
        papers=[(one.kind, one.name) for one in PAPERS.values()],
        lacking=len(lacking),
    )


def _paper(request: Request, plan: Plan) -> str:
    """The paper she chose last for a plan in such units; before that what is usual where she lives."""
    kept = cookie(request, paper_kept(plan.units))
    usual = usual_paper(request.headers.get("accept-language", ""), USUAL[plan.units])
    return kept if kept in PAPERS else usual


def _table(layout: Layout, table: SideMarks) -> dict[str, object]:
    """One side as its template wants it: texts, and the drawing with the numbers."""
    title = sides_title(table.sides)
    return {
        "title": title,
        "sizes": sizes(layout, table),
        "picture": Markup(figure_svg(strip(table), f"{title} with the number of each circle")),
        "rows": [row_words(layout, table, mark) for mark in table.marks],
    }


def _offer(sheet: Sheet) -> None:
    """The route of one sheet."""
    what, media = SHEETS[sheet]

    async def give(request: Request, plan: ASolvedPlan, saved_at: AMoment, wanted: AWanted) -> Response:
        body = await workers_of(request).answer(request, sheet_bytes, plan, sheet, wanted, saved_at)
        name, ending = sheet.split(".")
        headers = attachment(f"{plan.name} {name}", ending, await run_in_threadpool(stamp_on, plan))
        if media == "application/pdf":  # opened beside the page, to be printed
            headers = {key: text.replace("attachment", "inline", 1) for key, text in headers.items()}
        return Response(body, media_type=media, headers=headers)

    router.add_api_route(
        f"/plans/{{plan_id}}/{sheet}",
        give,
        methods=["GET"],
        name=sheet,
        summary=f"{what[0].upper()}{what[1:]}",
        response_class=Response,
        responses={200: {"content": {media: {"schema": FILE}}, "description": what}},
    )


for _sheet in SHEETS:
    _offer(_sheet)


@router.get("/plans/{plan_id}/making/{sheet}", include_in_schema=False)
def making(
    request: Request,
    plan_id: str,
    sheet: Sheet,
    plan: ASolvedPlan,
    saved_at: AMoment,
    wanted: AWanted,
    of: AnOrigin,
) -> StreamingResponse:
    """A page that tells how far a sheet is, and goes to it when it is made."""
    target = f"/plans/{quote(plan_id)}/{sheet}?{wanted.query}"
    page = templates.get_template("making.html")
    held = urlencode({name: "1" for name in ("left", "middle") if getattr(wanted, name)} | of)
    back = _with(f"/plans/{quote(plan_id)}/chalk", held)
    text = page.render(plan=plan, what=SHEETS[sheet][0], back=back, stamp=stamp_on(plan))
    head, foot = text.split(MARK)
    told = workers_of(request).told(request, sheet_bytes, plan, sheet, wanted, saved_at)
    answer = StreamingResponse(_progress_page(told, target, head, foot), media_type="text/html")
    if wanted.paper in PAPERS:
        set_cookie(request, answer, paper_kept(plan.units), wanted.paper, YEAR_S)
    return answer


async def _progress_page(
    progress: AsyncIterator[str | Answer[bytes]], target: str, head: str, foot: str
) -> AsyncIterator[str]:
    """The page, line by line, while a worker makes the sheet."""
    yield head + _line(0, 0, "Getting ready")
    try:
        async for told in progress:
            yield told if isinstance(told, str) else _ready(len(told.found), target)
    except Gone:
        return
    except PlanError as error:
        yield _refusal(error)
    except Exception:
        log.exception("No sheet %s", target)
        yield _refusal(
            PlanError("Something went wrong on our side; your plan is unharmed.", cure="Try again.")
        )
    yield foot


def _refusal(error: PlanError) -> str:
    words = f"<strong>{escape(error.message)}</strong> {escape(error.cure)}"
    return f'<p class="word" role="alert">{words}</p>'


def _ready(size: int, target: str) -> str:
    words = f"{size / 1e6:.1f} MB" if size > 1e5 else f"{max(1, size // 1000)} kB"
    link = escape(target)
    return (
        f'<p role="status">Ready, {words}: <a class="button" href="{link}">Open it</a></p>'
        f'<meta http-equiv="refresh" content="1;url={link}">'
    )


def _progress(done: int, of: int, what: str) -> None:
    tell(_line(done, of, what))


def _line(done: int, of: int, what: str) -> str:
    share = f' max="{of}" value="{done}"' if of else ""
    return f'<p><progress aria-label="How far it is"{share}></progress> {escape(what)}</p>\n'


def sheet_bytes(plan: Plan, sheet: Sheet, wanted: Wanted, saved_at: float | None = None) -> bytes:
    """A sheet's bytes; tells how far it is. Raises PlanError."""
    on, side = wanted.on(plan), side_named(wanted.side)
    layout = choose(plan).layout
    if on.roll and sheet in ON_SHEETS:
        raise PlanError(
            "A roll is for full-size patterns.",
            field="paper",
            cure=f"Print {SHEETS[sheet][0]} on letter, a4 or a3.",
        )
    match sheet:
        case "chalk.pdf":
            return chalk_pdf(layout, wanted.stance, on, saved_at)
        case "templates.pdf":
            return templates_pdf(
                layout, chalked_round(layout) if wanted.all else missing(layout), on, saved_at
            )
        case "practice.pdf":
            _progress(0, 0, "Growing the fill and finding the order of stitching")
            return practice_pdf(layout, exercises(layout, grown(layout), stitched(layout)), on, saved_at)
        case "handout.pdf":
            _progress(0, 0, "Growing the fill and finding the order of stitching")
            return handout_pdf(layout, on, tuple(grown(layout).shapes()), saved_at, stitched(layout))

    def grow(here: Layout, name: SideName) -> Iterator[Shape]:
        _progress(0, 0, f"Growing the fill of the {name} side")
        return grown_as_measured(here, name).shapes()

    if sheet == "pattern.pdf":  # refuse too many sheets before anything grows
        sets_of([pattern.drawing for pattern in patterns(layout, side=side)], on, plan.units)
    # a cutter follows each shape whole: its colours are its own
    sew = None if sheet == "pattern.dxf" else stitched_as_measured
    found = patterns(layout, side=side, grow=grow if wanted.fill else None, sew=sew)
    match sheet:
        case "pattern.pdf":
            return pattern_pdf(layout, found, on, _progress, saved_at)
        case "pattern.svg":
            return pattern_svg(plan.name, found, plan.units, layout.stamp).encode()
        case "pattern.dxf":
            return pattern_dxf(found, plan.units, layout.stamp)
