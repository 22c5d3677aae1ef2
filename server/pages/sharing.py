"""Keep and share: one plan's links, files, tags, copies and bin."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from typing import Annotated, Literal

import segno
from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool

from server.access.rights import (
    LONGEST_NAME,
    AStore,
    AVisitor,
    Editable,
    Owned,
    Which,
    give,
    look,
    opened,
    settings_of,
)
from server.html import attachment, render
from server.pages.forms import values_of
from server.pages.stamps import stamp_on
from server.pages.workbench_page import workbench_page
from server.solving import proposals_ready
from server.store.find import plain
from server.store.keys import Link, May
from server.store.links import LinkError, pack, unpack
from server.store.planfile import write_plan_file

router = APIRouter(include_in_schema=False)
MOST_CODES = 10  # the newest of her links have one each
DONE = {
    "renewed": "All earlier links have stopped. These are the new ones.",
    "stopped": "That link has stopped.",
}
TITLES: dict[May, str] = {"view": "View link", "edit": "Edit link"}
NOTES: dict[May, str] = {
    "view": "Whoever has it can look, print, export and copy. Never change.",
    "edit": "Whoever has it can change this plan, too. Every change is a new version: nothing of yours is lost.",
}
_NEVER_KEPT = {"Cache-Control": "no-store"}


@router.get("/plans/{plan_id}/share")
def share(
    request: Request,
    plan_id: str,
    store: AStore,
    visitor: AVisitor,
    done: Annotated[str, Query(max_length=10)] = "",
) -> HTMLResponse:
    """What can be done with a plan beside drawing it; to its owner, the links she handed out.

    done: what was done a moment ago (a name in DONE).
    """
    opens, saved = opened(plan_id, store, visitor), look(plan_id, store, visitor)
    carrying = f"{_here(request)}/open?plan={pack(saved.plan)}"
    try:
        code: Markup | None = qr_code(carrying)
    except ValueError:
        code = None  # more than a QR code holds
    links = store.keyring.links(plan_id) if opens.may == "own" else ()
    page = render(
        "share.html",
        saved=saved,
        opens=opens,
        may=opens.may,
        links=[_shown(request, plan_id, link, n < MOST_CODES) for n, link in enumerate(links)],
        shows=None if opens.history else shown_in_words(None if opens.follows else saved.version, False),
        done=DONE.get(done, ""),
        carrying=carrying,
        code=code,
        stamp=stamp_on(saved.plan),
        name=visitor.name,
        by_keys=not visitor.owner,
        at_home=not settings_of(request).guild and request.url.hostname in {"localhost", "127.0.0.1", "::1"},
    )
    page.headers.update(_NEVER_KEPT)
    return page


@router.post("/plans/{plan_id}/links")
def new_link(
    plan_id: Owned,
    store: AStore,
    may: Annotated[Literal["view", "edit"], Form()],
    shows: Annotated[Literal["plan", "version"], Form()] = "plan",
    version: Annotated[int | None, Form(ge=1, le=2**31 - 1)] = None,
    history: Annotated[bool, Form()] = False,
    whom: Annotated[str, Form(max_length=200)] = "",
) -> Response:
    """One more link: a view link shows that version or follows the plan, and every version if she says so.

    whom: for whom it is, if she likes.
    """
    store.keyring.add(
        plan_id, may, version if shows == "version" else None, history, plain(whom)[:LONGEST_NAME]
    )
    return RedirectResponse(f"/plans/{plan_id}/share#links-title", 303)


@router.post("/plans/{plan_id}/links/stop")
def stop_link(plan_id: Owned, store: AStore, link: Annotated[str, Form(max_length=64)]) -> Response:
    """Stop one link."""
    store.keyring.stop(plan_id, link)
    return RedirectResponse(f"/plans/{plan_id}/share?done=stopped#links-title", 303)


@router.post("/plans/{plan_id}/keys")
def renew(request: Request, plan_id: Owned, store: AStore) -> Response:
    """Stop all links and make two new ones."""
    saved = store.load(plan_id)
    there = RedirectResponse(f"/plans/{plan_id}/share?done=renewed#links-title", 303)
    give(request, there, store, saved.with_keys(store.renew_keys(plan_id)))
    return there


@router.post("/plans/{plan_id}/tags")
def tag(
    plan_id: Editable, store: AStore, visitor: AVisitor, tags: Annotated[str, Form(max_length=1000)] = ""
) -> Response:
    """Give the plan other tags: words with commas between them."""
    wanted = tuple(dict.fromkeys(filter(None, (plain(word)[:40] for word in re.split(r"[,;\n]", tags)))))[:20]
    saved = store.load(plan_id)
    if wanted != saved.plan.tags:
        tagged = saved.plan.model_copy(update={"tags": wanted})
        store.save(plan_id, tagged, saved.version, by=visitor.name)
    return RedirectResponse(f"/plans/{plan_id}/share", 303)


@router.post("/plans/{plan_id}/copy")
def copy(request: Request, plan_id: str, store: AStore, visitor: AVisitor, version: Which = None) -> Response:
    """Copy to one's own."""
    saved = store.duplicate(look(plan_id, store, visitor, version), visitor.name)
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
def plan_file(plan_id: str, store: AStore, visitor: AVisitor, version: Which = None) -> Response:
    """The plan as a file."""
    plan = look(plan_id, store, visitor, version).plan
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


@dataclass(frozen=True)
class Shown:
    """A link as its owner sees it. title: what it is, and for whom; note: what it shows and lets its bearer do;
    address: '' where it cannot be shown again.
    """

    id: str
    title: str
    note: str
    made_at: float
    address: str
    code: Markup | None


def _shown(request: Request, plan_id: str, link: Link, coded: bool) -> Shown:
    """A link; with its code where one is wanted."""
    title = TITLES[link.may] + ("" if link.version is None else f" to version {link.version}")
    title += f" for {link.whom}" if link.whom else ""
    note = NOTES[link.may] + (f" {shown_in_words(link.version, link.history)}" if link.may == "view" else "")
    if link.key is None:
        return Shown(
            link.id, title, f"{note} It is from before, and cannot be shown again.", link.made_at, "", None
        )
    address = _link(request, plan_id, link.key)
    return Shown(link.id, title, note, link.made_at, address, qr_code(address) if coded else None)


def shown_in_words(version: int | None, history: bool) -> str:
    """What a view link shows, as its page says it."""
    what = (
        "It follows the plan" if version is None else f"It shows version {version}, whatever is saved later"
    )
    return f"{what}; {'and every version, too' if history else 'no other versions'}."
