"""What a comparison's columns take, counted stitch by stitch: a piece of work for each, beside one another."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from hashlib import sha256

from fastapi import Request

from planner.compare import Column, Comparison, Obstacle, Variant, columns_of, compare
from planner.errors import PlanError
from planner.supplies.basis import Basis
from planner.supplies.work import Work
from server.drawn import counted_work
from server.worker import Overload, shared
from server.workers import workers_of


async def counted(request: Request, variants: tuple[Variant, ...]) -> tuple[Variant, ...]:
    """The variants with all that is stitched of each. Raises Overload, and PlanError as a comparison does."""
    plans = await workers_of(request).answer(request, chosen_plans, variants)
    works = await asyncio.gather(*(_work(request, plan_json) for plan_json in plans))
    return tuple(replace(one, work=work) for one, work in zip(variants, works, strict=True))


def chosen_plans(variants: tuple[Variant, ...]) -> tuple[str | None, ...]:
    """Of each variant the plan that stands for it in a comparison, as JSON; None where it does not work."""
    return tuple(
        column.solved.chosen.plan.model_dump_json() if column.solved else None for column in _solved(variants)
    )


def side_by_side(variants: tuple[Variant, ...], basis: Basis | None = None, sort: str = "") -> Comparison:
    """The comparison, for a piece of work: what was solved to be counted is not solved again. Raises PlanError."""
    were = _solved(variants) if any(one.work for one in variants) else None
    return compare(variants, basis, sort, were)


def _solved(variants: tuple[Variant, ...]) -> tuple[Column, ...]:
    plain = tuple(replace(one, work=None) for one in variants)
    return shared(f"columns {sha256(repr(plain).encode()).hexdigest()}", lambda: columns_of(plain))


async def _work(request: Request, plan_json: str | None) -> Work | Obstacle | None:
    if plan_json is None:
        return None
    try:
        return await workers_of(request).answer(request, counted_work, plan_json)
    except Overload:
        raise
    except PlanError as error:
        return Obstacle(error.message, error.cure)
