"""The shelf: all plans with their pictures; search, sort, tags, pages; plans brought in and taken along."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from typing import Annotated
from urllib.parse import urlencode, urlsplit

from fastapi import APIRouter, File, Form, Query, Request, UploadFile
from fastapi.responses import RedirectResponse, Response, StreamingResponse

from server.access.rights import (
    AStore,
    AVisitor,
    Visitor,
    give,
    give_all,
    renew_ring,
    ring_from_before,
    visitor_page,
    visitor_shelf,
)
from server.html import render
from server.store.archive import read_shelf, write_shelf
from server.store.fetch import plan_in_link
from server.store.find import LONGEST_QUERY, Sort
from server.store.links import pack
from server.store.planfile import PlanFileError, read_plan_file

router = APIRouter(include_in_schema=False)
SORTS: dict[Sort, str] = {"newest": "changed last", "oldest": "changed first", "name": "by name"}


@router.get("/shelf")
def shelf(
    request: Request,
    store: AStore,
    visitor: AVisitor,
    query: Annotated[str, Query(max_length=LONGEST_QUERY)] = "",
    sort: Sort = "newest",
    tag: Annotated[str, Query(max_length=40)] = "",
    page: Annotated[int, Query(ge=1, le=2**31 - 1)] = 1,
    bin: bool = False,
    binned: Annotated[str, Query(max_length=20)] = "",
    brought: Annotated[int | None, Query(ge=0, le=10**6)] = None,
    already: Annotated[int, Query(ge=0, le=10**6)] = 0,
) -> Response:
    """A page of the shelf, or of its bin."""
    if ring_from_before(request):
        here = RedirectResponse("/shelf", 303)
        renew_ring(request, here, store)
        return here
    found = visitor_page(store, visitor, query, sort, tag, page, bin)
    asked = {"query": query, "sort": sort if sort != "newest" else "", "tag": tag, "bin": "1" if bin else ""}
    asked = {name: text for name, text in asked.items() if text}
    return render(
        "shelf.html",
        found=found,
        query=query,
        sort=sort,
        sorts=SORTS,
        tag=tag,
        tags=store.tags(ring=_ring(visitor)),
        bin=bin,
        in_bin=visitor_page(store, visitor, "", "newest", "", 1, True).total,
        binned=binned if visitor.may(store, binned) == "own" else "",
        brought=brought,
        already=already,
        owner=visitor.owner,
        sees_all=_ring(visitor) is None,
        read_only=store.database.read_only,
        to_page=lambda number: "/shelf?" + urlencode({**asked, "page": number}),
        with_tag=lambda word: "/shelf?" + urlencode({**asked, "tag": word}),
    )


@router.get("/shelf.zip")
def take(store: AStore, visitor: AVisitor) -> Response:
    """The whole shelf, every version that she may look at, as one archive."""
    out = tempfile.TemporaryFile()  # noqa: SIM115 - closed when it has been sent
    shown = visitor_shelf(store, visitor)
    write_shelf(store, ((row.id, None if row.history else row.version) for row in shown), out)
    out.seek(0)

    def chunks() -> Iterator[bytes]:
        with out:
            while chunk := out.read(1 << 16):
                yield chunk

    headers = {"Content-Disposition": 'attachment; filename="shelf.zip"', "Cache-Control": "no-store"}
    return StreamingResponse(chunks(), media_type="application/zip", headers=headers)


@router.post("/shelf/bring")
def bring(
    request: Request,
    store: AStore,
    visitor: AVisitor,
    link: Annotated[str, Form(max_length=9000)] = "",
    file: Annotated[UploadFile | None, File()] = None,
) -> Response:
    """Put a plan file or a shelf archive on the shelf, or open a link. Raises PlanFileError."""
    raw = file.file.read() if file is not None else b""
    if raw.startswith(b"PK"):
        brought = read_shelf(store, raw)
        there = RedirectResponse(f"/shelf?brought={brought.plans}&already={brought.already}", 303)
        give_all(request, there, store, brought.saved)
        return there
    if raw:
        saved = store.create(read_plan_file(raw), visitor.name)
        there = RedirectResponse(f"/plans/{saved.id}", 303)
        give(request, there, store, saved)
        return there
    return RedirectResponse(_way(request, link), 303)


def _way(request: Request, link: str) -> str:
    """Where a link leads within this planner. Raises PlanFileError for a link to another one."""
    plan = plan_in_link(link)
    if plan is not None:
        return f"/open?plan={pack(plan)}"
    parts = urlsplit(link.strip())
    if parts.netloc == request.url.netloc and parts.path.startswith("/plans/"):
        return parts.path + (f"?{parts.query}" if parts.query else "")
    if parts.scheme in {"http", "https"} and "/plans/" in parts.path:
        raise PlanFileError(
            "This plan is kept on another planner.",
            cure="Open the link in a browser, or at your own machine type: python3 -m server fetch LINK",
        )
    raise PlanFileError(
        "This is not a link to a plan.", cure="Paste the whole link, or choose a plan file or an archive."
    )


def _ring(visitor: Visitor) -> str | None:
    return None if visitor.looks_at_all or visitor.owner else (visitor.ring or "")
