"""The comparison as JSON: the same variants and figures as on the page."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Body
from pydantic import BaseModel, ConfigDict, Field

from planner.compare import MOST, Column, Keep, Variant, by_corner, by_fill, by_width, compare
from planner.demo import demo_plan
from planner.errors import PlanError
from planner.plan import CornerStyle, FillKind, Length, Plan
from server.problems import documented

router = APIRouter(prefix="/api", tags=["planner"], responses=documented(400, 413, 422))


class CompareRequest(BaseModel):
    """A plan and what to vary: border widths, fills or corner styles, exactly one of the three.

    keep: with another width the quilt's centre stays and its outer size changes, or the other way round.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    plan: Plan
    widths_in: tuple[Length, ...] = Field((), max_length=MOST)
    keep: Keep = "centre"
    fills: tuple[FillKind, ...] = Field((), max_length=MOST)
    corners: tuple[CornerStyle, ...] = Field((), max_length=MOST)


CompareBody = Annotated[
    CompareRequest,
    Body(
        openapi_examples={
            "demo": {
                "summary": "The invented demo quilt with borders of three widths",
                "value": {"plan": demo_plan().model_dump(mode="json"), "widths_in": [7.0, 8.0, 9.0]},
            }
        }
    ),
]


@router.post("/compare", summary="Two to nine variants of a plan, side by side")
def compare_variants(request: CompareBody) -> dict[str, Any]:
    """Each variant solved for itself: its best choice and figures, or what stands in its way.

    ``rows`` are the same figures in words; ``best`` holds the indices of the best variants of a row, and
    ``why`` what makes them so. ``estimated``: the fill's share of thread and minutes is reckoned from
    area, spine and room.
    """
    found = compare(_variants(request))
    return {
        "variants": [_told(column) for column in found.columns],
        "rows": [
            {"name": row.name, "cells": list(row.cells), "best": sorted(row.best), "why": row.why}
            for row in found.rows
        ],
    }


def _variants(request: CompareRequest) -> tuple[Variant, ...]:
    if [bool(request.widths_in), bool(request.fills), bool(request.corners)].count(True) != 1:
        raise PlanError(
            "A comparison varies one thing: widths_in, fills or corners.",
            field="widths_in",
            cure="Give exactly one of the three, with 2 to 9 values.",
        )
    if request.widths_in:
        return by_width(request.plan, request.widths_in, request.keep)
    return by_fill(request.plan, request.fills) if request.fills else by_corner(request.plan, request.corners)


def _told(column: Column) -> dict[str, Any]:
    plan, solved = column.variant.plan, column.solved
    return {
        "label": column.variant.label,
        "plan": plan.model_dump(mode="json") if plan else None,
        "choice": solved.chosen.choice.model_dump(mode="json") if solved else None,
        "stamp": solved.layout.stamp if solved else None,
        "standing": solved.chosen.standing if solved else None,
        "figures": solved
        and {
            "curls": len(solved.layout.circles),
            "largest_ease_in": solved.largest_ease,
            "reach_in": solved.reach,
            "thread_needle_in": solved.supplies.thread.needle_in,
            "thread_bobbin_in": solved.supplies.thread.bobbin_in,
            "minutes": [solved.supplies.hours.minutes.quick, solved.supplies.hours.minutes.slow],
            "border_cloth_in": solved.supplies.border_buy.bought_in,
            "quilt_in": [solved.layout.quilt.width, solved.layout.quilt.height],
            "estimated": solved.supplies.work.estimated,
        },
        "obstacles": [{"message": one.message, "cure": one.cure} for one in column.obstacles],
    }
