"""Circle templates to print, glue on card and cut out: exact diameter, centre cross, quarter marks."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, hypot, pi, sin

import numpy as np

from planner.border.layout import Layout
from planner.border.spine import Circle
from planner.chalk.marking import chalked_round
from planner.errors import PlanError
from planner.geometry.arrays import SAME_IN
from planner.geometry.curves import Point
from planner.lengths import format_length
from planner.plan import Units
from planner.sheets import about
from planner.sheets.drawing import Box, Drawing, Label, Stroke, cross, line, whole
from planner.sheets.free import covering
from planner.sheets.paper import Paper
from planner.sheets.pattern_pdf import FULL_SIZE, set_of, sets_of, tile_page
from planner.sheets.pdf import POINT, QUIET, Book, book_of
from planner.sheets.text import fitted

AROUND_IN = 0.15  # as far as the quarter marks reach: a 7 in circle is whole on A4
QUARTER_IN = 0.3  # length of a quarter mark, half on each side of the line
BAR: dict[Units, tuple[float, int]] = {  # from mark to mark, and how many: 6 in or 15 cm
    "in": (0.5, 12),
    "cm": (1 / 2.54, 15),
    "mm": (1 / 2.54, 15),
}
BAR_HIGH_IN, BAR_AIR_IN = 0.2, 0.05
LARGEST_TEMPLATE_IN = 36.0  # beyond it nobody cuts a circle from card


def missing(layout: Layout) -> list[float]:
    """Those of them that are not in her tin."""
    tin = layout.plan.tin_in
    return [size for size in chalked_round(layout) if all(abs(size - own) > SAME_IN for own in tin)]


def templates_pdf(layout: Layout, diameters: list[float], on: Paper, saved_at: float | None = None) -> bytes:
    """Templates of these diameters (inches): small ones together on a sheet, large ones over several.

    Raises PlanError when there is none to print, or one is too large to cut from card.
    """
    if not diameters:
        raise PlanError(
            "Every circle of this plan is in your tin.",
            field="sizes",
            cure="Ask for all sizes to print them anyway.",
        )
    if max(diameters) > LARGEST_TEMPLATE_IN:
        units = layout.plan.units
        raise PlanError(
            f"A circle of {format_length(max(diameters), units)} is too large to print and cut.",
            field="sizes",
            cure="Draw it with a pencil on a string, or take a proposal with a smaller corner circle.",
        )
    book = book_of(layout, "circle templates", saved_at)
    units = layout.plan.units
    drawings = [_template(diameter, units) for diameter in diameters]
    fits = [d for d in drawings if d.box.width <= on.width - 2 * on.margin]
    _together(book, layout, fits, on)
    for one in sets_of([d for d in drawings if d not in fits], on, units):
        for row in range(one.tiling.rows):
            for column in range(one.tiling.columns):
                tile_page(book, layout, set_of(one.drawing, one.tiling), column, row)
    return book.done()


def _together(book: Book, layout: Layout, drawings: list[Drawing], on: Paper) -> None:
    """Whole templates side by side, as many to a sheet as fit; the check square in empty paper."""
    foot = fitted(about.name_of(layout), 7, 160) + f" · {layout.stamp} · circle templates · {FULL_SIZE}"
    foot = fitted(foot, 7, (on.width - 2 * on.margin) * POINT)
    inside = Box(on.margin, on.margin, on.width - 2 * on.margin, on.height - 2 * on.margin)
    bar = _bar(layout.plan.units)
    checked = False
    for number, page in enumerate([*_pages(drawings, inside, bar.box.height), []]):
        if checked and not page:
            break  # a sheet for the square alone is only needed where no other had room for it
        book.page(on.width, on.height)
        book.text(on.margin, on.height - 0.2, foot, 7, colour=QUIET, tag="Artifact")
        covered = [p for drawing, (x, y) in page for p in _covered(x, y, drawing.box.width)]
        if number == 0:
            book.draw(bar, (on.margin, on.margin), alt=f"A bar of {bar.title}, to test the printer")
            covered += covering(Box(on.margin, on.margin, bar.box.width, bar.box.height))
        for drawing, at in page:
            book.draw(drawing, at)
        checked |= book.check_in_free_paper(np.array(covered, dtype=float).reshape(-1, 2), inside)


def _bar(units: Units) -> Drawing:
    """A bar to lay her ruler on before she prints the rest: marks at every half inch, or every centimetre."""
    step, count = BAR[units]
    long = step * count
    strokes = [line("raw edge", (0.0, BAR_HIGH_IN), (long, BAR_HIGH_IN))]
    for mark in range(count + 1):
        high = BAR_HIGH_IN if mark in (0, count) else BAR_HIGH_IN / (2 if mark * step % 1 < SAME_IN else 3)
        strokes.append(line("raw edge", (mark * step, BAR_HIGH_IN - high), (mark * step, BAR_HIGH_IN)))
    size = format_length(long, units)
    words = (
        f"Print this sheet alone first and lay your ruler on the bar: {size} from end to end.",
        "If it is not, set the printer to 100 % (actual size) and try again.",
    )
    labels = tuple(
        Label((0.0, BAR_HIGH_IN + 0.16 * (n + 1)), text, 0.115, "start", layer="circle")
        for n, text in enumerate(words)
    )
    return Drawing(
        Box(-BAR_AIR_IN, -BAR_AIR_IN, long + 2 * BAR_AIR_IN, BAR_HIGH_IN + 0.48), tuple(strokes), labels, size
    )


def _covered(x: float, y: float, size: float) -> Iterator[Point]:
    """Points all over a template whose box has its top left corner at (x, y)."""
    radius = size / 2
    for px, py in covering(Box(x, y, size, size)):
        if hypot(px - x - radius, py - y - radius) <= radius:
            yield px, py


def _pages(drawings: list[Drawing], inside: Box, bar: float) -> list[list[tuple[Drawing, Point]]]:
    """Each page's templates with their places, inches from its top left corner; on the first, below the bar.

    They stand in rows, the largest first; each in the first row that still has room for it.
    """
    right, floor = inside.x + inside.width, inside.y + inside.height
    pages: list[list[tuple[Drawing, Point]]] = []
    rows: list[tuple[int, float, float, float]] = []  # page, top, height, and where it goes on
    for drawing in sorted(drawings, key=lambda one: -one.box.width):
        size = drawing.box.width
        for i, (page, top, high, x) in enumerate(rows):
            if size <= high and x + size <= right:
                rows[i] = (page, top, high, x + size)
                break
        else:
            last = rows[-1] if rows else None
            page, top = (last[0], last[1] + last[2]) if last else (-1, floor)
            if top + size > floor:
                page, top = page + 1, inside.y + (bar if not pages else 0.0)
                pages.append([])
            x = inside.x
            rows.append((page, top, size, x + size))
        pages[page].append((drawing, (x, top)))
    return pages


def _template(diameter: float, units: Units) -> Drawing:
    radius = diameter / 2
    circle = Circle((0.0, 0.0), radius, "ring", 1)
    strokes = [Stroke("raw edge", (whole(circle),)), *cross("guide line", (0.0, 0.0), min(radius / 4, 0.6))]
    inwards = min(QUARTER_IN, radius / 5)
    for quarter in range(4):
        angle = quarter * pi / 2
        ends = [
            (reach * cos(angle), reach * sin(angle)) for reach in (radius - inwards, radius + QUARTER_IN / 2)
        ]
        strokes.append(line("raw edge", *ends))
    size = format_length(diameter, units)
    letters = min(0.2, radius / 4)
    labels = (
        Label((0.0, -radius * 0.45), size, letters, bold=True),
        Label((0.0, radius * 0.55), "cut on the line", min(0.12, radius / 7), layer="circle"),
    )
    side = diameter + 2 * AROUND_IN
    return Drawing(Box(-side / 2, -side / 2, side, side), tuple(strokes), labels, f"{size} circle")
