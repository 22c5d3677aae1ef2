"""The page of a comparison, side by side. The whole of it stands in the address, so a link keeps it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Literal
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool

from planner.border.corners.styles import CORNER_STYLES
from planner.border.room import room_limits
from planner.border.said import listed
from planner.compare import (
    MOST,
    Comparison,
    Keep,
    Row,
    Variant,
    by_corner,
    by_fill,
    by_width,
    like,
)
from planner.deciding import MEASURES
from planner.errors import PlanError
from planner.fills.styles import FILLS
from planner.lengths import format_length, parse_length
from planner.pictures.picture import fill_from
from planner.pictures.swatch import frame_of, swatch
from planner.plan import SIDES, CornerStyle, FillKind, Plan, Units
from planner.solver import Chosen, choose
from planner.solver.looking import look_of
from planner.supplies.basis import DEFAULTS, Basis
from planner.supplies.reading import read_basis
from planner.supplies.work import starts_need_counting
from server.access.rights import AStore, AVisitor, visitor_page
from server.counting import counted, side_by_side
from server.html import render
from server.pages.address import PlanAddress, origin, plan_address, query_of, under
from server.pages.asked import saved_of
from server.pages.forms import BASIS, look_of_form
from server.pages.measures import tin_pieces
from server.pages.stamps import stamp_on
from server.pages.words import ESTIMATED, STANDING
from server.pages.workbench_view import fill_address
from server.problems import Trouble
from server.solving import layout_ready
from server.worker import Overload
from server.workers import workers_of

router = APIRouter(include_in_schema=False)

By = Literal["width", "fill", "corner", "plan"]
BY_WORDS: dict[By, str] = {
    "width": "border widths",
    "fill": "fills",
    "corner": "corners",
    "plan": "a saved plan",
}
KEEP_WORDS: dict[Keep, str] = {"centre": "keep the centre", "outer": "keep the outer size"}
STEPS = (-2, -1, 0, 1, 2)  # about the plan's own width, before she names others
WIDTH_STEP_IN: dict[Units, float] = {"in": 1.0, "cm": 2.5 / 2.54, "mm": 2.5 / 2.54}
SORTS = {"": "as they are named"} | {one.name: one.sorting for one in MEASURES if one.sorting}
TABLE_WIDE, NAMES_WIDE, SWATCH_HIGH = 1132, 128, 200  # pixels, as in supplies.css


@dataclass(frozen=True)
class CompareForm:
    """What to compare, as the form shows it again."""

    by: By
    widths: str
    keep: Keep
    fills: tuple[FillKind, ...]
    corners: tuple[CornerStyle, ...]
    beside: str
    sort: str
    counted: bool


@dataclass(frozen=True)
class ColumnView:
    """One column as the template draws it: its swatch, or why there is none. standing: where it is not her choice.

    take: the link that makes it the plan; best, best_take: what is best there in words, where that looks otherwise.
    """

    label: str
    swatch: Markup | None
    standing: str
    stamp: str
    take: str
    obstacles: tuple[tuple[str, str], ...]
    best: str = ""
    best_take: str = ""


@dataclass(frozen=True)
class Question:
    """What came in the address, read: what to compare, or why there is nothing to."""

    found: PlanAddress
    form: CompareForm | None = None
    variants: tuple[Variant, ...] = ()
    basis: Basis = DEFAULTS
    troubles: tuple[Trouble, ...] = ()
    shelf: tuple[tuple[str, str], ...] = ()


def question_of(request: Request, store: AStore, visitor: AVisitor) -> Question:
    """The plan's texts, what to vary, and the basis of thread and hours."""
    texts = dict(request.query_params)
    found = plan_address(texts)
    if found.plan is None:
        return Question(found, troubles=tuple(found.troubles.values()))
    rows = visitor_page(store, visitor, "", "newest", "", 1, False).rows
    shelf = tuple((row.id, row.name) for row in rows)
    form = _form_of(found.plan, texts, shelf)
    basis, wrong = read_basis(under(BASIS, texts), found.plan.units)
    asked = Question(found, form, (), basis, tuple(Trouble.of(error) for error in wrong), shelf)
    try:
        if form.by != "plan":
            return replace(asked, variants=_variants(found.plan, form))
        if not form.beside:
            raise PlanError("No plan lies on the shelf yet.", field="beside", cure="Save one first.")
        return replace(asked, variants=_with_saved(found.plan, saved_of(form.beside, request)[0]))
    except PlanError as error:
        return replace(asked, troubles=(*asked.troubles, Trouble.of(error)))


@router.get("/compare")
async def compare_page(request: Request, asked: Annotated[Question, Depends(question_of)]) -> HTMLResponse:
    """The comparison in the address."""
    if asked.found.plan:
        await layout_ready(request, asked.found.plan)
    if not asked.variants:
        return await run_in_threadpool(_page, asked)
    try:
        of = tuple(origin(asked.found.texts).items())
        variants, sort = _in_her_look(asked), asked.form.sort if asked.form else ""
        if asked.form and asked.form.counted:
            variants = await counted(request, variants)
        columns, rows = await workers_of(request).answer(request, compared, variants, asked.basis, of, sort)
    except Overload:
        raise
    except PlanError as error:
        return await run_in_threadpool(_page, replace(asked, troubles=(*asked.troubles, Trouble.of(error))))
    return await run_in_threadpool(_page, asked, columns, rows)


