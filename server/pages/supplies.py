"""What a plan takes: the page, the shopping list to print, and the list as CSV."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool

from planner.errors import PlanError
from planner.lengths import format_length, parse_length
from planner.pictures.panels import panels
from planner.plan import Plan, Units
from planner.solver import Chosen, choose
from planner.supplies.basis import usual
from planner.supplies.by_thread import ThreadTakes, own_bobbins
from planner.supplies.called import parts_in_words, thread_name
from planner.supplies.cutting import Cut
from planner.supplies.figures import (
    FIGURES,
    HERS,
    PRACTICE,
    Group,
    figure_in_words,
    label_of,
    source_of,
)
from planner.supplies.hours import part_in_words, time_in_words
from planner.supplies.price import money_words
from planner.supplies.reading import read_basis
from planner.supplies.shopping import to_csv
from planner.supplies.supplies import Supplies, supplies_of
from planner.supplies.thread import Rule, capacity_words, stitched_words, thread_sum_words, thread_words
from planner.supplies.work import Work, estimated_work, starts_need_counting
from server.drawn import counted_work
from server.html import attachment, render
from server.pages.address import PlanAddress, plan_address, under
from server.pages.forms import BASIS, look_of_form
from server.pages.words import ESTIMATED, STANDING
from server.problems import Trouble
from server.solving import layout_ready
from server.worker import Overload
from server.workers import workers_of

router = APIRouter(include_in_schema=False)

GROUPS: dict[Group, str] = {
    "thread": "Thread and bobbins",
    "time": "My hand and machine",
    "cloth": "Cloth",
    "batting": "Batting",
    "price": "What it costs",
}
SIX = (  # what decides most, and what she can answer at the table
    "borders",
    "cloth_width_in",
    "backing_width_in",
    "shrinkage",
    "bobbin",
    "stitches_per_inch",
)
RULES: dict[Rule, str] = {"ratio": "Ratio: 2.5 to 1", "thickness": "Thickness: 2 + 2 × thickness × stitches"}


@dataclass(frozen=True)
class Question:
    """One figure of the basis as the form shows it; default: in words, '' for none."""

    name: str
    label: str
    typed: str
    default: str
    hint: str
    choices: dict[str, str]
    chosen: str


@dataclass(frozen=True)
class SuppliesView:
    """What came in the address: the plan and what it takes, or the troubles by field."""

    address: PlanAddress
    typed: Mapping[str, str]
    counted: bool
    troubles: Mapping[str, Trouble]
    chosen: Chosen | None = None
    supplies: Supplies | None = None

    @property
    def units(self) -> Units:
        """The plan's units; inches where there is no plan."""
        return self.address.plan.units if self.address.plan else "in"

    @property
    def stamp(self) -> str:
        """The stamp of the layout that was reckoned, '' for none."""
        return self.chosen.layout.stamp if self.chosen else ""

    @property
    def link(self) -> str:
        """The same question as an address."""
        typed = {BASIS + name: text for name, text in self.typed.items() if text}
        return urlencode({**self.address.texts, **typed, **({"counted": "on"} if self.counted else {})})

    @property
    def back(self) -> str:
        """The workbench with this plan, which keeps her answers until she comes again; in whatever units then."""
        typed = {
            BASIS + name: _with_unit(name, text, self.units) for name, text in self.typed.items() if text
        }
        return "/?" + urlencode({**self.address.texts, **typed})


def _with_unit(name: str, text: str, units: Units) -> str:
    """A figure as she typed it, a bare number of a length with its unit."""
    if name not in FIGURES or FIGURES[name].kind != "length":
        return text
    try:
        bare = parse_length(text, "in") != parse_length(text, "mm")
    except PlanError:
        return text
    return f"{text.strip()} {units}" if bare else text


async def supplies_view(request: Request) -> SuppliesView:
    """What the address asks for, with the fill counted by a worker where it wants that."""
    texts = dict(request.query_params)
    found, work = await run_in_threadpool(plan_address, texts), None
    if found.plan is not None:
        await layout_ready(request, found.plan)
        if _is_counted(texts, found.plan):
            work = await _counted(request, found.plan)
    return await run_in_threadpool(_view_of, texts, found, work)


