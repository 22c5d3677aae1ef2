"""The comparison as JSON: the same variants and figures as on the page."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Body, Request
from pydantic import BaseModel, ConfigDict, Field

from planner.compare import MOST, Column, Keep, Variant, by_corner, by_fill, by_width
from planner.deciding import Solved
from planner.demo import demo_plan
from planner.errors import PlanError
from planner.plan import Choice, CornerStyle, FillKind, Length, Plan
from planner.solver.choose import Standing
from server.api.wire import Pair, Wire
from server.counting import counted, side_by_side
from server.problems import documented
from server.workers import workers_of

router = APIRouter(prefix="/api", tags=["planner"], responses=documented(400, 413, 422))


class CompareRequest(BaseModel):
    """A plan and what to vary: border widths, fills or corner styles, exactly one of the three.

    keep: with another width the quilt's centre stays and its outer size changes, or the other way round. counted:
    whether each variant's stitches are counted, seconds of work, instead of estimated.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    plan: Plan
    widths_in: tuple[Length, ...] = Field((), max_length=MOST)
    keep: Keep = "centre"
    fills: tuple[FillKind, ...] = Field((), max_length=MOST)
    corners: tuple[CornerStyle, ...] = Field((), max_length=MOST)
    counted: Annotated[bool, Field(strict=True)] = False


class VariantFigures(Wire):
    """What decides. minutes: of the quickest and the slowest hand; estimated: the fill's thread is, and how often a
    thread is started, carried or changed, and the quilt moved on, is not known.
    """

    curls: int
    largest_ease_in: float
    reach_in: float
    thread_needle_in: float
    thread_bobbin_in: float
    minutes: Pair
    border_cloth_in: float
    quilt_in: Pair
    estimated: bool
    starts: int | None
    carries: int | None
    thread_changes: int | None
    advances: int | None

    @classmethod
    def of(cls, solved: Solved) -> VariantFigures:
        """The figures of a column that works."""
        takes, quilt, work = solved.supplies, solved.layout.quilt, solved.supplies.work

        def known(count: int) -> int | None:
            return None if work.estimated else count

        return cls(
            curls=len(solved.layout.circles),
            largest_ease_in=solved.largest_ease,
            reach_in=solved.reach,
            thread_needle_in=takes.thread.needle_in,
            thread_bobbin_in=takes.thread.bobbin_in,
            minutes=(takes.hours.minutes.quick, takes.hours.minutes.slow),
            border_cloth_in=takes.border_buy.bought_in,
            quilt_in=(quilt.width, quilt.height),
            estimated=work.estimated,
            starts=known(work.starts),
            carries=known(work.carries),
            thread_changes=known(work.changes),
            advances=known(work.advances),
        )


class ObstacleOut(Wire):
    """What stands in a variant's way, and the nearest thing that works."""

    message: str
    cure: str


class VariantOut(Wire):
    """One variant: its layout and figures, or what stands in its way. plan: None where it can be no plan at all."""

    label: str
    plan: Plan | None
    choice: Choice | None
    stamp: str | None
    standing: Standing | None
    figures: VariantFigures | None
    obstacles: list[ObstacleOut]


class RowOut(Wire):
    """One figure of all variants in words (null where one does not work); best: the places of the best, and why."""

    name: str
    cells: list[str | None]
    best: list[int]
    why: str


class ComparisonOut(Wire):
    variants: list[VariantOut]
    rows: list[RowOut]


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
async def compare_variants(http: Request, request: CompareBody) -> ComparisonOut:
    """Each variant solved for itself: its layout and figures, or what stands in its way.

    ``rows`` are the same figures in words. ``estimated``: the fill's share of thread and minutes is reckoned from
    area, spine and room, and no starts are told; with ``counted`` every stitch is counted.
    """
    variants = _variants(request)
    return await workers_of(http).answer(
        http, compared, await counted(http, variants) if request.counted else variants
    )


def compared(variants: tuple[Variant, ...]) -> ComparisonOut:
    """The whole answer: a second or two of work. Raises PlanError."""
    found = side_by_side(variants)
    return ComparisonOut(
        variants=[_variant(column) for column in found.columns],
        rows=[
            RowOut(name=row.name, cells=list(row.cells), best=sorted(row.best), why=row.why)
            for row in found.rows
        ],
    )


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


def _variant(column: Column) -> VariantOut:
    solved = column.solved
    return VariantOut(
        label=column.variant.label,
        plan=column.variant.plan,
        choice=solved.chosen.choice if solved else None,
        stamp=solved.layout.stamp if solved else None,
        standing=solved.chosen.standing if solved else None,
        figures=VariantFigures.of(solved) if solved else None,
        obstacles=[ObstacleOut(message=one.message, cure=one.cure) for one in column.obstacles],
    )
