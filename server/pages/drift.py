"""She stands off her place while she chalks: the rest of the run is spread anew, as the plan's next version."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool

from planner.border.drift import standing
from planner.border.said import curl_words
from planner.chalk.marking import SideMarks, side_marks
from planner.errors import PlanError
from planner.lengths import parse_length
from planner.plan import SIDES, Drift, Plan, SideName
from planner.sheets.figures import strip
from planner.sheets.pattern import sides_title
from planner.sheets.pattern_svg import figure_svg
from planner.solver import choose
from planner.solver.drifting import DriftError, spread_anew
from server.access.rights import store_of, visitor_of
from server.html import render
from server.pages.asked import CARRIED, ASolvedPlan, AWanted, Wanted
from server.store.links import pack
from server.store.versions import Conflict

router = APIRouter(include_in_schema=False)
Words = Annotated[str, Form(max_length=60)]


@router.get("/plans/{plan_id}/drift")
def drift_page(
    plan_id: str,
    plan: ASolvedPlan,
    wanted: AWanted,
    side: Annotated[str, Query(max_length=10)] = "top",
    curl: Annotated[str, Query(max_length=10)] = "",
    panel: Annotated[str, Query(max_length=10)] = "",
) -> HTMLResponse:
    """Where she stands and how far off: the question."""
    return _page(plan_id, plan, wanted, {"side": side, "curl": curl, "by": "", "way": "far", "panel": panel})


@router.post("/plans/{plan_id}/drift")
async def spread(
    request: Request,
    plan_id: str,
    plan: ASolvedPlan,
    wanted: AWanted,
    side: Words,
    curl: Words,
    by: Words,
    way: Words = "far",
    panel: Words = "",
) -> Response:
    """The rest spread anew, and on to the next circle; or why not, and the nearest that works."""
    texts = {"side": side, "curl": curl, "by": by, "way": way, "panel": panel}
    try:
        return await run_in_threadpool(_spread, request, plan_id, plan, wanted, texts)
    except PlanError as trouble:
        return await run_in_threadpool(_page, plan_id, plan, wanted, texts, trouble)


def _spread(request: Request, plan_id: str, plan: Plan, wanted: Wanted, texts: dict[str, str]) -> Response:
    chosen = choose(plan)
    # Facing the quilt a run begins at her right: numbered all along from her left, a side begins at its far end.
    far = not chosen.layout.mirrored and not wanted.left
    drift = _drift_of(chosen.plan, texts).model_copy(update={"from_far_end": far})
    after = spread_anew(chosen.plan, chosen.choice, drift)
    there, kept = _kept(request, plan_id, plan.model_copy(update={"choice": after.choice}))
    asked = urlencode({**dict(_held(wanted)), "before": chosen.layout.stamp, "at": _panel(texts), **kept})
    at = f"#c{_panel(texts) + 1}" if _panel(texts) else ""
    return RedirectResponse(f"/plans/{quote(there)}/companion?{asked}{at}", 303)


def _panel(texts: dict[str, str]) -> int:
    """The panel of the companion that she came from, 0 for none."""
    return int(texts["panel"]) if texts["panel"].isdecimal() else 0


def _drift_of(plan: Plan, texts: dict[str, str]) -> Drift:
    """What she wrote as a drift. Raises PlanError."""
    side: SideName = next((one for one in SIDES if one == texts["side"]), "top")
    curl = texts["curl"].strip()
    if not curl.isdecimal() or not 1 <= int(curl) <= 1000:
        raise PlanError("Which curl do you stand at?", field="curl", cure="Its number stands on the sheet.")
    by_in = parse_length(texts["by"], plan.units, field="by")
    if by_in > 12:
        raise PlanError(
            "That is farther off than any run could take up.", field="by", cure="Measure once more."
        )
    return Drift(side=side, curl=int(curl), by_in=-by_in if texts["way"] == "short" else by_in)


def _kept(request: Request, plan_id: str, plan: Plan) -> tuple[str, dict[str, int]]:
    """The next version of a saved plan that she may change, with its number and that of the one before; else the
    plan in the address itself."""
    if not plan_id.startswith(CARRIED):
        store, visitor = store_of(request), visitor_of(request)
        if visitor.may(store, plan_id) in ("edit", "own"):
            try:
                saved = store.save(plan_id, plan, store.load(plan_id).version, by=visitor.name)
                return plan_id, {"kept": saved.version, "base": saved.base}
            except Conflict:  # somebody saved in this very moment: hers goes on in the address
                pass
    return pack(plan), {}


def _page(
    plan_id: str, plan: Plan, wanted: Wanted, texts: dict[str, str], trouble: PlanError | None = None
) -> HTMLResponse:
    chosen = choose(plan)
    held = urlencode(_held(wanted))
    back = trouble.back if isinstance(trouble, DriftError) else None
    return render(
        "drift.html",
        422 if trouble else 200,
        plan=plan,
        texts=texts,
        trouble=trouble,
        back=back and {"curl": back.curl, "by": f"{abs(back.by_in):.6f} in"},
        here=f"/plans/{quote(plan_id)}/companion" + (f"?{held}" if held else ""),
        action=f"/plans/{quote(plan_id)}/drift" + (f"?{held}" if held else ""),
        mirrored=chosen.layout.mirrored,
        numbered=[_numbered(table) for table in side_marks(chosen.layout, wanted.stance)],
        earlier=[
            (side, curl_words(one)) for side in SIDES for one in standing(chosen.choice.drifts, side)[-1:]
        ],
        versions="" if plan_id.startswith(CARRIED) else f"/plans/{quote(plan_id)}/versions",
        stamp=chosen.layout.stamp,
    )


def _numbered(table: SideMarks) -> tuple[tuple[SideName, ...], str, Markup]:
    """The sides of a table, and their drawing with the numbers, by its title: she finds her curl on it."""
    title = f"{sides_title(table.sides)} with the number of each curl"
    return table.sides, title, Markup(figure_svg(strip(table), title))


def _held(wanted: Wanted) -> list[tuple[str, str]]:
    return [(name, "1") for name in ("left", "middle") if getattr(wanted, name)]
