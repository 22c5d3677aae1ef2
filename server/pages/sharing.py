"""Keep and share: one plan's links, files, tags, copies and bin."""

from __future__ import annotations

import io
import re
from typing import Annotated, Literal

import segno
from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool

from server.access.rights import AStore, AVisitor, Editable, Owned, Viewable, Which, give
from server.html import attachment, render
from server.pages.forms import values_of
from server.pages.stamps import stamp_on
from server.pages.workbench_page import workbench_page
from server.solving import proposals_ready
from server.store.find import plain
from server.store.keys import Keys, May
from server.store.links import LinkError, pack, unpack
from server.store.planfile import write_plan_file
from server.store.versions import Store

router = APIRouter(include_in_schema=False)
_NEVER_KEPT = {"Cache-Control": "no-store"}


@router.get("/plans/{plan_id}/share")
def share(request: Request, plan_id: Viewable, store: AStore, visitor: AVisitor) -> HTMLResponse:
    """What can be done with a plan beside drawing it."""
    return _page(request, store, plan_id, visitor.may(store, plan_id) or "view")


@router.post("/plans/{plan_id}/links")
def new_link(
    request: Request, plan_id: Owned, store: AStore, may: Annotated[Literal["view", "edit"], Form()]
) -> HTMLResponse:
    """One more link, shown this once."""
    key = store.keyring.add(plan_id, may)
    return _page(request, store, plan_id, "own", links={may: _link(request, plan_id, key)})


@router.post("/plans/{plan_id}/keys")
def renew(request: Request, plan_id: Owned, store: AStore) -> HTMLResponse:
    """Stop all links and show two new ones."""
    saved = store.load(plan_id)
    keys: Keys = store.renew_keys(plan_id)
    links = {"view": _link(request, plan_id, keys.view), "edit": _link(request, plan_id, keys.edit)}
    page = _page(request, store, plan_id, "own", links=links, renewed=True)
    give(request, page, store, saved.with_keys(keys))
    return page


@router.post("/plans/{plan_id}/tags")
def tag(plan_id: Editable, store: AStore, tags: Annotated[str, Form(max_length=1000)] = "") -> Response:
    """Give the plan other tags: words with commas between them."""
    wanted = tuple(dict.fromkeys(filter(None, (plain(word)[:40] for word in re.split(r"[,;\n]", tags)))))[:20]
    saved = store.load(plan_id)
    if wanted != saved.plan.tags:
        store.save(plan_id, saved.plan.model_copy(update={"tags": wanted}), saved.version)
    return RedirectResponse(f"/plans/{plan_id}/share", 303)


@router.post("/plans/{plan_id}/copy")
def copy(request: Request, plan_id: Viewable, store: AStore, version: Which = None) -> Response:
    """Copy to one's own."""
    saved = store.duplicate(plan_id, version)
    there = RedirectResponse(f"/plans/{saved.id}", 303)
    give(request, there, store, saved)
    return there


@router.post("/plans/{plan_id}/delete")
def delete(plan_id: Owned, store: AStore) -> Response:
    """Into the bin."""
    store.delete(plan_id)
    return RedirectResponse(f"/shelf?binned={plan_id}", 303)


@router.post("/plans/{plan_id}/undelete")
def undelete(plan_id: Owned, store: AStore) -> Response:
    """Out of the bin."""
    store.undelete(plan_id)
    return RedirectResponse("/shelf", 303)


@router.get("/plans/{plan_id}/plan.json")
def plan_file(plan_id: Viewable, store: AStore, version: Which = None) -> Response:
    """The plan as a file."""
    plan = store.load(plan_id, version).plan
    headers = attachment(plan.name, "json", stamp_on(plan)) | _NEVER_KEPT
    return Response(write_plan_file(plan), media_type="application/json", headers=headers)


@router.get("/open")
async def open_carried(request: Request, plan: Annotated[str, Query(max_length=9000)] = "") -> Response:
    """The workbench with the plan that the link itself carries. Raises LinkError."""
    if not plan:
        raise LinkError("This link carries no plan.", cure="Copy the whole link again.")
    unpacked = await run_in_threadpool(unpack, plan)
    await proposals_ready(request, unpacked)
    return await run_in_threadpool(workbench_page, values_of(unpacked))


def qr_code(words: str) -> Markup:
    """A QR code as SVG without styles of its own. Raises ValueError when it is more than a code holds."""
    code = segno.make(words, error="l" if len(words) > 300 else "m")
    out = io.BytesIO()
    code.save(out, kind="svg", xmldecl=False, omitsize=True, light="#ffffff", svgclass="qr", lineclass=None)
    return Markup(out.getvalue().decode())


def _link(request: Request, plan_id: str, key: str) -> str:
    return f"{_here(request)}/plans/{plan_id}?key={key}"


def _here(request: Request) -> str:
    return str(request.base_url).rstrip("/")


def _page(
    request: Request,
    store: Store,
    plan_id: str,
    may: May,
    *,
    links: dict[str, str] | None = None,
    renewed: bool = False,
) -> HTMLResponse:
    saved = store.load(plan_id)
    carrying = f"{_here(request)}/open?plan={pack(saved.plan)}"
    try:
        code: Markup | None = qr_code(carrying)
    except ValueError:
        code = None  # more than a QR code holds
    shown = {kind: (link, qr_code(link)) for kind, link in (links or {}).items()}
    page = render(
        "share.html", saved=saved, may=may, links=shown, renewed=renewed, carrying=carrying, code=code,
        stamp=stamp_on(saved.plan),
        at_home=request.url.hostname in {"localhost", "127.0.0.1", "::1"},
    )  # fmt: skip
    page.headers.update(_NEVER_KEPT)
    return page
