"""The versions of a plan: looked at, compared by picture, taken up again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from planner.plan import Plan
from server.access.rights import AStore, AVisitor, Editable, Viewable
from server.api.plans import Which
from server.html import render
from server.pages.forms import LABELS, values_of
from server.pages.pictures import View, picture_of
from server.pages.stamps import stamp_on
from server.solving import layout_ready
from server.store.versions import Conflict, Saved, Version
from server.workers import workers_of

router = APIRouter(include_in_schema=False)
ROWS = 20
_FOR_GOOD = {"Cache-Control": "private, max-age=31536000, immutable"}
Number = Annotated[int, Query(ge=1, le=2**31 - 1)]


@dataclass(frozen=True)
class Difference:
    """A measure in which two versions differ, in her words."""

    label: str
    one: str
    other: str


@router.get("/plans/{plan_id}/picture.svg")
async def picture(
    request: Request, plan_id: Viewable, store: AStore, version: Which = None, view: View = "small"
) -> Response:
    """The picture of a version; kept by the browser when the version is named, for it never changes."""
    plan = (await run_in_threadpool(store.load, plan_id, version)).plan
    if view == "small":
        await layout_ready(request, plan)
        drawn = await run_in_threadpool(picture_of, plan, view)
    else:
        drawn = await workers_of(request).answer(request, picture_of, plan, view)
    return Response(drawn, media_type="image/svg+xml", headers=_FOR_GOOD if version else {})


@router.get("/plans/{plan_id}/versions")
def versions(
    plan_id: Viewable, store: AStore, visitor: AVisitor, page: Annotated[int, Query(ge=1, le=10_000)] = 1
) -> HTMLResponse:
    """Its history with pictures, newest first."""
    head = store.load(plan_id)
    lines = store.versions(plan_id, page, ROWS + 1)
    return render(
        "versions.html",
        head=head,
        lines=[(line, words(line)) for line in lines[:ROWS]],
        page=page,
        more=len(lines) > ROWS,
        may_change=visitor.may(store, plan_id) in ("edit", "own"),
    )


@router.get("/plans/{plan_id}/compare")
def compare(plan_id: Viewable, store: AStore, visitor: AVisitor, one: Number, other: Number) -> HTMLResponse:
    """Two versions beside each other."""
    left, right = store.load(plan_id, one), store.load(plan_id, other)
    return _compared(left, right, store.load(plan_id).version, visitor.may(store, plan_id) in ("edit", "own"))


@router.post("/plans/{plan_id}/restore")
def restore(plan_id: Editable, store: AStore, version: Annotated[int, Form(ge=1, le=2**31 - 1)]) -> Response:
    """Make a version the plan again."""
    store.restore(plan_id, version)
    return RedirectResponse(f"/plans/{plan_id}", 303)


def conflict_page(conflict: Conflict) -> HTMLResponse:
    """The page for whoever saved second: both plans, nothing lost, hers to choose."""
    return _compared(conflict.mine, conflict.theirs, conflict.theirs.version, True, conflict)


def words(line: Version | Saved) -> str:
    """How a version came to be."""
    by: dict[Literal["made", "saved", "restored", "aside"], str] = {
        "made": "put on the shelf",
        "saved": f"saved, from version {line.base}",
        "restored": f"version {line.base} taken up again",
        "aside": f"kept beside, from version {line.base}: somebody else had saved first",
    }
    return by[line.why]


def differences(one: Plan, other: Plan) -> list[Difference]:
    """Everything the workbench would show differently."""
    here, there = values_of(one), values_of(other)
    here["tags"], there["tags"] = ", ".join(one.tags), ", ".join(other.tags)
    return [
        Difference(_label(name), here[name] or "–", there[name] or "–")
        for name in here
        if here[name] != there[name] and name != "choice"
    ] + ([] if one.choice == other.choice else [_choices(one, other)])


def _choices(one: Plan, other: Plan) -> Difference:
    return Difference("The curls", _choice(one), _choice(other))


def _choice(plan: Plan) -> str:
    from server.pages.words import circle_in_words, counts_in_words, middle_in_words

    if plan.choice is None:
        return "none chosen"
    choice = plan.choice
    return (
        f"{counts_in_words(plan, choice)}, {circle_in_words(choice, plan.units)}, {middle_in_words(choice)}"
    )


def _label(name: str) -> str:
    plain = {"units": "Inches or millimetres", "fill.kind": "Fill", "corner": "Corners", "run": "Curls"}
    plain |= {
        "meeting": "Middle of a side",
        "seed": "Variation",
        "cut_own": "Cuts own templates",
        "tags": "Tags",
    }
    plain |= {"look.cloth": "Centre cloth", "look.border": "Border cloth", "look.thread": "Thread"}
    return plain.get(name) or LABELS.get(name, name).removeprefix("the ").capitalize()


def _compared(
    left: Saved, right: Saved, head: int, may_change: bool, conflict: Conflict | None = None
) -> HTMLResponse:
    return render(
        "two_versions.html",
        409 if conflict else 200,
        left=left,
        right=right,
        head=head,
        may_change=may_change,
        conflict=conflict,
        words={saved.version: words(saved) for saved in (left, right)},
        stamps={saved.version: stamp_on(saved.plan) for saved in (left, right)},
        differences=differences(left.plan, right.plan),
    )
