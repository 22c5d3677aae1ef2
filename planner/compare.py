"""Side by side: one plan in two to nine variants, each solved for itself, figure by figure (deciding.py)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import inf
from typing import Literal

from planner.border.corners.styles import CORNER_STYLES
from planner.border.layout import Layout
from planner.border.reach import of_runs
from planner.border.room import longest_plume
from planner.deciding import MEASURES, Measure, Solved
from planner.errors import PlanError
from planner.fills.styles import FILLS
from planner.lengths import format_length
from planner.plan import LARGEST_QUILT_IN, SIDES, CornerStyle, FillKind, Plan
from planner.solver import choose
from planner.solver.looking import Look, alike
from planner.supplies.basis import Basis
from planner.supplies.supplies import supplies_of
from planner.supplies.work import Work, estimated_work

FEWEST, MOST = 2, 9  # one is no comparison; ten do not fit on a sheet


Keep = Literal["centre", "outer"]


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Why a variant does not work, and the nearest thing that does."""

    message: str
    cure: str


@dataclass(frozen=True, slots=True)
class Variant:
    """One plan of a comparison, under the words that tell it from the others; or why there is no such plan.

    look: compared is what comes nearest to it, where the plan has no choice of its own; None: what is best. work:
    what there is to stitch, where that was counted, or why it cannot be stitched so; None: it is estimated.
    """

    label: str
    plan: Plan | None
    obstacle: Obstacle | None = None
    look: Look | None = None
    work: Work | Obstacle | None = None


@dataclass(frozen=True, slots=True)
class Column:
    """A variant, solved, or with what stands in its way. best: what is best there, where that is another layout."""

    variant: Variant
    solved: Solved | None = None
    obstacles: tuple[Obstacle, ...] = ()
    best: Solved | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One figure of all columns, in words (None where a variant does not work, or it was not counted).

    best: the columns that are best in it; why: what they are, in words. Empty where all are alike, or where
    none is better than another.
    """

    name: str
    cells: tuple[str | None, ...]
    best: frozenset[int]
    why: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """All columns, and all rows in one order."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]


def by_width(plan: Plan, widths_in: Sequence[float], keep: Keep) -> tuple[Variant, ...]:
    """All four borders at each width. keep: the centre stays and the quilt grows, or the outer size stays."""
    variants = []
    for width in widths_in:
        label = format_length(width, plan.units)
        try:
            variants.append(Variant(label, with_width(plan, width, keep)))
        except PlanError as error:
            variants.append(Variant(label, None, Obstacle(error.message, error.cure)))
    return tuple(variants)


def by_fill(plan: Plan, kinds: Sequence[FillKind]) -> tuple[Variant, ...]:
    """Each fill with what it needs by default; the plan's own fill keeps what she set for it."""
    return tuple(
        Variant(
            FILLS[kind].listed,
            plan if kind == plan.fill.kind else _changed(plan, "fill", {"fill": {"kind": kind}}),
        )
        for kind in kinds
    )


def by_corner(plan: Plan, styles: Sequence[CornerStyle]) -> tuple[Variant, ...]:
    """Each corner style, all else as the plan has it."""
    return tuple(
        Variant(
            f"{CORNER_STYLES[style].name} corners",
            plan if style == plan.corner else _changed(plan, "corner", {"corner": style}),
        )
        for style in styles
    )


def with_width(plan: Plan, width_in: float, keep: Keep) -> Plan:
    """The plan with four borders of one width. Raises PlanError where the quilt cannot take it."""
    if all(plan.border_in.of(side) == width_in for side in SIDES):
        return plan
    sides = {side: plan.sides_in.of(side) for side in SIDES}
    if keep == "centre":
        across = 2 * width_in - plan.border_in.left - plan.border_in.right
        down = 2 * width_in - plan.border_in.top - plan.border_in.bottom
        for side in SIDES:
            sides[side] += across if side in ("top", "bottom") else down
    if max(sides.values()) > LARGEST_QUILT_IN:
        raise PlanError(
            f"The quilt would be {format_length(max(sides.values()), plan.units)} long.",
            field="widths",
            cure=f"Keep every side within {format_length(LARGEST_QUILT_IN, plan.units)}.",
        )
    if min(sides.values()) <= 0:
        raise PlanError(
            f"With borders of {format_length(width_in, plan.units)} nothing of the quilt would be left.",
            field="widths",
            cure="Give the true width of the borders it has now, or a wider one.",
        )
    borders = dict.fromkeys(SIDES, width_in)
    return _changed(plan, "sides_in border", {"sides_in": sides, "border_in": borders})


def like(variants: Sequence[Variant], look: Look | None) -> tuple[Variant, ...]:
    """The same variants, compared in one look: like with like."""
    return tuple(replace(variant, look=look) for variant in variants)


