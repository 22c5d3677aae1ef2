"""Has a plan solved before its page is made: in this process while that is quick, else by a worker."""

from __future__ import annotations

from contextlib import suppress
from typing import TypeVar

from fastapi import Request
from starlette.concurrency import run_in_threadpool

from planner.errors import PlanError
from planner.plan import Plan
from planner.solver.choose import kept as layouts
from planner.solver.choose import question_of as layout_question
from planner.solver.choose import still
from planner.solver.effort import effort
from planner.solver.memo import Memo
from planner.solver.propose import kept as proposals
from planner.solver.propose import question_of as proposals_question
from server.worker import Overload
from server.workers import workers_of

Answer = TypeVar("Answer")

QUICK = 20.0  # of effort: the usual plan, a fifth of a second
AT_ONCE = 1  # solved in this process: two would take turns, and make the pages of others wait


async def proposals_ready(request: Request, plan: Plan) -> None:
    """From here on `propose(plan)` answers at once. Raises Overload."""
    await _ready(request, plan, proposals, proposals_question(plan))


async def layout_ready(request: Request, plan: Plan) -> None:
    """From here on `choose(plan)` answers at once. Raises Overload."""
    question = layout_question(plan)
    if question not in layouts and not await run_in_threadpool(_stands, plan, question):
        await _ready(request, plan, layouts, question)


async def _ready(request: Request, plan: Plan, kept: Memo[Answer], question: str) -> None:
    state = request.app.state
    if question in kept:
        return
    try:
        if effort(plan) > QUICK or state.solving >= AT_ONCE:
            kept.put(question, await workers_of(request).answer(request, kept.solve, question))
            return
        state.solving += 1
        try:
            await run_in_threadpool(kept, question)
        finally:
            state.solving -= 1
    except Overload:
        raise
    except PlanError:
        pass  # it is told where the page asks


def _stands(plan: Plan, question: str) -> bool:
    """Whether there is a layout without solving: hers, or hers followed. From here on it is there at once."""
    with suppress(PlanError):
        found = still(plan)
        if found:
            layouts.put(question, found)
        return found is not None
    return True  # an impossible plan: that is told where the page asks
