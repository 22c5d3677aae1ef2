"""What a comparison's columns take, counted stitch by stitch: a piece of work for each, beside one another."""

from __future__ import annotations

import asyncio
from dataclasses import replace

from fastapi import Request

from planner.compare import Obstacle, Variant, compare
from planner.errors import PlanError
from planner.supplies.work import Work
from server.drawn import counted_work
from server.worker import Overload
from server.workers import workers_of


async def counted(request: Request, variants: tuple[Variant, ...]) -> tuple[Variant, ...]:
    """The variants with all that is stitched of each. Raises Overload, and PlanError as a comparison does."""
    plans = await workers_of(request).answer(request, chosen_plans, variants)
    works = await asyncio.gather(*(_work(request, plan_json) for plan_json in plans))
    return tuple(replace(one, work=work) for one, work in zip(variants, works, strict=True))


def chosen_plans(variants: tuple[Variant, ...]) -> tuple[str | None, ...]:
    """Of each variant the plan that stands for it in a comparison, as JSON; None where it does not work."""
    return tuple(
        column.solved.chosen.plan.model_dump_json() if column.solved else None
        for column in compare(variants).columns
    )


async def _work(request: Request, plan_json: str | None) -> Work | Obstacle | None:
    if plan_json is None:
        return None
    try:
        return await workers_of(request).answer(request, counted_work, plan_json)
    except Overload:
        raise
    except PlanError as error:
        return Obstacle(error.message, error.cure)