def compare(
    variants: Sequence[Variant],
    basis: Basis | None = None,
    sort: str = "",
    solved: Sequence[Column] | None = None,
) -> Comparison:
    """Solve every variant for itself. sort: the measure by which the columns stand, in the order given where it is
    none; solved: their columns, where they were solved before anything was counted. Raises PlanError where there
    are too few or too many.
    """
    told = columns_of(variants, basis) if solved is None else solved
    columns = _sorted([_counted(*both, basis) for both in zip(told, variants, strict=True)], sort)
    shown = [column.solved for column in columns if column.solved]
    rows = [one for one in MEASURES if any(map(one.told, shown)) or not shown]
    return Comparison(columns, tuple(_row(one, columns) for one in rows))


def columns_of(variants: Sequence[Variant], basis: Basis | None = None) -> tuple[Column, ...]:
    """Every variant solved for itself, what it takes estimated. Raises PlanError: too few, or too many."""
    if not FEWEST <= len(variants) <= MOST:
        raise PlanError(
            f"Side by side takes {FEWEST} to {MOST} variants; here are {len(variants)}.",
            field="variants",
            cure=f"Choose from {FEWEST} to {MOST} different ones.",
        )
    return tuple(_column(variant, basis) for variant in variants)


def _counted(column: Column, variant: Variant, basis: Basis | None) -> Column:
    """A variant's column with what was counted in the place of what was estimated."""
    work, solved = variant.work, column.solved
    if solved is None or work is None:
        return column
    if isinstance(work, Obstacle):
        return Column(variant, obstacles=(work,))
    supplies = supplies_of(solved.layout.plan, work, basis)
    return replace(column, variant=variant, solved=replace(solved, supplies=supplies))


def _column(variant: Variant, basis: Basis | None) -> Column:
    plan = variant.plan
    if plan is None:
        return Column(variant, obstacles=(variant.obstacle,) if variant.obstacle else ())
    found = _solved(plan.model_dump_json(), basis)
    if isinstance(found, Obstacle):
        return Column(variant, obstacles=(found,))
    nearest = alike(plan, variant.look) if variant.look and plan.choice is None else None
    if nearest is None or nearest == found.chosen.choice:
        return Column(variant, found)
    near = _solved(plan.model_copy(update={"choice": nearest}).model_dump_json(), basis)
    return Column(variant, found) if isinstance(near, Obstacle) else Column(variant, near, best=found)


def _sorted(columns: list[Column], sort: str) -> tuple[Column, ...]:
    """The columns by one measure, its best first; those that do not work last."""
    cost = next((one.cost for one in MEASURES if one.name == sort), None)
    if cost is None:
        return tuple(columns)
    return tuple(sorted(columns, key=lambda one: cost(one.solved) if one.solved else inf))


@lru_cache(maxsize=4 * MOST)  # she will change one width and look at all again
def _solved(plan_json: str, basis: Basis | None) -> Solved | Obstacle:
    """The plan's layout, reckoned; or what stands in its way."""
    plan = Plan.model_validate_json(plan_json)
    try:
        chosen = choose(plan)
        work = estimated_work(chosen.layout)
        return Solved(chosen, *_least_to_spare(chosen.layout), supplies_of(plan, work, basis))
    except PlanError as error:
        return Obstacle(error.message, error.cure)


def _least_to_spare(layout: Layout) -> tuple[float, float]:
    """Of the side with the least to spare: the reach of its run, and the longest plume for its room."""
    found = of_runs(layout)
    pairs = [(found[side], longest_plume(layout.plan.fill, layout.quilt.own[side].room)) for side in found]
    return max(pairs, key=lambda pair: pair[0] / pair[1])


def _changed(plan: Plan, what: str, change: dict[str, object]) -> Plan:
    """The plan with some parts replaced; her own wording of those parts and her choice are let go."""
    prefixes = tuple(what.split())
    typed = {name: text for name, text in plan.typed.items() if not name.startswith(prefixes)}
    return Plan.model_validate({**plan.model_dump(), **change, "typed": typed, "choice": None})


def _row(measure: Measure, columns: Sequence[Column]) -> Row:
    """Columns that read alike are best together; where all read alike, none is marked."""
    cells = tuple(
        measure.words(column.solved, column.solved.layout.plan.units) if column.solved else None
        for column in columns
    )
    if measure.cost is None:
        return Row(measure.name, cells, frozenset(), "")
    costs = {i: measure.cost(column.solved) for i, column in enumerate(columns) if column.solved and cells[i]}
    least = min(costs, key=costs.__getitem__, default=None)
    best = frozenset(i for i in costs if least is not None and cells[i] == cells[least])
    alike = len(best) == len(costs)
    return Row(measure.name, cells, frozenset() if alike else best, "" if alike else measure.why)
