"""The chalk sheet on paper: the steps with their drawings, then a table for each side."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from planner.border.layout import Layout
from planner.chalk.marking import Mark, SideMarks, Stance, circle_name, side_marks
from planner.chalk.steps import datum_words, error_words, has_plus
from planner.geometry.curves import Line
from planner.lengths import format_length
from planner.plan import Units
from planner.sheets.drawing import INK, Box, Pen
from planner.sheets.figures import strip
from planner.sheets.page import ACCENT, LEFT_IN, TOP_IN, Pages
from planner.sheets.paper import Paper
from planner.sheets.pattern import sides_title
from planner.sheets.pdf import QUIET

ROW_IN = 0.235
TIGHT_ROW_IN = 0.21  # rows this low still read at arm's length; a table that then fits is not parted
HEAD_IN = 0.23  # of the column titles
HEAD_PT = 8
AGAIN_PT = 11  # of a side's name where its table goes on
LEAST_ROWS = 8  # together on a page, where a table is parted
RULE = Pen("#c9cfd4", 0.5)
CLOSING_PT = 9
SHADE = "#f4f1e8"
COLUMNS = (  # each with where it begins, inches; the second where numbers have their sizes beside them
    ("No.", 0.0, 0.0),
    ("Along", 0.45, 1.05),
    ("From the edge", 1.3, 1.9),
    ("Chalk, by the clock", 2.5, 3.0),
    ("How far round", 3.85, 4.15),
    ("Turn", 5.85, 5.95),
)


def chalk_pdf(layout: Layout, stance: Stance, on: Paper, saved_at: float | None = None) -> bytes:
    """Every step, and every side's readings. saved_at: see Book."""
    tables = side_marks(layout, stance)
    pages = Pages(layout, "chalk sheet", on, saved_at)
    pages.name()
    pages.words(opening(tables), 10.5, colour=QUIET, after=0.14)
    pages.steps(tables)
    closing = error_words(tables)
    for table in tables:
        last = table is tables[-1]
        _side(pages, table, below=pages.height_of(closing, CLOSING_PT) + 0.15 if last else 0.0)
    pages.words(closing, CLOSING_PT, colour=QUIET)
    return pages.book.done()


def opening(tables: list[SideMarks]) -> str:
    """How to stand and read, at the head of the sheet."""
    shown = f" The drawings beside the steps show the {tables[0].sides[0]} side." if len(tables) > 1 else ""
    plus = " A + after a reading means half a mark more." if has_plus(tables) else ""
    return (
        "Stand at the raw edge with the quilt before you: 6 o'clock is the raw edge, at the foot of "
        "every drawing here, 12 o'clock the quilt. Read "
        f"every position along from {datum_words(tables[0])}, and in from the raw edge.{plus} Test the chalk on a "
        f"scrap of the same cloth first.{shown}"
    )


def _side(pages: Pages, table: SideMarks, *, below: float) -> None:
    """One table: its drawing, its circles, a row for each mark; name and head are repeated on a new page.

    below: what else must stand under the last row, inches.
    """
    drawing, title, words = strip(table), sides_title(table.sides), sizes(pages.layout, table)
    above = (
        0.12
        + (pages.height_of(title, 14, bold=True) + 0.02)
        + (pages.height_of(words, 9.5) + 0.08)
        + (drawing.box.height * pages.room / drawing.box.width + 0.08)
        + HEAD_IN
    )
    again = f"{title}, continued"
    over = pages.height_of(again, AGAIN_PT, bold=True) + HEAD_IN
    row, parts = _parted(pages, len(table.marks), above, over, below)
    pages.y += 0.12
    pages.words(title, 14, bold=True, after=0.02, tag="H2")
    pages.words(words, 9.5, colour=QUIET)
    pages.picture(drawing, alt=f"{title} with the number of each circle")
    marks = iter(enumerate(table.marks))
    with pages.book.tags.group("Table"):
        for part, rows in enumerate(parts):
            if part:
                pages.turn()
                pages.words(again, AGAIN_PT, bold=True, after=0.0, tag="Artifact")
            _head(pages, table)
            for i, mark in islice(marks, rows):
                _row(pages, table, mark, row, shaded=i % 2 == 1)
    pages.y += 0.1


