"""Layout, fill, stitching path and pattern as the curls grow from ten to ten thousand."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from planner.border.band import Band, Quilt
from planner.border.layout import Layout, chains_of, place, placed
from planner.fills import fill
from planner.plan import SIDES, Choice, Counts, Plan, SideLengths
from planner.sheets.paper import paper
from planner.sheets.pattern import patterns
from planner.sheets.pattern_pdf import pattern_pdf
from planner.stitching.order import path_of
from tests.benchmarks.table import Row, column
from tests.strategies import chain_length

CURLS = (8, 96, 1000, 8000)  # eight runs, and a run holds a thousand at most


def growing() -> Iterator[Row]:
    """Cells repeat and stitches do not: a fill should grow less than its curls, all else as they do."""
    works = {curls: placing(curls // 8) for curls in CURLS}
    yield from column("layout", works, lambda work: work())
    layouts = {curls: work() for curls, work in works.items()}
    yield from column("fill", layouts, fill)
    yield from column("stitching path of the spines", layouts, path_of)
    filled = {curls: (layout, fill(layout)) for curls, layout in layouts.items()}
    yield from column("stitching path of all", filled, lambda both: path_of(*both))
    on = paper("roll", 36.0)
    yield from column(
        "pattern as PDF on a 36 in roll", layouts, lambda one: pattern_pdf(one, patterns(one), on)
    )


def placing(k: int) -> Callable[[], Layout]:
    """Places a quilt with k curls in each of its eight runs, however long its sides become.

    The quilt is measured backwards from the curls; past the 240 in that a plan allows it is no real one.
    """
    height, corner_radius, r = 3.75, 2.2, 1.6
    span = 2 * chain_length("butted", height, corner_radius, r, k, 0.0, 0.0, 0.02)
    plan = Plan(
        sides_in=SideLengths(top=100.0, right=100.0, bottom=100.0, left=100.0),
        border_in=SideLengths(top=6.0, right=6.0, bottom=6.0, left=6.0),
        tin_in=(2 * r, 2 * corner_radius),
    )
    choice = Choice(
        corner_diameter_in=2 * corner_radius,
        run_diameter_in=2 * r,
        meeting="butted",
        counts=Counts(top=k, right=k, bottom=k, left=k),
    )
    bands = {side: Band(side, span, height, room=1.0, strip=0.0, allowance=0.25) for side in SIDES}
    quilt = Quilt(span + 2.5, span + 2.5, bands, bands)
    if span + 2.5 <= 240:
        sides = dict.fromkeys(SIDES, span + 2.5)
        real = plan.model_copy(update={"sides_in": SideLengths(**sides)})
        return lambda: place(real, choice)

    def work() -> Layout:
        chains = chains_of(plan, choice, bands)
        return placed(plan, choice, quilt, chains, chains)

    return work
