"""The full-size pattern on sheets of paper: a cover with the sheet map, then every tile at true scale.

Each drawing is one form, placed on every tile behind a window (0.15 MB where redrawing it took 1.7 MB).
Neighbouring tiles share an overlap; the trim lines in its middle coincide when two sheets are joined.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from planner.border.circles import sizes_in_words
from planner.border.layout import Layout
from planner.border.said import room_and_strip
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Line
from planner.plan import Units
from planner.sheets import about
from planner.sheets.drawing import INK, Box, Drawing, Label, Pen, half_round
from planner.sheets.free import points_along, points_of_label
from planner.sheets.paper import OVERLAP_IN, PAPERS, USUAL, Paper, Tiling, check_sheets, tile
from planner.sheets.pattern import Pattern
from planner.sheets.pdf import POINT, QUIET, Book, book_of
from planner.sheets.text import fitted, width

Progress = Callable[[int, int, str], None]

TRIM = Pen("#8a949e", 0.4, (4, 3))
CROP = Pen(INK, 0.6)
MAP = Pen("#5b6670", 0.6)
CROP_IN = 0.14
BAR = Pen("#8a949e", 2.2)  # in the margin, along a strip that is on both sheets
BAR_OFF_IN = 0.03
LABEL_PT = 14
FULL_SIZE = "Print at 100 % (actual size), never “fit to page”; measure a check square first."
HOW_TO_JOIN = (
    f"1. {FULL_SIZE}",
    "2. Where two sheets meet, a strip is printed on both, marked by a bar in the margin. Trim the right and lower "
    "edge of each sheet along the dashed trim line in the middle of that strip. Lay it on the next sheet so that "
    "trim line lies on trim line and every line runs on, and tape.",
    "3. Lay the raw edge of the pattern, the lowest line on these sheets, on the raw edge of the quilt, corner on "
    "corner, and its middle line on the middle of the side. Like the chalk sheet they show the border as you stand "
    "at the raw edge.",
)


@dataclass(frozen=True, slots=True)
class Set:
    """The sheets of one drawing. letter: set before the labels when there are several drawings.

    lines: the drawing without its words, which each sheet sets anew; points: (n, 2), what they cover of the paper.
    """

    drawing: Drawing
    tiling: Tiling
    letter: str
    lines: Drawing
    points: Numbers

    def label(self, column: int, row: int) -> str:
        """What is printed on each sheet of the set."""
        return f"{self.letter}{self.tiling.label(column, row)}"

    @property
    def grid_width(self) -> float:
        """How wide the sheets are once they are taped together, inches."""
        return self.tiling.step_x * (self.tiling.columns - 1) + self.tiling.window_width

    @property
    def grid_height(self) -> float:
        """How high the sheets are once they are taped together, inches."""
        return self.tiling.step_y * (self.tiling.rows - 1) + self.tiling.window_height

    def window(self, column: int, row: int) -> Box:
        """What a tile shows, in the drawing's coordinates."""
        box, tiling = self.drawing.box, self.tiling
        return Box(
            box.x + column * tiling.step_x,
            box.y + row * tiling.step_y,
            tiling.window_width,
            tiling.window_height,
        )


def silent(done: int, of: int, what: str) -> None:
    """Nobody is waiting."""


def sets_of(drawings: list[Drawing], on: Paper, units: Units) -> list[Set]:
    """How every drawing is cut. Raises PlanError for more sheets than can be taped true."""
    sizes = [(drawing.box.width, drawing.box.height) for drawing in drawings]
    tilings = [tile(width, height, on) for width, height in sizes]
    check_sheets(sum(t.sheets for t in tilings), on, sizes, units)
    many = len(drawings) > 1
    return [
        set_of(drawing, tiling, f"{i + 1}-" if many else "")
        for i, (drawing, tiling) in enumerate(zip(drawings, tilings, strict=True))
    ]


def set_of(drawing: Drawing, tiling: Tiling, letter: str = "") -> Set:
    """A drawing with the sheets it is cut into."""
    return Set(drawing, tiling, letter, replace(drawing, labels=()), points_along(drawing.strokes))


