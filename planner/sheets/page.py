"""Pages that fill from the top: words, steps with their drawings, and a new page when the old one is full."""

from __future__ import annotations

from dataclasses import replace

from planner.border.layout import Layout
from planner.chalk.marking import SideMarks
from planner.chalk.steps import ChalkStep, steps
from planner.sheets import about
from planner.sheets.drawing import INK, Drawing
from planner.sheets.figures import step_figures
from planner.sheets.paper import Paper
from planner.sheets.pdf import POINT, QUIET, book_of
from planner.sheets.tags import Tag
from planner.sheets.text import fitted, width, wrap

LEFT_IN = 0.6
TOP_IN = 0.5
FOOT_IN = 0.45
BETWEEN_IN = 0.3
LEADING = 1.32 / POINT  # inches of line for each point of letter size
WORDS_PT = 9.5
HEADING_PT = 13
HEADING_IN = 0.1 + HEADING_PT * LEADING + 0.06  # what a heading of one line takes, with the air about it
FOLLOWS_IN = 0.8  # of what stands under it: a heading is never left alone at the foot of a page
AFTER_PICTURE_IN = 0.08
ACCENT = "#b3412e"


class Pages:
    """A book being filled; y is where the next thing goes, inches from the top."""

    def __init__(self, layout: Layout, title: str, on: Paper, saved_at: float | None = None) -> None:
        self.layout, self.on = layout, on
        self.book = book_of(layout, title, saved_at)
        self.room = on.width - 2 * LEFT_IN
        self.floor = on.height - FOOT_IN - 0.3
        self.y = 0.0
        self.title = title
        self.turn()

    def turn(self) -> None:
        """Begin a new page, with its foot line."""
        on, book = self.on, self.book
        book.page(on.width, on.height)
        foot = on.height - FOOT_IN + 0.05
        name = fitted(f"{about.name_of(self.layout)} · {self.title}", 8, (self.room - 1.6) * POINT)
        book.text(LEFT_IN, foot, name, 8, colour=QUIET, tag="Artifact")
        book.text(
            on.width - LEFT_IN,
            foot,
            f"{self.layout.stamp} · page {book.pages}",
            8,
            anchor="end",
            colour=QUIET,
            tag="Artifact",
        )
        self.y = TOP_IN

    def need(self, height: float) -> None:
        """Turn the page when ``height`` inches no longer fit on it."""
        if self.y + height > self.floor and self.y > TOP_IN:
            self.turn()

    @property
    def left(self) -> float:
        """How much of the page is empty, inches."""
        return self.floor - self.y

    def name(self) -> None:
        """The plan's name at the head, smaller when it is long."""
        name, note = about.name_of(self.layout), about.name_note(self.layout)
        size = 20 if width(name, 20, bold=True) <= self.room * POINT else 14
        self.words(name, size, bold=True, tag="H1")
        if note:
            self.words(note, colour=QUIET)

    def words(
        self,
        text: str,
        size: float = WORDS_PT,
        *,
        bold: bool = False,
        colour: str = INK,
        after: float = 0.08,
        tag: Tag = "P",
    ) -> None:
        """A paragraph across the page."""
        self.need(self.height_of(text, size, bold=bold))
        self.y = (
            self.book.paragraph(LEFT_IN, self.y, self.room, text, size, bold=bold, colour=colour, tag=tag)
            + after
        )

    def height_of(self, text: str, size: float, *, bold: bool = False) -> float:
        """What a paragraph takes of the page, inches."""
        return len(wrap(text, size, self.room * POINT, bold=bold)) * size * LEADING

    def heading(self, text: str, follows: float = FOLLOWS_IN) -> None:
        """A heading, kept on one page with what follows it, at least so many inches."""
        self.need(HEADING_IN + follows)
        self.y += 0.1
        self.words(text, HEADING_PT, bold=True, after=0.06, tag="H2")

    def listing(self, title: str, lines: tuple[str, ...]) -> None:
        """A heading over lines with a dash before each, in two columns; all on one page."""
        wide, columns = self._columns(lines)
        height = self.listed(lines)
        self.heading(title, height)
        for i, column in enumerate(columns):
            x, y = LEFT_IN + i * (wide + BETWEEN_IN), self.y
            for text, takes in column:
                self.book.text(x, y + WORDS_PT * LEADING, "–", WORDS_PT, colour=ACCENT, tag="Artifact")
                self.book.paragraph(x + 0.15, y, wide - 0.15, text, WORDS_PT)
                y += takes
        self.y += height

    def listed(self, lines: tuple[str, ...]) -> float:
        """What the lines of a listing take of the page, inches."""
        return max(sum(takes for _, takes in column) for column in self._columns(lines)[1])

    def _columns(self, lines: tuple[str, ...]) -> tuple[float, list[list[tuple[str, float]]]]:
        """How wide each of two columns is, and its lines, each with what it takes of the page."""
        wide = (self.room - BETWEEN_IN) / 2
        high = [
            len(wrap(text, WORDS_PT, (wide - 0.15) * POINT)) * WORDS_PT * LEADING + 0.05 for text in lines
        ]
        half, told = -(-len(lines) // 2), list(zip(lines, high, strict=True))
        return wide, [told[:half], told[half:]]

    def pair(self, left: str, right: str) -> None:
        """A short text in bold at the left, its answer beside it."""
        wide, at = self.room * 0.34, self.room * 0.37
        lines = max(
            len(wrap(left, WORDS_PT, wide * POINT, bold=True)),
            len(wrap(right, WORDS_PT, (self.room - at) * POINT)),
        )
        self.need(lines * WORDS_PT * LEADING)
        self.book.paragraph(LEFT_IN, self.y, wide, left, WORDS_PT, bold=True)
        self.book.paragraph(LEFT_IN + at, self.y, self.room - at, right, WORDS_PT)
        self.y += lines * WORDS_PT * LEADING + 0.07

    def picture(self, drawing: Drawing, *, high: float = 99.0, ink: float = 1.0, alt: str = "") -> None:
        """A drawing as wide as the page or as high as allowed, in the middle."""
        box = drawing.box
        scale = self._scale(drawing, high)
        self.need(box.height * scale)
        x = LEFT_IN + (self.room - box.width * scale) / 2
        self.book.draw(drawing, (x, self.y), scale=scale, ink=ink, alt=alt)
        self.y += box.height * scale + AFTER_PICTURE_IN

    def pictured(self, drawing: Drawing, high: float = 99.0) -> float:
        """What a drawing takes of the page, inches."""
        return drawing.box.height * self._scale(drawing, high) + AFTER_PICTURE_IN

    def _scale(self, drawing: Drawing, high: float) -> float:
        return min(self.room / drawing.box.width, high / drawing.box.height)

    def steps(self, tables: list[SideMarks]) -> None:
        """The steps of chalking, two abreast, each with its drawing."""
        figures = step_figures(tables[0])
        todo = steps(self.layout, tables)
        wide = (self.room - BETWEEN_IN) / 2
        run_on = [_run_on(step) for step in todo]
        high = sum(
            max(_step_height(step, figures[step.figure], wide) for step in run_on[i : i + 2]) + 0.16
            for i in range(0, len(run_on), 2)
        )
        if self.y + high <= self.floor + 0.16:
            todo = run_on
        for i in range(0, len(todo), 2):
            pair = todo[i : i + 2]
            height = max(_step_height(step, figures[step.figure], wide) for step in pair)
            self.need(height)
            for j, step in enumerate(pair):
                self._step(step, figures[step.figure], LEFT_IN + j * (wide + BETWEEN_IN), wide)
            self.y += height + 0.16

    def _step(self, step: ChalkStep, figure: Drawing, x: float, wide: float) -> None:
        y = self.y + 0.17
        with self.book.tags.marked("H3"):
            self.book.text(x, y, f"{step.number} ", 13, bold=True, colour=ACCENT)
            self.book.text(x + 0.22, y, step.title, 11.5, bold=True)
        y = self.book.paragraph(x, y + 0.03, wide, step.words.strip(), WORDS_PT) + 0.1
        self.book.draw(figure, (x, y), scale=wide / figure.box.width, alt=f"{step.title}, drawn")


def _run_on(step: ChalkStep) -> ChalkStep:
    """The step without a line for each side, where all steps then stand on one page."""
    return replace(step, words=step.words.replace("\n", " "))


def _step_height(step: ChalkStep, figure: Drawing, wide: float) -> float:
    lines = len(wrap(step.words.strip(), WORDS_PT, wide * POINT))
    return 0.3 + lines * WORDS_PT * LEADING + figure.box.height * wide / figure.box.width
