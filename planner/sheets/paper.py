"""Paper, and how a drawing is cut into sheets of it. Inches throughout.

ISO 216: A4 is 210 x 297 mm, A3 297 x 420 mm. ANSI/ASME Y14.1: Letter is 8.5 x 11 in. A roll has a width, and
as much length as a sheet needs, up to ``LONGEST_ROLL_SHEET_IN``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil

from planner.errors import PlanError
from planner.geometry.arrays import ROUNDING
from planner.kinds import by_kind
from planner.lengths import format_length
from planner.plan import Units

MM = 1 / 25.4
MARGIN_IN = 12 * MM  # what common printers leave white (a third of an inch), and room for the crop marks
ISO_MARGIN_IN = 9 * MM  # so that A4 is as wide inside as Letter: a pattern then takes no more sheets of it
OVERLAP_IN = 10 * MM  # of two neighbours: enough to tape, little enough not to waste
MOST_SHEETS = 120  # more than a ream's quarter is a mistyped figure, or a case for a roll
LONGEST_ROLL_SHEET_IN = 180.0  # PDF readers show at most 200 in
SHORTEST_ROLL_WINDOW_IN = 6.0
ROLL_WIDTHS_IN = (12.0, 60.0)  # from a narrow plotter to a wide one


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet upright: width no more than height. A roll is as long as its longest sheet.

    kind: its word in an address; name: what it is called; margin: left white on every side.
    """

    kind: str
    name: str
    width: float
    height: float
    roll: bool = False
    margin: float = MARGIN_IN

    def turned(self) -> Paper:
        """The same paper, its long side lying."""
        return replace(self, width=self.height, height=self.width)


PAPERS = by_kind(
    Paper("letter", "Letter", 8.5, 11.0),
    Paper("a4", "A4", 210 * MM, 297 * MM, margin=ISO_MARGIN_IN),
    Paper("a3", "A3", 297 * MM, 420 * MM, margin=ISO_MARGIN_IN),
)
ROLL = "roll"  # the word for one, whose width she gives
USUAL: dict[Units, str] = {"in": "letter", "cm": "a4", "mm": "a4"}  # when she names none


@dataclass(frozen=True, slots=True)
class Tiling:
    """How a drawing of ``width`` by ``height`` lies on sheets.

    paper: as it lies (portrait or landscape); columns, rows; each sheet shows a window of window_width by
    window_height, and neighbours share ``OVERLAP_IN``.
    """

    paper: Paper
    columns: int
    rows: int
    window_width: float
    window_height: float

    @property
    def sheets(self) -> int:
        """How many sheets that takes."""
        return self.columns * self.rows

    @property
    def step_x(self) -> float:
        """From one sheet's window to the next one's, across (inches)."""
        return self.window_width - OVERLAP_IN

    @property
    def step_y(self) -> float:
        """From one sheet's window to the next one's, down (inches)."""
        return self.window_height - OVERLAP_IN

    def label(self, column: int, row: int) -> str:
        """Rows by letter, columns by number: A1, A2, B1 ..."""
        return f"{row_name(row)}{column + 1}"


def row_name(row: int) -> str:
    """A to Z, then AA, AB ..."""
    letters = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def paper(name: str, roll_width_in: float | None = None, units: Units = "in") -> Paper:
    """The paper she named. Raises PlanError for one not known or a roll without a usable width, in ``units``."""
    if name in PAPERS:
        return PAPERS[name]
    if name != ROLL:
        raise PlanError(
            f"“{name[:40]}” is no paper known here.",
            field="paper",
            cure=f"Use {', '.join(PAPERS)}, or {ROLL} with the width of your roll.",
        )
    least, most = ROLL_WIDTHS_IN
    if roll_width_in is None or not least <= roll_width_in <= most:
        raise PlanError(
            "A roll needs its width."
            if roll_width_in is None
            else f"A roll of {format_length(roll_width_in, units)} cannot be used.",
            field="roll",
            cure=f"Give a width from {format_length(least, units)} to {format_length(most, units)}, such as "
            f"{format_length(24.0, units)}.",
        )
    return Paper(ROLL, "Roll", roll_width_in, LONGEST_ROLL_SHEET_IN, roll=True)


def tile(width: float, height: float, on: Paper) -> Tiling:
    """The fewest sheets, portrait or landscape (portrait where both need the same)."""
    upright, lying = _tiling(width, height, on), _tiling(width, height, on.turned())
    return lying if lying.sheets < upright.sheets else upright


def check_sheets(sheets: int, on: Paper, sizes: list[tuple[float, float]], units: Units) -> None:
    """Raises PlanError when a pattern takes more sheets than anyone would tape; the cure is a paper that does."""
    if sheets <= MOST_SHEETS:
        return
    largest = max(PAPERS.values(), key=lambda one: one.width * one.height)
    others = [largest, *(paper(ROLL, width) for width in (24.0, 36.0, 42.0, 60.0))]
    for other in others:
        needed = sum(tile(w, h, other).sheets for w, h in sizes)
        if needed <= MOST_SHEETS and other != on:
            what = f"a roll {format_length(other.width, units)} wide" if other.roll else other.name
            cure = f"Print on {what} ({needed} sheets), or print one side at a time."
            break
    else:
        cure = "Print one side at a time, or chalk from the chalk sheet instead."
    raise PlanError(
        f"This pattern would take {sheets} sheets of {on.name}; {MOST_SHEETS} is the most that can be taped true.",
        field="paper",
        cure=cure,
    )


def _tiling(width: float, height: float, on: Paper) -> Tiling:
    window_width, window_height = on.width - 2 * on.margin, on.height - 2 * on.margin
    columns, rows = _count(width, window_width), _count(height, window_height)
    if on.roll:  # cut off where the drawing ends
        if on.width > on.height:
            window_width = min(window_width, _cut(width, columns))
        else:
            window_height = min(window_height, _cut(height, rows))
        on = replace(on, width=window_width + 2 * on.margin, height=window_height + 2 * on.margin)
    return Tiling(on, columns, rows, window_width, window_height)


def _count(length: float, window: float) -> int:
    return max(1, ceil((length - OVERLAP_IN) / (window - OVERLAP_IN) - ROUNDING))


def _cut(length: float, parts: int) -> float:
    """Length of one of ``parts`` equal windows on a roll; no shorter than the check square and its words."""
    return max((length + (parts - 1) * OVERLAP_IN) / parts, SHORTEST_ROLL_WINDOW_IN)
