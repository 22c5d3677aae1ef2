"""Which circle to buy or cut next: for the plan in the address, and for most of the plans on her shelf."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated
from urllib.parse import urlencode

import numpy as np
from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool

from planner.border.circles import diameters_of, sizes_in_words
from planner.border.layout import Layout
from planner.border.said import touch
from planner.errors import PlanError
from planner.geometry.arrays import SAME_IN
from planner.lengths import finer_length, format_length, mark_at_most
from planner.pictures.card import card_picture
from planner.plan import Plan, Units
from planner.solver import Proposal, choose, propose
from planner.solver.buying import NextCircle, next_circles, one_or_two, serving_most
from planner.solver.changes import apply_change
from planner.solver.weights import crowded
from server.access.rights import AStore, AVisitor, visitor_page
from server.html import render
from server.pages import differs
from server.pages.address import origin, plan_address, query_of
from server.pages.cards import small_of
from server.pages.forms import choice_text, look_of_form
from server.pages.stamps import stamp_on
from server.problems import Trouble
from server.solving import proposals_ready
from server.store.find import Row
from server.store.links import pack
from server.store.versions import Store
from server.worker import Overload
from server.workers import workers_of

router = APIRouter(include_in_schema=False)

MOST_PLANS = 24  # of the shelf, those changed last: each takes a fifth of a second the first time
SEEN_CROWDING = 0.3  # of the way from open curls to curls of a row that touch
SEEN_IN = 1 / 64  # of air between circles
SEEN_REACH_IN = 1 / 8  # of a plume
SEEN_ERROR_IN = 1 / 16  # of what a measure may be wrong


@dataclass(frozen=True)
class Size:
    """One size for the plan: how it would look, what is better; where it is taken, where it is printed."""

    name: str
    picture: str
    better: str
    take: str
    templates: str


@dataclass(frozen=True)
class Owned:
    """A circle of her tin, and whether it is drawn round for this border. radius: of the largest a hundred."""

    name: str
    radius: int
    used: bool


@dataclass(frozen=True)
class Served:
    """One size for the shelf, and the plans it would better (id and name of each)."""

    name: str
    plans: tuple[tuple[str, str], ...]


@router.get("/circles")
async def circles_page(
    request: Request, store: AStore, visitor: AVisitor, shelf: Annotated[str, Query(max_length=9)] = ""
) -> HTMLResponse:
    """The one or two sizes that would better this plan most, and, where she asks, those for her shelf."""
    texts = dict(request.query_params)
    found = await run_in_threadpool(plan_address, texts)
    troubles, sizes = list(found.troubles.values()), tuple[Size, ...]()
    tin, lies, said = tuple[Owned, ...](), None, ""
    if found.plan:
        await proposals_ready(request, found.plan)
        try:
            now = (propose(found.plan).proposals or (None,))[0]
            layout = choose(found.plan).layout if now else None
            tin = _tin(found.plan, layout)
            if layout:
                lies, said = small_of(layout.plan, layout.choice), sizes_in_words(layout)
            better = await workers_of(request).answer(request, better_sizes, found.plan.model_dump_json())
            sizes = tuple(_size(found.plan, now, one, origin(texts)) for one in one_or_two(better))
        except Overload:
            raise
        except PlanError as error:
            troubles.append(Trouble.of(error))
    rows = visitor_page(store, visitor, "", "newest", "", 1, False).rows[:MOST_PLANS]
    served: tuple[Served, ...] = ()
    if shelf:
        worth = [await _worth(request, await run_in_threadpool(_plan_of, store, row)) for row in rows]
        units = found.plan.units if found.plan else "in"
        served = tuple(_served(rows, one.diameter_in, one.plans, units) for one in serving_most(worth))
    return render(
        "circles.html",
        address=found,
        look=look_of_form(found.texts),
        stamp=await run_in_threadpool(stamp_on, found.plan),
        troubles=troubles,
        sizes=sizes,
        tin=tin,
        lies=lies,
        said=said,
        cuts=bool(found.plan and found.plan.cut_own),
        many=len(rows),
        looked=bool(shelf),
        served=served,
        look_through="/circles?" + urlencode({**found.texts, "shelf": "1"}) + "#shelf",
    )


def better_sizes(plan_json: str) -> tuple[NextCircle, ...]:
    """The sizes that would better a plan, best first: a fifth of a second of work. Raises PlanError."""
    plan = Plan.model_validate_json(plan_json)
    return next_circles(plan, (propose(plan).proposals or (None,))[0])


def _plan_of(store: Store, row: Row) -> Plan | None:
    """A plan on the shelf; None for one that a newer planner made, which this one cannot read."""
    try:
        return store.load(row.id, row.version).plan
    except (PlanError, ValueError):
        return None


async def _worth(request: Request, plan: Plan | None) -> Mapping[float, float]:
    """What each size is worth to a plan on the shelf; nothing to one that cannot be solved."""
    if plan is None:
        return {}
    try:
        better = await workers_of(request).answer(request, better_sizes, plan.model_dump_json())
    except Overload:
        raise
    except PlanError:
        return {}
    return {one.diameter_in: one.worth for one in better}


def _tin(plan: Plan, layout: Layout | None) -> tuple[Owned, ...]:
    """Her circles, the smallest first. layout: the border that lies on the workbench, if any does."""
    drawn = diameters_of(layout) if layout else []
    return tuple(
        Owned(
            format_length(size, plan.units),
            round(100 * size / max(plan.tin_in)),
            any(abs(size - one) < SAME_IN for one in drawn),
        )
        for size in sorted(plan.tin_in)
    )


def _size(plan: Plan, now: Proposal | None, one: NextCircle, of: Mapping[str, str]) -> Size:
    choice = one.proposal.choice
    with_it = apply_change(plan, {"tin_in": tuple(sorted((*plan.tin_in, one.diameter_in)))})
    taken = {**query_of(with_it), "choice": choice_text(choice), **of}
    packed = pack(with_it.model_copy(update={"choice": choice}))
    return Size(
        format_length(one.diameter_in, plan.units),
        Markup(card_picture(plan, choice)),
        better_in_words(now, one.proposal, plan.units),
        f"/?{urlencode(taken)}",
        f"/plans/{packed}/making/templates.pdf?all=1",
    )


def better_in_words(now: Proposal | None, then: Proposal, units: Units) -> str:
    """What a circle more makes better, with figures; what changes in the look, where none of these does."""
    if now is None:
        return "With it the border lands; with those you have nothing does."
    found = []
    gap, its = (max(ease.gap for ease in one.ease.values()) for one in (now, then))
    if its < gap - SEEN_IN:
        stand = "touch" if touch(its) else f"stand {finer_length(its, units)} apart"
        found.append(f"the circles {stand}, where they now stand {finer_length(gap, units)} apart")
    if then.reach < now.reach - SEEN_REACH_IN:
        found.append(
            f"shapes to {format_length(then.reach, units)} fill it, now {format_length(now.reach, units)}"
        )
    error, its = (mark_at_most(min(one.one_side.short, one.one_side.long), units) for one in (now, then))
    if its > error + SEEN_ERROR_IN:
        before = f"by {format_length(error, units)}" if error > 0 else "not at all"
        found.append(f"a side may be measured wrong by {format_length(its, units)}, now {before}")
    if _crowding(then) < _crowding(now) - SEEN_CROWDING:
        found.append("the curls of a row lie open, where they now crowd")
    if then.level and not now.level:
        found.append("the run is level")
    words = ", and ".join(found) or differs.from_before(now, then)
    return f"{words[:1].upper()}{words[1:]}." if words else "A little better in all its figures together."


def _crowding(one: Proposal) -> float:
    """0 while curls of one row are open, 1 when they touch."""
    return float(crowded(np.array(min(one.step.values()) / (one.choice.run_diameter_in / 2))))


def _served(rows: Sequence[Row], diameter_in: float, plans: Sequence[int], units: Units) -> Served:
    named = tuple((rows[n].id, rows[n].name or "Without a name") for n in plans)
    return Served(format_length(diameter_in, units), named)