def _parted(pages: Pages, rows: int, above: float, over: float, below: float) -> tuple[float, list[int]]:
    """How high each row is (inches), and how many stand on each page from here; turns the page where need be.

    above: what stands above the first row; over: above the first on each page that follows; below: under the last.
    """
    if pages.y + above + rows * ROW_IN + below <= pages.floor:
        return ROW_IN, [rows]
    tight = (pages.floor - TOP_IN - above - below) / rows
    if tight >= TIGHT_ROW_IN:
        pages.need(pages.floor)
        return min(ROW_IN, tight), [rows]
    pages.need(above + LEAST_ROWS * ROW_IN)
    room, full = (int((pages.floor - top) / ROW_IN) for top in (pages.y + above, TOP_IN + over))
    parts, rest = [], rows
    while rest * ROW_IN + below > room * ROW_IN:
        parts.append(min(room, rest - LEAST_ROWS))
        rest, room = rest - parts[-1], full
    return ROW_IN, [*parts, rest]


def sizes(layout: Layout, table: SideMarks) -> str:
    """Which circle each letter stands for, and where the readings start."""
    found: dict[str, list[float]] = {}
    for mark in table.marks:
        found.setdefault(mark.kind, []).append(mark.diameter_in)
    words = [f"C: {circle_name(layout, found['corner'][0])}"]
    words.append(
        "curls: the circle beside each number"
        if many_sizes(table)
        else f"curls: {circle_name(layout, found['curl'][0])}"
    )
    if any(mark.name == "W" for mark in table.marks):
        words.append(f"W: {circle_name(layout, found['ring'][0])}")
    if "string" in found:
        words.append("s: a pin, and the string of the last step")
    if "hook" in found:
        words.append(f"h, the hooks: {circle_name(layout, found['hook'][0])}")
    other = (
        " The other half is its mirror: the same readings, each turning the other way."
        if table.mirror_half
        else ""
    )
    return f"{'; '.join(words)}. Along is from {datum_words(table)}.{other}"


def many_sizes(table: SideMarks) -> bool:
    """Whether the curls of a side need a circle named for each."""
    return len({mark.diameter_in for mark in table.marks if mark.kind == "curl"}) > 1


def along_words(table: SideMarks, mark: Mark) -> str:
    """The reading along, with the way to measure where a table holds both halves from the middle."""
    return f"{mark.along}" if table.mirror_half or not mark.half else f"{mark.along} {mark.half}"


def name_words(table: SideMarks, mark: Mark, units: Units) -> str:
    """The mark's number, with its circle where a side has many."""
    if mark.kind == "curl" and many_sizes(table):
        return f"{mark.name}  ({format_length(mark.diameter_in, units)})"
    return mark.name


def row_words(layout: Layout, table: SideMarks, mark: Mark) -> tuple[str, str, str, str, str, str]:
    """The row of a mark, as the columns have it."""
    chalk = ("already chalked", "", "") if mark.again else (mark.from_to, mark.how_far, mark.turn)
    name = name_words(table, mark, layout.plan.units)
    return name, along_words(table, mark), str(mark.depth), *chalk


def _head(pages: Pages, table: SideMarks) -> None:
    book, y = pages.book, pages.y + HEAD_IN - 0.07
    unit = table.outer.units
    with book.tags.group("TR"):
        for title, x in _columns(table):
            with_unit = f"{title}, {unit}" if title in ("Along", "From the edge") else title
            book.text(LEFT_IN + x, y, with_unit, HEAD_PT, bold=True, colour=QUIET, tag="TH")
    pages.y = y + 0.07
    book.stroke([Line((LEFT_IN, pages.y), (LEFT_IN + pages.room, pages.y))], RULE)


def _columns(table: SideMarks) -> Iterator[tuple[str, float]]:
    """Column titles and where they begin, inches; numbers take more room where sizes stand beside them."""
    for title, plain, beside in COLUMNS:
        yield title, beside if many_sizes(table) else plain


def _row(pages: Pages, table: SideMarks, mark: Mark, high: float, *, shaded: bool) -> None:
    book, y = pages.book, pages.y
    if shaded:
        book.rectangle(Box(LEFT_IN, y, pages.room, high), fill=SHADE)
    cells = row_words(pages.layout, table, mark)
    with book.tags.group("TR"):
        for i, ((_, x), cell) in enumerate(zip(_columns(table), cells, strict=True)):
            strong = i in (1, 2)
            size, colour = (11.0 if strong else 9.5), (ACCENT if i == 0 else INK)
            book.text(
                LEFT_IN + x,
                y + high - 0.07,
                cell,
                size,
                bold=strong or i == 0,
                colour=colour,
                tag="TD" if i else "TH",
            )
    pages.y = y + high