def pattern_pdf(
    layout: Layout,
    patterns: list[Pattern],
    on: Paper,
    progress: Progress = silent,
    saved_at: float | None = None,
) -> bytes:
    """The cover and every sheet, raw edge at the foot as on the chalk sheet. progress is told after each."""
    sets = sets_of([half_round(pattern.drawing) for pattern in patterns], on, layout.plan.units)
    sheets = sum(one.tiling.sheets for one in sets)
    book = book_of(layout, "full-size pattern", saved_at)
    _cover(book, layout, sets, sheets, on)
    done = 0
    for one in sets:
        for row in range(one.tiling.rows):
            for column in range(one.tiling.columns):
                tile_page(book, layout, one, column, row)
                done += 1
                progress(done, sheets, f"Sheet {one.label(column, row)} of {one.drawing.title.lower()}")
    return book.done()


def tile_page(book: Book, layout: Layout, one: Set, column: int, row: int) -> None:
    """A sheet of a drawing: a window at true scale, trim lines, marks, label; a check square in free paper."""
    tiling = one.tiling
    sheet, margin = tiling.paper, tiling.paper.margin
    book.page(sheet.width, sheet.height)
    window = one.window(column, row)
    words = _words_on(one, window)
    with book.tags.marked("Figure", f"Sheet {one.label(column, row)} of the pattern: {one.drawing.title}"):
        book.draw(one.lines, (margin, margin), window=window)
        for label in words:
            book.label(label, (label.at[0] - window.x + margin, label.at[1] - window.y + margin))
    with book.tags.marked("Artifact"):
        _trim(book, one, column, row)
    inside = margin + OVERLAP_IN
    empty = Box(inside, inside, sheet.width - 2 * inside, sheet.height - 2 * inside)
    taken = np.concatenate((one.points, *(points_of_label(label) for label in words)))
    book.check_in_free_paper(taken - (window.x - margin, window.y - margin), empty)
    with book.tags.marked("Artifact"):
        _foot(book, layout, one, column, row)


def _words_on(one: Set, window: Box) -> list[Label]:
    """The words that belong on this sheet, moved so that its end cuts none of them."""
    found = []
    for label in one.drawing.labels:
        x, y = label.at[0] - window.x, label.at[1] - window.y
        if not (0 <= x <= window.width and 0 <= y <= window.height):
            continue
        wide = width(label.text, label.size * POINT, bold=label.bold) / POINT
        x -= {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor] * wide
        x = max(min(x, window.width - wide - 0.05), 0.05)
        found.append(replace(label, at=(window.x + x, label.at[1]), anchor="start"))
    return found


def _foot(book: Book, layout: Layout, one: Set, column: int, row: int) -> None:
    """What the sheet is, between the crop marks."""
    sheet, tiling = one.tiling.paper, one.tiling
    left = sheet.margin + OVERLAP_IN / 2 + 0.08
    label = one.label(column, row)
    book.text(sheet.width - left, sheet.height - 0.2, label, LABEL_PT, bold=True, anchor="end", colour=QUIET)
    room = (sheet.width - 2 * left - 0.1) * POINT - width(label, LABEL_PT, bold=True)
    below = f" · {one.label(column, row + 1)} joins below" if row < tiling.rows - 1 else ""
    words = f" · {layout.stamp} · {one.drawing.title} · sheet {label} of {tiling.sheets}{below} · {FULL_SIZE}"
    short = fitted(about.name_of(layout), 7, max(60.0, room - width(words, 7)))
    book.text(left, sheet.height - 0.2, fitted(short + words, 7, room), 7, colour=QUIET)


def _trim(book: Book, one: Set, column: int, row: int) -> None:
    """Trim lines in the middle of each overlap, crop marks where they meet the margin, and the neighbours."""
    tiling = one.tiling
    left = top = tiling.paper.margin
    right, bottom = left + tiling.window_width, top + tiling.window_height
    half = OVERLAP_IN / 2
    xs = {
        "left": left + half if column else left,
        "right": right - half if column < tiling.columns - 1 else right,
    }
    ys = {"top": top + half if row else top, "bottom": bottom - half if row < tiling.rows - 1 else bottom}
    for x in xs.values():
        book.stroke([Line((x, top - CROP_IN), (x, top - 0.03))], CROP)
        book.stroke([Line((x, bottom + 0.03), (x, bottom + CROP_IN))], CROP)
    for y in ys.values():
        book.stroke([Line((left - CROP_IN, y), (left - 0.03, y))], CROP)
        book.stroke([Line((right + 0.03, y), (right + CROP_IN, y))], CROP)
    above = top - 0.07
    shared = (
        ((left, left + OVERLAP_IN), column > 0),
        ((right - OVERLAP_IN, right), column < tiling.columns - 1),
    )
    for (begin, end), there in shared:
        if there:
            for y in (top - BAR_OFF_IN, bottom + BAR_OFF_IN):
                book.stroke([Line((begin, y), (end, y))], BAR)
    shared = (((top, top + OVERLAP_IN), row > 0), ((bottom - OVERLAP_IN, bottom), row < tiling.rows - 1))
    for (begin, end), there in shared:
        if there:
            for x in (left - BAR_OFF_IN, right + BAR_OFF_IN):
                book.stroke([Line((x, begin), (x, end))], BAR)
    if column:
        book.stroke([Line((xs["left"], top), (xs["left"], bottom))], TRIM)
        book.text(left + half + 0.08, above, f"« {one.label(column - 1, row)} joins here", 7, colour=QUIET)
    if column < tiling.columns - 1:
        book.stroke([Line((xs["right"], top), (xs["right"], bottom))], TRIM)
        words = f"{one.label(column + 1, row)} joins here »"
        book.text(right - half - 0.08, above, words, 7, anchor="end", colour=QUIET)
    if row:
        book.stroke([Line((left, ys["top"]), (right, ys["top"]))], TRIM)
        words = f"{one.label(column, row - 1)} joins above"
        book.text((left + right) / 2, above, words, 7, anchor="middle", colour=QUIET)
    if row < tiling.rows - 1:
        book.stroke([Line((left, ys["bottom"]), (right, ys["bottom"]))], TRIM)


