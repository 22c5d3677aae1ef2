"""Saving from the workbench, and opening a saved plan there."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from planner.plan import Plan
from planner.solver.choose import settled
from server.access.rights import (
    AStore,
    AVisitor,
    Viewable,
    Which,
    give,
    hold,
    look,
    opened,
    visitor_of,
)
from server.pages import forms
from server.pages.savebar import SaveBar, differs, savebar_of
from server.pages.workbench_page import workbench_page
from server.solving import layout_ready, proposals_ready
from server.store.database import StorageTrouble
from server.store.versions import Conflict, Store, copy_of

router = APIRouter(include_in_schema=False)
MOST_FIELDS = 200
KEPT = {
    "link": "This link was stopped. Your work is kept as a plan of your own.",
    "bin": "That plan is in the bin. Your work is kept as a plan of its own.",
}


@router.get("/plans/{plan_id}")
async def open_plan(
    request: Request,
    plan_id: Viewable,
    store: AStore,
    visitor: AVisitor,
    version: Which = None,
    key: Annotated[str, Query(max_length=100)] = "",
    kept: Annotated[str, Query(max_length=10)] = "",
) -> Response:
    """A saved plan on the workbench. A link's key goes onto the browser's ring and out of the address.

    kept: why what she was about to save elsewhere is kept here instead (KEPT).
    """
    if key and not visitor.owner:
        shown = await run_in_threadpool(store.keyring.opens, plan_id, key=key)
        one = f"?version={max(shown.versions)}" if shown and shown.versions else ""
        clean = RedirectResponse(f"/plans/{plan_id}{one}", 303)
        try:
            await run_in_threadpool(hold, request, clean, store, plan_id, key)
            return clean
        except StorageTrouble:
            pass  # nothing can be kept just now, but the key in the address opens the plan all the same
    saved = await run_in_threadpool(look, plan_id, store, visitor, version)
    opens = await run_in_threadpool(opened, plan_id, store, visitor)
    savebar = SaveBar(plan_id, saved.version, saved.head, saved.head, opens, word=KEPT.get(kept, ""))
    await proposals_ready(request, saved.plan)
    return await run_in_threadpool(workbench_page, forms.values_of(saved.plan), savebar=savebar)


async def form_texts(request: Request) -> dict[str, str]:
    """The texts of a posted form, its plan solved; files and repeated fields are left out."""
    async with request.form(max_files=0, max_fields=MOST_FIELDS) as form:
        texts = {name: text for name, text in form.items() if isinstance(text, str)}
    plan = (await run_in_threadpool(forms.read, texts)).plan
    if plan is not None:
        await layout_ready(request, plan)
    return texts


@router.post("/plans")
def save(request: Request, store: AStore, values: Annotated[dict[str, str], Depends(form_texts)]) -> Response:
    """Save what lies on the workbench: as the next version of its plan, or as a plan of its own."""
    another = values.get("as") == "another" or not values.get("plan")
    savebar = None if another else savebar_of(request, values)
    plan = forms.read(values).plan
    if plan is None:
        return workbench_page(values, savebar=savebar, status=422)
    plan = settled(plan)
    if another:
        return _save_new(request, store, plan)
    if savebar is None or savebar.may == "view":
        return _save_new(request, store, copy_of(plan), kept=_lost(request, store, values["plan"]))
    here, name = f"/plans/{savebar.plan_id}", visitor_of(request).name
    stored = store.load(savebar.plan_id, savebar.version)
    if savebar.older and not savebar.overtaken and not differs(plan, stored.plan):
        store.restore(savebar.plan_id, savebar.version, name)
        return RedirectResponse(here, 303)
    tagged = plan.model_copy(update={"tags": stored.plan.tags})
    try:
        store.save(savebar.plan_id, tagged, savebar.version, onto=savebar.onto, by=name)
    except Conflict as conflict:
        return RedirectResponse(f"{here}/compare?one={conflict.mine.version}&mine=1", 303)
    return RedirectResponse(here, 303)


def _lost(request: Request, store: Store, plan_id: str) -> str:
    """Why she may not save that plan, having had it before her (a name in KEPT)."""
    may = visitor_of(request).may(store, plan_id)
    return "bin" if may in ("edit", "own") else "link"


def _save_new(request: Request, store: Store, plan: Plan, kept: str = "") -> Response:
    saved = store.create(plan, visitor_of(request).name)
    there = RedirectResponse(f"/plans/{saved.id}" + (f"?kept={kept}" if kept else ""), 303)
    give(request, there, store, saved)
    return there