def _is_counted(texts: Mapping[str, str], plan: Plan) -> bool:
    """Whether every stitch is counted: where she asks, and where starts cannot be told before."""
    return bool(texts.get("counted")) or starts_need_counting(plan)


async def _counted(request: Request, plan: Plan) -> Work | None:
    try:
        return await workers_of(request).answer(request, counted_work, plan.model_dump_json())
    except Overload:
        raise
    except PlanError:
        return None  # nothing lands: that is told where the page takes its layout


AView = Annotated[SuppliesView, Depends(supplies_view)]


@router.get("/supplies")
def supplies_page(view: AView) -> HTMLResponse:
    """What the plan in the address takes; every figure it rests on is a field of the form."""
    return render(
        "supplies.html",
        view=view,
        look=look_of_form(view.address.texts),
        six=[one for group in GROUPS for one in _questions(group, view) if one.name in SIX],
        groups={
            words: [one for one in _questions(group, view) if one.name not in SIX]
            for group, words in GROUPS.items()
        },
        found=answers(view.supplies, view.chosen.plan) if view.supplies and view.chosen else None,
        standing=STANDING[view.chosen.standing] if view.chosen else "",
        stamp=view.stamp,
        estimated=ESTIMATED,
        sources=_sources(view.units),
    )


@router.get("/supplies/list")
def shopping_page(view: AView) -> HTMLResponse:
    """The shopping list alone, to print."""
    return render("shopping.html", view=view, stamp=view.stamp, look=look_of_form(view.address.texts))


@router.get("/supplies.csv")
def shopping_csv(view: AView) -> Response:
    """The shopping list as CSV; 422 with the troubles in words where there is none."""
    if view.supplies is None:
        words = "\n".join(f"{one.message} {one.cure}" for one in view.troubles.values())
        return Response(words, 422, media_type="text/plain; charset=utf-8")
    return Response(
        to_csv(view.supplies.shopping),
        media_type="text/csv; charset=utf-8",
        headers=attachment(f"{view.address.name} shopping list", "csv", view.stamp),
    )


def _view_of(texts: Mapping[str, str], found: PlanAddress, work: Work | None) -> SuppliesView:
    typed, plan = under(BASIS, texts), found.plan
    if plan is None:
        return SuppliesView(found, typed, bool(texts.get("counted")), found.troubles)
    counted = _is_counted(texts, plan)
    basis, wrong = read_basis(typed, plan.units)
    troubles = {error.field: Trouble.of(error) for error in wrong}
    try:
        chosen = choose(plan)
        work = work or estimated_work(chosen.layout)
        return SuppliesView(found, typed, counted, troubles, chosen, supplies_of(plan, work, basis))
    except PlanError as error:
        return SuppliesView(found, typed, counted, {**troubles, error.field: Trouble.of(error)})


def _sources(units: Units) -> list[tuple[str, str]]:
    """Where the usual figures come from: each question that has one, with its source."""
    return [
        (label_of(name, units), source)
        for name in FIGURES
        if (source := source_of(name, units)) not in (PRACTICE, HERS)
    ]


def _questions(group: Group, view: SuppliesView) -> list[Question]:
    return [
        Question(
            name,
            label_of(name, view.units),
            view.typed.get(name, "")[:60],
            figure_in_words(name, value, view.units) if (value := getattr(usual(view.units), name)) else "",
            figure.hint,
            figure.choices,
            view.typed.get(name) or value if figure.choices else "",
        )
        for name, figure in FIGURES.items()
        if figure.group == group
    ]


