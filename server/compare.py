"""Side by side: the page that carries the whole comparison in its link, and the same as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from markupsafe import Markup
from pydantic import BaseModel, ConfigDict, Field

from planner.compare import (
    CORNER_WORDS,
    FILL_WORDS,
    Column,
    Comparison,
    Keep,
    Variant,
    by_corner,
    by_fill,
    by_width,
    compare,
)
from planner.demo import demo_plan
from planner.errors import PlanError
from planner.fills import fill
from planner.layout import place
from planner.lengths import format_length, parse_length
from planner.plan import CornerStyle, FillKind, Length, Plan
from planner.sheets.picture import Window
from planner.sheets.swatch import EDGE_IN, common_window, filling, swatch
from planner.supplies.reading import read_basis
from server.forms import read, tin_pieces, values_of
from server.pages import look_of, render
from server.problems import documented

router = APIRouter()

KEEP_WORDS: dict[Keep, str] = {
    "centre": "keep the centre",
    "outer": "keep the outer size",
}
SHEET_WIDE, SWATCH_HIGH = 1132, 240  # pixels of the table and of a swatch in it, as in supplies.css
WIDTHS_ROUND = (-2.0, -1.0, 0.0, 1.0, 2.0)  # inches about the plan's own width, before she names others


@dataclass(frozen=True)
class Asked:
    """What the page was asked to compare, as texts for the form to show again."""

    by: str
    widths: str
    keep: Keep
    fills: tuple[FillKind, ...]
    corners: tuple[CornerStyle, ...]


@dataclass(frozen=True)
class Shown:
    """One column as the template draws it: its swatch, and the link that takes it as the plan."""

    label: str
    swatch: Markup | None
    filling: str
    take: str
    obstacles: tuple[tuple[str, str], ...]


@router.get("/compare", include_in_schema=False)
def compare_page(request: Request) -> HTMLResponse:
    """The comparison in the link: the workbench's texts, and what to vary."""
    texts = dict(request.query_params)
    reading = read(texts if "sides_in.top" in texts else values_of(demo_plan()))
    if reading.plan is None:
        troubles = [(one.message, one.cure) for one in reading.troubles.values()]
        return _page(reading.values, None, None, troubles)
    plan = reading.plan
    asked = _asked(plan, texts)
    try:
        basis, wrong = read_basis(_under("basis.", texts), plan.units)
        found = compare(_variants(plan, asked), basis)
    except PlanError as error:
        return _page(values_of(plan), asked, None, [(error.message, error.cure)])
    return _page(values_of(plan), asked, found, [(error.message, error.cure) for error in wrong])


@router.get("/compare/filling.svg", include_in_schema=False)
def filling_image(request: Request) -> Response:
    """The fill of one column, to lay over its swatch; it comes after the page, because it takes longer."""
    texts = dict(request.query_params)
    plan = read(texts).plan
    try:
        right, below = (min(400.0, max(1.0, float(texts.get(name, "")))) for name in ("right", "below"))
    except ValueError:
        plan = None
    if plan is None or plan.choice is None:
        return Response("Only for a plan with a choice.", 404, media_type="text/plain")
    drawn = _filling(plan.model_dump_json(), Window(-EDGE_IN, -EDGE_IN, right, below))
    return Response(drawn, media_type="image/svg+xml", headers={"Cache-Control": "max-age=86400"})


@lru_cache(maxsize=64)
def _filling(plan_json: str, window: Window) -> str:
    plan = Plan.model_validate_json(plan_json)
    if plan.choice is None:
        return ""
    return filling(fill(place(plan, plan.choice)), plan.look.thread, window)


