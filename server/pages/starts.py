"""What her threads cost in starts, and what would cost less: told before she chooses, each cure one tap."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from starlette.concurrency import run_in_threadpool

from planner.errors import PlanError
from planner.lengths import format_length
from planner.plan import Plan
from planner.solver import choose
from planner.solver.cures import in_a_row
from planner.supplies.called import thread_name
from planner.supplies.cures import Cure, CureName, Moved, both_orders, cures, starting_points_cost
from planner.supplies.hours import time_in_words
from planner.threads import MOST_CARRY_IN, ThreadsBy
from server.drawn import grown, stitched
from server.html import render
from server.pages.address import origin, plan_address, query_of
from server.pages.cards import small_of
from server.pages.forms import look_of_form
from server.pages.stamps import stamp_on
from server.problems import Trouble
from server.solving import layout_ready
from server.worker import Overload
from server.workers import workers_of

router = APIRouter(include_in_schema=False)

_ORDER_WORDS: dict[ThreadsBy, str] = {
    "strip": "all threads in a strip before the next strip:",
    "thread": "one thread through all strips before the next thread:",
}


@dataclass(frozen=True)
class Way:
    """One way to stitch the plan, in words; take: the workbench with it, '' for the way it is.

    fewest: none has fewer starts.
    """

    words: str
    starts: str
    minutes: str
    tying: str
    take: str
    fewest: bool


@router.get("/threads")
async def threads_page(request: Request) -> HTMLResponse:
    """The plan's starts and the ways with fewer; before she chooses, what each starting point costs (begins)."""
    texts = dict(request.query_params)
    found = await run_in_threadpool(plan_address, texts)
    troubles, ways, begins = list(found.troubles.values()), tuple[Way, ...](), bool(texts.get("begins"))
    orders, lies, said = "", None, ""
    if found.plan:
        await layout_ready(request, found.plan)
        try:
            layout = choose(found.plan).layout
            lies, said = small_of(layout.plan, layout.choice), _threads_in_words(layout.plan)
            work = counted_begins if begins else counted_cures
            counted, moved = await workers_of(request).answer(request, work, found.plan.model_dump_json())
            ways = tuple(_way(found.plan, words, cure, origin(texts)) for words, cure in counted)
            orders = orders_in_words(moved)
        except Overload:
            raise
        except PlanError as error:
            troubles.append(Trouble.of(error))
    return render(
        "starts.html",
        address=found,
        look=look_of_form(found.texts),
        stamp=await run_in_threadpool(stamp_on, found.plan),
        troubles=troubles,
        ways=ways,
        orders=orders,
        begins=begins,
        lies=lies,
        said=said,
        onward=urlencode(found.texts),
    )


def _threads_in_words(plan: Plan) -> str:
    """What it is stitched with."""
    names = [thread_name(plan, n) for n in range(len(plan.every_thread))]
    return f"Stitched with {in_a_row(names)}." if plan.threads else "Stitched with one thread."


Counted = tuple[tuple[tuple[str, Cure], ...], tuple[Moved, ...]]


def counted_cures(plan_json: str) -> Counted:
    """Each way stitched through, in words, and both orders of strips and threads: seconds of work."""
    plan = Plan.model_validate_json(plan_json)
    layout = choose(plan).layout
    fill, path = grown(layout), stitched(layout)
    words = tuple((_words(plan, cure.name, cure.change), cure) for cure in cures(layout, fill, path))
    return words, both_orders(layout, fill, path)


def counted_begins(plan_json: str) -> Counted:
    """Each starting point stitched through: seconds of work."""
    layout = choose(Plan.model_validate_json(plan_json)).layout
    return tuple((begin.name, cost) for begin, cost in starting_points_cost(layout, grown(layout))), ()


def orders_in_words(moved: Iterable[Moved]) -> str:
    """What the order of strips and threads costs, her own first; '' where there is none."""
    told = "; ".join(f"{_ORDER_WORDS[one.threads_by]} {_times(one)}" for one in moved)
    return f"{told[0].upper()}{told[1:]}." if told else ""


def _times(one: Moved) -> str:
    changes = f"{one.changes:,} {'change' if one.changes == 1 else 'changes'} of thread"
    return f"{changes}, and the quilt moved on {one.advances:,} {'time' if one.advances == 1 else 'times'}"


def _way(plan: Plan, words: str, cure: Cure, of: Mapping[str, str]) -> Way:
    changed = Plan.model_validate(plan.model_dump() | dict(cure.change))
    carried = f", {cure.carries:,} carries" if cure.carries else ""
    return Way(
        words,
        f"{cure.starts:,} {'start' if cure.starts == 1 else 'starts'}{carried}",
        time_in_words(cure.minutes),
        time_in_words(cure.tying),
        "/?" + urlencode({**query_of(changed), **of}) if cure.change else "",
        cure.starts == 1,
    )


def _words(plan: Plan, name: CureName, change: Mapping[str, Any]) -> str:
    """A cure as she would say it."""
    match name:
        case "as_chosen":
            return "As you have it"
        case "carried":
            gap = format_length(MOST_CARRY_IN, plan.units)
            return f"Carry the thread over gaps up to {gap}, and clip it later"
        case "main_thread":
            gone = {
                plan.stitched_with[part]
                for part, n in change["stitched_with"].items()
                if n != plan.stitched_with[part]
            }
            names = " and ".join(thread_name(plan, n) for n in sorted(gone))
            return f"Do without {names}: those parts in the main thread"
        case "covered":
            return "Let a thread go along lines that a later one covers"
        case "spine_last":
            spine = thread_name(plan, plan.stitched_with.get("spine", 0))
            return f"Stitch {spine} last, over the lines the other threads go along"
        case "where_led":
            return "Berries and cones in their own thread only where a line of it leads to them"
        case "grouped":
            return "Berries and cones in their own thread only where they lie in groups"
