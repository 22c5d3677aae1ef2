"""Saved plans as JSON. Each route is one call to the store; keys come in the header `Plan-Key`."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Body, FastAPI, Query, Request, Response
from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, Field

from planner.demo import demo_plan
from planner.plan import Plan
from server.access.rights import (
    LONGEST_NAME,
    AllViewable,
    AStore,
    AVisitor,
    Editable,
    Owned,
    Which,
    give,
    look,
    visitor_page,
)
from server.problems import MEDIA_TYPE, TITLES, documented
from server.store.find import LONGEST_QUERY, Page, Sort, plain
from server.store.keys import May
from server.store.versions import Conflict, Saved, Why

router = APIRouter(
    prefix="/api/plans",
    tags=["saved plans"],
    responses=documented(400, 403, 404, 408, 413, 422, 429, 503, 507),
)

Number = Annotated[int, Field(strict=True, ge=1, le=2**31 - 1)]


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class NewPlan(_Body):
    """A plan to put on the shelf."""

    plan: Plan


class ChangedPlan(_Body):
    """A plan to save, and the version it was made from."""

    plan: Plan
    base_version: Number


class WhichVersion(_Body):
    version: Number


class WhichLink(_Body):
    may: Literal["view", "edit"]
    version: Number | None = Field(
        default=None, description="A view link shows this version; without one it follows the plan."
    )
    history: bool = Field(default=False, description="Whether a view link shows every version, too.")
    whom: str = Field(default="", max_length=LONGEST_NAME, description="For whom it is.")


def _example(summary: str, value: dict[str, Any]) -> Any:
    return Body(openapi_examples={"demo": {"summary": summary, "value": value}})


DEMO = demo_plan().model_dump(mode="json")
NewBody = Annotated[NewPlan, _example("The invented demo quilt", {"plan": DEMO})]
ChangedBody = Annotated[
    ChangedPlan, _example("The demo quilt, saved from its first version", {"plan": DEMO, "base_version": 1})
]
VersionBody = Annotated[WhichVersion, _example("The first version", {"version": 1})]
LinkBody = Annotated[WhichLink, _example("A link to look", {"may": "view"})]


class SavedPlan(BaseModel):
    """A version of a saved plan. Keys are given once, when they are made; they are kept nowhere."""

    id: str
    version: int
    head: int = Field(description="The version that is the plan now.")
    base: int = Field(description="The version it was made from; 0 for the first.")
    why: Why
    saved_at: float = Field(description="Seconds since 1970, UTC.")
    by: str = Field(description="Who saved it, as she calls herself; often nobody said.")
    plan: Plan
    view_key: str | None = None
    edit_key: str | None = None
    own_key: str | None = None


class ShelfRow(BaseModel):
    id: str
    name: str
    version: int
    versions: int
    made_at: float
    changed_at: float
    deleted_at: float | None
    tags: tuple[str, ...]


class ShelfPage(BaseModel):
    plans: list[ShelfRow]
    total: int
    page: int
    pages: int


class VersionLine(BaseModel):
    version: int
    base: int
    why: Why
    saved_at: float
    by: str


class NewKeys(BaseModel):
    view_key: str
    edit_key: str
    own_key: str


class NewKey(BaseModel):
    may: May
    key: str


class LinkOut(BaseModel):
    """A link that works. key: null for one that cannot be shown again."""

    id: str
    may: May
    version: int | None
    history: bool
    made_at: float
    whom: str
    key: str | None


class ConflictProblem(BaseModel):
    """RFC 9457 problem document of a save that came second: both plans, and the version both began from."""

    type: Literal["/problems/conflict"] = "/problems/conflict"
    title: str
    status: Literal[409] = 409
    detail: str
    cure: str
    base_version: int
    mine: SavedPlan
    theirs: SavedPlan


CONFLICT: dict[int | str, dict[str, Any]] = {
    409: {
        "description": "Somebody saved since. Yours is kept aside as a version of its own.",
        "model": ConflictProblem,
    }
}


@router.get("")
def shelf(
    store: AStore,
    visitor: AVisitor,
    query: Annotated[str, Query(max_length=LONGEST_QUERY)] = "",
    sort: Sort = "newest",
    tag: Annotated[str, Query(max_length=40)] = "",
    page: Annotated[int, Query(ge=1, le=2**31 - 1)] = 1,
    deleted: bool = False,
) -> ShelfPage:
    """The plans you may look at, a page at a time."""
    return page_out(visitor_page(store, visitor, query, sort, tag, page, deleted))


@router.post("", status_code=201)
def create(body: NewBody, request: Request, response: Response, store: AStore) -> SavedPlan:
    """Put a plan on the shelf. The answer holds its three keys, for this once."""
    saved = store.create(body.plan)
    give(request, response, store, saved)
    response.headers["Location"] = f"/api/plans/{saved.id}"
    return saved_out(saved)


@router.get("/{plan_id}")
def load(plan_id: str, store: AStore, visitor: AVisitor, version: Which = None) -> SavedPlan:
    """A saved plan as your key shows it, or an earlier version of it."""
    return saved_out(look(plan_id, store, visitor, version))


@router.put("/{plan_id}", responses=CONFLICT)
def save(plan_id: Editable, body: ChangedBody, store: AStore) -> SavedPlan:
    """Save a new version. When somebody saved since `base_version`, yours is kept aside; both come back."""
    return saved_out(store.save(plan_id, body.plan, body.base_version))


@router.delete("/{plan_id}", status_code=204)
def delete(plan_id: Owned, store: AStore) -> None:
    """Move a plan to the bin."""
    store.delete(plan_id)


@router.post("/{plan_id}/undelete", status_code=204)
def undelete(plan_id: Owned, store: AStore) -> None:
    """Take a plan back from the bin."""
    store.undelete(plan_id)


@router.get("/{plan_id}/versions")
def versions(
    plan_id: AllViewable, store: AStore, page: Annotated[int, Query(ge=1, le=10_000)] = 1
) -> list[VersionLine]:
    """Its history, newest first, fifty to a page."""
    return [VersionLine(**vars(line)) for line in store.versions(plan_id, page)]


@router.post("/{plan_id}/restore")
def restore(plan_id: Editable, body: VersionBody, store: AStore) -> SavedPlan:
    """Make an earlier version, or one kept aside, the plan again: as a new version."""
    return saved_out(store.restore(plan_id, body.version))


@router.post("/{plan_id}/copy", status_code=201)
def copy(
    plan_id: str,
    request: Request,
    response: Response,
    store: AStore,
    visitor: AVisitor,
    version: Which = None,
) -> SavedPlan:
    """Copy a plan that you may look at to one of your own."""
    saved = store.duplicate(look(plan_id, store, visitor, version))
    give(request, response, store, saved)
    return saved_out(saved)


@router.post("/{plan_id}/links", status_code=201)
def link(plan_id: Owned, body: LinkBody, store: AStore) -> NewKey:
    """One more key to the plan."""
    key = store.keyring.add(plan_id, body.may, body.version, body.history, plain(body.whom))
    return NewKey(may=body.may, key=key)


@router.delete("/{plan_id}/links/{link_id}", status_code=204)
def stop_link(plan_id: Owned, link_id: str, store: AStore) -> None:
    """Stop one link; the others work on."""
    store.keyring.stop(plan_id, link_id)


@router.get("/{plan_id}/links")
def links(plan_id: Owned, store: AStore) -> list[LinkOut]:
    """Every link that works, the newest first."""
    return [LinkOut(**vars(one)) for one in store.keyring.links(plan_id)]


@router.post("/{plan_id}/keys")
def renew(plan_id: Owned, request: Request, response: Response, store: AStore) -> NewKeys:
    """Stop every link of the plan and make three new ones."""
    saved = store.load(plan_id)
    keys = store.renew_keys(plan_id)
    give(request, response, store, saved.with_keys(keys))
    return NewKeys(view_key=keys.view, edit_key=keys.edit, own_key=keys.own)


def page_out(page: Page) -> ShelfPage:
    """A page of the shelf as it leaves."""
    rows = [ShelfRow(**{name: getattr(row, name) for name in ShelfRow.model_fields}) for row in page.rows]
    return ShelfPage(plans=rows, total=page.total, page=page.page, pages=page.pages)


def saved_out(saved: Saved) -> SavedPlan:
    """A saved plan as it leaves."""
    return SavedPlan(**vars(saved))


def add_conflict_handler(app: FastAPI) -> None:
    """A save that came second is answered with both plans."""

    @app.exception_handler(Conflict)
    async def conflict(request: Request, told: Conflict) -> JSONResponse:
        problem = ConflictProblem(
            title=TITLES[409],
            detail=told.message,
            cure=told.cure,
            base_version=told.base,
            mine=saved_out(told.mine),
            theirs=saved_out(told.theirs),
        )
        return JSONResponse(problem.model_dump(mode="json"), 409, media_type=MEDIA_TYPE)