class CompareRequest(BaseModel):
    """A plan and what to vary: border widths, fills or corner styles; exactly one of the three."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    plan: Plan
    widths_in: tuple[Length, ...] = Field((), max_length=9)
    keep: Keep = "centre"
    fills: tuple[FillKind, ...] = Field((), max_length=9)
    corners: tuple[CornerStyle, ...] = Field((), max_length=9)


@router.post(
    "/api/compare",
    tags=["planner"],
    summary="Two to nine variants of a plan, side by side",
    responses=documented(400, 413, 422),
)
def compare_json(request: CompareRequest) -> dict[str, Any]:
    """Each variant solved for itself: its best choice and figures, or what stands in its way.

    ``rows`` holds the same figures in words; ``best`` are the indices of the best columns of a row.
    """
    given = [name for name in ("widths_in", "fills", "corners") if getattr(request, name)]
    if len(given) != 1:
        raise PlanError(
            "A comparison varies one thing: widths_in, fills or corners.",
            field="widths_in",
            cure="Give exactly one of the three, with 2 to 9 values.",
        )
    if request.widths_in:
        variants = by_width(request.plan, request.widths_in, request.keep)
    elif request.fills:
        variants = by_fill(request.plan, request.fills)
    else:
        variants = by_corner(request.plan, request.corners)
    found = compare(variants)
    return {
        "variants": [_column_json(column) for column in found.columns],
        "rows": [
            {"name": row.name, "cells": row.cells, "best": sorted(row.best), "why": row.why}
            for row in found.rows
        ],
    }


def _asked(plan: Plan, texts: Mapping[str, str]) -> Asked:
    by = texts.get("by", "width")
    fills = tuple(kind for kind in FILL_WORDS if texts.get(f"take.{kind}"))
    corners = tuple(style for style in CORNER_WORDS if texts.get(f"take.{style}"))
    own = plan.border_in.top
    least = 2 * plan.fill.room_in + plan.binding_allowance_in + 1
    round_it = "; ".join(
        format_length(own + more, plan.units) for more in WIDTHS_ROUND if own + more > least or not more
    )
    return Asked(
        by if by in ("width", "fill", "corner") else "width",
        texts.get("widths", "").strip()[:400] or round_it,
        "outer" if texts.get("keep") == "outer" else "centre",
        fills or tuple(FILL_WORDS),
        corners or tuple(CORNER_WORDS),
    )


def _variants(plan: Plan, asked: Asked) -> tuple[Variant, ...]:
    if asked.by == "fill":
        return by_fill(plan, asked.fills)
    if asked.by == "corner":
        return by_corner(plan, asked.corners)
    widths = [parse_length(piece, plan.units, field="widths") for piece in tin_pieces(asked.widths)]
    return by_width(plan, list(dict.fromkeys(widths)), asked.keep)


def _page(
    values: Mapping[str, str],
    asked: Asked | None,
    found: Comparison | None,
    troubles: list[tuple[str, str]],
) -> HTMLResponse:
    carried = {name: text for name, text in values.items() if text}
    return render(
        "compare.html",
        name=values.get("name", ""),
        carried=carried,
        look=look_of({name.removeprefix("look."): text for name, text in values.items()}),
        back="/?" + urlencode(carried),
        asked=asked,
        columns=_shown(found) if found else (),
        rows=found.rows if found else (),
        troubles=troubles,
        keep_words=KEEP_WORDS,
        fill_words=FILL_WORDS,
        corner_words=CORNER_WORDS,
    )


def _shown(found: Comparison) -> tuple[Shown, ...]:
    layouts = [column.solved.layout for column in found.columns if column.solved]
    room = (SHEET_WIDE - 112) / len(found.columns) - 16
    window = common_window(layouts, SWATCH_HIGH / room) if layouts else None
    shown = []
    for column in found.columns:
        plan, drawn, filled = column.variant.plan, None, ""
        if column.solved and window:
            drawn = Markup(swatch(column.solved.layout, window))
            plan = column.solved.layout.plan.model_copy(update={"choice": column.solved.proposal.choice})
            view = {"right": f"{window.width_in:.3f}", "below": f"{window.height_in:.3f}"}
            filled = "/compare/filling.svg?" + urlencode({**_given(plan), **view})
        take = "/?" + urlencode(_given(plan)) if plan else ""
        why = tuple((one.message, one.cure) for one in column.obstacles)
        shown.append(Shown(column.variant.label, drawn, filled, take, why))
    return tuple(shown)


def _column_json(column: Column) -> dict[str, Any]:
    plan, solved = column.variant.plan, column.solved
    told: dict[str, Any] = {
        "label": column.variant.label,
        "plan": plan.model_dump(mode="json") if plan else None,
        "choice": None,
        "figures": None,
        "obstacles": [{"message": one.message, "cure": one.cure} for one in column.obstacles],
    }
    if solved:
        minutes = solved.needs.hours.minutes
        told["choice"] = solved.proposal.choice.model_dump(mode="json")
        told["figures"] = {
            "curls": len(solved.layout.circles),
            "largest_ease_in": solved.proposal.largest_ease,
            "reach_in": solved.proposal.reach,
            "thread_needle_in": solved.needs.thread.needle_in,
            "thread_bobbin_in": solved.needs.thread.bobbin_in,
            "minutes": [minutes.quick, minutes.slow],
            "border_cloth_in": solved.needs.border_buy.bought_in,
            "quilt_in": [solved.layout.quilt.width, solved.layout.quilt.height],
            "estimated": solved.needs.work.estimated,
        }
    return told


def _given(plan: Plan) -> dict[str, str]:
    """The form's texts that are not empty: what a link has to carry."""
    return {name: text for name, text in values_of(plan).items() if text}


def _under(prefix: str, texts: Mapping[str, str]) -> dict[str, str]:
    return {k.removeprefix(prefix): v for k, v in texts.items() if k.startswith(prefix)}
