"""The versions of a plan: looked at, compared by picture, taken up again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from server.access.rights import AllViewable, AStore, AVisitor, Editable, Which, look
from server.html import render
from server.pages.pictures import View, picture_of
from server.pages.stamps import stamp_on
from server.pages.two_versions import changes_in_words, two_versions_page, words
from server.solving import layout_ready
from server.worker import Overload
from server.workers import workers_of

router = APIRouter(include_in_schema=False)
ROWS = 20
_FOR_NOW: Mapping[str, str] = {}
_FOR_GOOD: Mapping[str, str] = {"Cache-Control": "private, max-age=31536000, immutable"}
Number = Annotated[int, Query(ge=1, le=2**31 - 1)]


@router.get("/plans/{plan_id}/picture.svg")
async def picture(
    request: Request,
    plan_id: str,
    store: AStore,
    visitor: AVisitor,
    version: Which = None,
    view: View = "small",
) -> Response:
    """The picture of a version; kept by the browser when the version is named, for it never changes."""
    plan = (await run_in_threadpool(look, plan_id, store, visitor, version)).plan
    status, headers = 200, _FOR_GOOD if version else _FOR_NOW
    try:
        if view != "small":
            drawn = await workers_of(request).answer(request, picture_of, plan, view)
            return Response(drawn, media_type="image/svg+xml", headers=headers)
    except Overload as why:
        if view == "whole":
            raise
        status, headers = why.status, why.headers  # without its fill, at least until the page asks again
    await layout_ready(request, plan)
    drawn = await run_in_threadpool(picture_of, plan, "small")
    return Response(drawn, status, headers, "image/svg+xml")


@router.get("/plans/{plan_id}/versions")
def versions(
    plan_id: AllViewable, store: AStore, visitor: AVisitor, page: Annotated[int, Query(ge=1, le=10_000)] = 1
) -> HTMLResponse:
    """Its history with pictures, newest first."""
    head = store.load(plan_id)
    lines = store.versions(plan_id, page, ROWS + 1)
    shown = {n for line in lines[:ROWS] for n in (line.version, line.base) if n}
    plans = {n: store.load(plan_id, n).plan for n in shown}
    return render(
        "versions.html",
        head=head,
        lines=[
            (
                line,
                words(line, plans[line.version], plans.get(line.base)),
                changes_in_words(plans[line.base], plans[line.version]) if line.base in plans else "",
                stamp_on(plans[line.version]) if plans[line.version].choice else "",
            )
            for line in lines[:ROWS]
        ],
        page=page,
        more=len(lines) > ROWS,
        may_change=visitor.may(store, plan_id) in ("edit", "own"),
    )


@router.get("/plans/{plan_id}/compare")
def compare(
    plan_id: AllViewable,
    store: AStore,
    visitor: AVisitor,
    one: Number,
    other: Annotated[int | None, Query(ge=1, le=2**31 - 1)] = None,
    mine: bool = False,
) -> HTMLResponse:
    """Two versions beside each other: with the plan as it is now where no other is named.

    mine: the first is what she was about to save when somebody else had saved; until she has made it the plan.
    """
    left, right = store.load(plan_id, one), store.load(plan_id, other)
    second = mine and left.why == "aside" and right.base != left.version
    may_change = visitor.may(store, plan_id) in ("edit", "own")
    return two_versions_page(left, right, store.load(plan_id).version, may_change, second)


@router.post("/plans/{plan_id}/restore")
def restore(
    plan_id: Editable, store: AStore, visitor: AVisitor, version: Annotated[int, Form(ge=1, le=2**31 - 1)]
) -> Response:
    """Make a version the plan again."""
    store.restore(plan_id, version, visitor.name)
    return RedirectResponse(f"/plans/{plan_id}", 303)