def _cover(book: Book, layout: Layout, sets: list[Set], sheets: int, on: Paper) -> None:
    """What it is, how to print and join it, and the map of the sheets, on one page."""
    sheet = PAPERS[USUAL[layout.plan.units]] if on.roll else on
    wide, high = sheet.width, sheet.height
    book.page(wide, high)
    left, floor = 0.6, high - 0.6
    room = wide - 2 * left
    many = "s" if sheets > 1 else ""
    what = (
        f"Full-size pattern on {sheets} sheet{many} of {on.name}. {sizes_in_words(layout)}. "
        f"Room for the fill: {room_and_strip(layout)}. "
        f"Stamp {layout.stamp}: it belongs to every sheet that carries the same."
    )
    y = book.paragraph(left, 0.45, room, about.name_of(layout), 20, bold=True, tag="H1") + 0.08
    if note := about.name_note(layout):
        y = book.paragraph(left, y, room, note, 10, colour=QUIET) + 0.05
    y = book.paragraph(left, y, room, what, 11, colour=QUIET) + 0.1
    for step in HOW_TO_JOIN:
        y = book.paragraph(left, y, room, step, 10) + 0.05
    book.check_square(left, floor)
    with book.tags.marked("Figure", "How the sheets lie"):
        _maps(book, sets, Box(left, y + 0.25, room, floor - 4.3 - y - 0.25))


def _bare(drawing: Drawing) -> Drawing:
    """The drawing without its fill and words, which would only blacken a small map."""
    return replace(drawing, strokes=tuple(s for s in drawing.strokes if s.layer != "fill"), labels=())


def _maps(book: Book, sets: list[Set], box: Box) -> None:
    """Each drawing made small with the sheets' outlines and labels over it; two abreast when there are more."""
    abreast = 1 if len(sets) < 3 else 2
    down = -(-len(sets) // abreast)
    cell_width = (box.width - 0.3 * (abreast - 1)) / abreast
    cell_height = box.height / down
    scale = min(
        1.0, *(min(cell_width / one.grid_width, (cell_height - 0.45) / one.grid_height) for one in sets)
    )
    for i, one in enumerate(sets):
        x, y = box.x + (i % abreast) * (cell_width + 0.3), box.y + (i // abreast) * cell_height
        tiling, drawing = one.tiling, one.drawing
        words = f"{drawing.title}: {tiling.columns} across, {tiling.rows} down"
        book.text(x, y + 0.12, words, 10, bold=True)
        y += 0.22
        book.draw(_bare(drawing), (x, y), scale=scale)
        size = (tiling.window_width * scale, tiling.window_height * scale)
        for row in range(tiling.rows):
            for column in range(tiling.columns):
                x0, y0 = x + column * tiling.step_x * scale, y + row * tiling.step_y * scale
                book.rectangle(Box(x0, y0, *size), MAP)
                middle = x0 + size[0] / 2
                label = one.label(column, row)
                long = width(label, 8, bold=True) / POINT
                book.rectangle(
                    Box(middle - long / 2 - 0.03, y0 + size[1] - 0.16, long + 0.06, 0.14), fill="#ffffff"
                )
                book.text(middle, y0 + size[1] - 0.05, label, 8, bold=True, anchor="middle", colour=INK)