def answers(found: Supplies, plan: Plan) -> dict[str, Any]:
    """Every figure of the page in words."""
    units = plan.units
    sewn, time, back = found.thread, found.hours, found.backing
    return {
        "time": time_in_words(time.shown),
        "tasks": [(task.what, part_in_words(task.minutes)) for task in time.tasks if task.minutes.slow],
        "own": time.own,
        "speed": (
            f"{format_length(time.speed.slow, units)} to {format_length(time.speed.quick, units)} a second"
        ),
        "stitched": (thread_sum_words if found.work.estimated else stitched_words)(found.stitched_in, units),
        "retraced": stitched_words((found.work.retraced_in,), units),
        "covers": len(plan.threads) > 1 and plan.travels == "lines_covered_later",
        "estimated": found.work.estimated,
        "starts": found.work.starts,
        "thread": thread_sum_words(found.needle_in + found.bobbin_in, units),
        "needle": thread_sum_words(found.needle_in, units),
        "bobbin": thread_sum_words(found.bobbin_in, units),
        "rules": [(RULES[rule], _per_seam(sewn.per_inch[rule], units), rule == sewn.used) for rule in RULES],
        "why": sewn.why,
        "bobbins": sewn.bobbins,
        "holds": capacity_words(sewn.bobbin_holds_in, units),
        "spools": sewn.spools,
        "border": found.border_buy.words,
        "binding": found.binding_buy.words,
        "backing": found.backing_buy.words,
        "batting": f"{found.batting.pack.name} pack" if found.batting.pack else "off the roll",
        "cuts": [_cut(cut, units) for cut in found.cuts],
        "panels": Markup(panels(back, found.basis.backing_overhang_in, units)),
        "seams": [format_length(seam, units) for seam in back.seams_in],
        "run": back.run,
        "open_held": found.open_held,
        "open": format_length(found.work.open_in, units),
        "limit": format_length(found.basis.batting_limit_in, units),
        "price": _price_rows(found),
        "costs": _money(found.price.low, found.price.high, found) if found.price else "",
        "least": bool(found.price and found.price.minimum_applied),
        "lines": found.shopping,
        "threads": [_thread_row(one, plan) for one in found.by_thread],
        "runs_on": not own_bobbins(found.basis),
        "moves": _moves_in_words(found.work),
    }


def _price_rows(found: Supplies) -> list[tuple[str, str]]:
    return [
        (line.what, _money(line.low, line.high, found)) for line in (found.price.lines if found.price else ())
    ]


def _money(low: Decimal, high: Decimal, found: Supplies) -> str:
    """From low to high, once where it is one figure."""
    words = [money_words(amount, found.basis.currency) for amount in ((low, high) if high != low else (low,))]
    return " to ".join(words)


def _per_seam(inches: float, units: Units) -> str:
    """Thread for one unit of seam, in that unit."""
    return format_length(inches, units) if units == "in" else f"{inches:.1f} {units}"


def _thread_row(one: ThreadTakes, plan: Plan) -> dict[str, Any]:
    """What one thread takes, in words."""
    path, sewn, units = one.path, one.sewn, plan.units
    return {
        "name": thread_name(plan, path.thread),
        "colours": plan.every_thread[path.thread].colours,
        "parts": parts_in_words(plan, path.thread),
        "stitched": stitched_words((path.length,), units),
        "starts": f"{path.starts:,}" + (f", {path.carries:,} carried" if path.carries else ""),
        "needle": thread_words(sewn.needle_in, units),
        "bobbins": sewn.bobbins,
        "spools": sewn.spools,
        "minutes": part_in_words(one.minutes),
        "tying": part_in_words(one.tying),
        "tied": one.tying.slow > one.minutes.slow / 2,
    }


def _moves_in_words(work: Work) -> str:
    """How often a thread is changed, and the quilt moved on; '' for never."""
    told = (
        (work.changes, "change of thread", "changes of thread"),
        (work.advances, "advance of the quilt", "advances of the quilt"),
    )
    return ", ".join(f"{n:,} {one if n == 1 else many}" for n, one, many in told if n)


def _cut(cut: Cut, units: Units) -> tuple[str, int, str, str, str]:
    return (
        cut.what,
        cut.count,
        format_length(cut.width_in, units),
        format_length(cut.length_in, units),
        cut.note,
    )