def compared(
    variants: tuple[Variant, ...], basis: Basis, of: tuple[tuple[str, str], ...], sort: str
) -> tuple[tuple[ColumnView, ...], tuple[Row, ...]]:
    """The columns as they are drawn, and the rows of figures: a second or two of work. Raises PlanError."""
    comparison = side_by_side(variants, basis, sort)
    return _hung(comparison, dict(of)), comparison.rows


def _in_her_look(asked: Question) -> tuple[Variant, ...]:
    """The variants, widths and fills in the look of the plan on the table: else densities would be compared."""
    if asked.found.plan is None or asked.form is None or asked.form.by not in ("width", "fill"):
        return asked.variants
    try:
        return like(asked.variants, look_of(choose(asked.found.plan).layout))
    except PlanError:
        return asked.variants


def _form_of(plan: Plan, texts: Mapping[str, str], shelf: tuple[tuple[str, str], ...]) -> CompareForm:
    by = texts.get("by", "")
    own = plan.border_in.top
    least = 2 * room_limits(plan.fill)[0] + plan.binding_allowance_in + 1
    around = [own + n * WIDTH_STEP_IN[plan.units] for n in STEPS]
    widths = [width for width in around if width > least or width == own]
    return CompareForm(
        by if by in BY_WORDS else "width",
        texts.get("widths", "").strip()[:400] or "; ".join(format_length(w, plan.units) for w in widths),
        "outer" if texts.get("keep") == "outer" else "centre",
        tuple(kind for kind in FILLS if texts.get(f"take.{kind}")) or tuple(FILLS),
        tuple(style for style in CORNER_STYLES if texts.get(f"take.{style}")) or tuple(CORNER_STYLES),
        texts.get("beside", "")[:60] or next((plan_id for plan_id, _ in shelf), ""),
        next((name for name in SORTS if name == texts.get("sort")), ""),
        bool(texts.get("counted")),
    )


def _variants(plan: Plan, form: CompareForm) -> tuple[Variant, ...]:
    match form.by:
        case "fill":
            return by_fill(plan, form.fills)
        case "corner":
            return by_corner(plan, form.corners)
        case _:
            widths = [parse_length(piece, plan.units, field="widths") for piece in tin_pieces(form.widths)]
            found = by_width(plan, list(dict.fromkeys(widths)), form.keep)
            return found if len(found) >= MOST else (*_as_it_is(plan), *found)


def _as_it_is(plan: Plan) -> tuple[Variant, ...]:
    """Borders of several widths, which no column of one width shows, before the others."""
    widths = listed(
        [format_length(w, plan.units) for w in dict.fromkeys(plan.border_in.of(s) for s in SIDES)]
    )
    alike = len({plan.border_in.of(side) for side in SIDES}) == 1
    return () if alike else (Variant(f"as it is, {widths}", plan),)


def _with_saved(plan: Plan, saved: Plan) -> tuple[Variant, ...]:
    """The plan on the workbench and one from the shelf."""
    return (Variant(f"{plan.name}, as it is here", plan), Variant(f"{saved.name}, saved", saved))


def _page(asked: Question, columns: tuple[ColumnView, ...] = (), rows: tuple[Row, ...] = ()) -> HTMLResponse:
    return render(
        "compare.html",
        address=asked.found,
        stamp=stamp_on(asked.found.plan),
        look=look_of_form(asked.found.texts),
        form=asked.form,
        columns=columns,
        rows=rows,
        troubles=asked.troubles,
        by_words=BY_WORDS,
        shelf=asked.shelf,
        sorts=SORTS,
        keep_words=KEEP_WORDS,
        fill_words={one.kind: one.listed for one in FILLS.values()},
        corner_words={one.kind: f"{one.name} corners" for one in CORNER_STYLES.values()},
        estimated=ESTIMATED,
        uncounted=any(one.plan and starts_need_counting(one.plan) for one in asked.variants),
    )


def _hung(comparison: Comparison, of: dict[str, str]) -> tuple[ColumnView, ...]:
    columns = comparison.columns
    layouts = [one.layout for column in columns for one in (column.solved, column.best) if one]
    room = (TABLE_WIDE - NAMES_WIDE) / len(columns) - 16
    frame = frame_of(layouts, room, SWATCH_HIGH) if layouts else None

    def drawn(chosen: Chosen) -> Markup | None:
        layout = chosen.layout
        return Markup(swatch(layout, frame, fill_from(fill_address(layout.plan), layout))) if frame else None

    def taken(plan: Plan) -> str:
        return "/?" + urlencode(query_of(plan) | of)

    hung = []
    for column in columns:
        plan = column.variant.plan
        if not column.solved:
            why = tuple((one.message, one.cure) for one in column.obstacles)
            hung.append(ColumnView(column.variant.label, None, "", "", taken(plan) if plan else "", why))
            continue
        chosen = column.solved.chosen
        told = (
            STANDING[chosen.standing] if plan and plan.choice else ""
        )  # another width has none of her own yet
        view = ColumnView(
            column.variant.label, drawn(chosen), told, chosen.layout.stamp, taken(chosen.plan), ()
        )
        if column.best:
            best = column.best.chosen
            view = replace(
                view,
                best=f"Best here, in another look: {len(best.layout.circles)} curls",
                best_take=taken(best.plan),
            )
        hung.append(view)
    return tuple(hung)
