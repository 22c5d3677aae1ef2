"""The steps of chalking, in her order and in her words, from the readings of the tables."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import hypot

from planner.border.layout import Layout
from planner.border.meetings import MEETINGS
from planner.chalk.marking import Mark, Reading, SideMarks, circle_name
from planner.lengths import format_length
from planner.plan import Units


@dataclass(frozen=True, slots=True)
class ChalkStep:
    """One step; figure: the name of its drawing."""

    number: int
    title: str
    words: str
    figure: str


def steps(layout: Layout, tables: list[SideMarks]) -> list[ChalkStep]:
    """Guide lines, miter, corner circle, first curl, each circle on, and the middle when something stands there."""
    table = tables[0]
    found = [
        ("Guide lines", _guide_lines(tables), "guides"),
        ("Miter and middle", _miter(tables), "miter"),
        ("Corner circle", _corner(layout, table), "corner"),
        ("First curl", _first(layout, table), "first"),
        ("Each circle on", _each(layout, table), "each"),
        ("The middle", _middle(layout, table), "middle"),
    ]
    return [
        ChalkStep(i + 1, title, words, figure)
        for i, (title, words, figure) in enumerate(f for f in found if f[1])
    ]


def datum_words(table: SideMarks) -> str:
    """Where every reading along starts."""
    if table.stance.from_middle:
        return "the middle of the side, to your left and right"
    return f"the raw corner at your {'right' if table.stance.left_handed else 'left'}"


def spoken(reading: Reading) -> str:
    """``4 3/8 in``, ``11.1 cm``."""
    return f"{reading} {unit_word(reading.units)}"


def unit_word(units: Units) -> str:
    """The unit in which readings are printed."""
    return "cm" if units == "mm" else "in"


def error_words(tables: list[SideMarks]) -> str:
    """The largest rounding error of all readings, for the foot of the sheet."""
    worst = max(table.largest_error_in for table in tables)
    units = tables[0].outer.units
    most = f"{worst * 25.4:.1f} mm" if units == "mm" else f"{worst:.3f} in"
    limit = "0.8 mm" if units == "mm" else "1/32 in"
    return (
        f"Readings are rounded to {'1 mm' if units == 'mm' else '1/16 in'}, each from the datum, so no rounding "
        f"adds up: no centre on this sheet is more than {most} from its true place (the limit is {limit})."
    )


def has_plus(tables: list[SideMarks]) -> bool:
    """Whether any reading of the sheet needs half a mark."""
    return any(
        reading.half_marks % 2
        for table in tables
        for reading in (
            table.outer,
            table.inner,
            table.middle,
            *(r for m in table.marks for r in (m.along, m.depth)),
        )
    )


def _guide_lines(tables: list[SideMarks]) -> str:
    outer = spoken(tables[0].outer)
    inner = {spoken(table.inner): table.sides for table in tables}
    if len(inner) == 1:
        (depth,) = inner
        return f"All the way round, chalk one line {outer} from the raw edge and one {depth} from it."
    each = ", ".join(f"{depth} on the {' and '.join(sides)}" for depth, sides in inner.items())
    return f"All the way round, chalk one line {outer} from the raw edge, and a second one: {each}."


def _miter(tables: list[SideMarks]) -> str:
    middles = {spoken(table.middle): table.sides for table in tables}
    where = ", ".join(f"{at} from its corner ({' and '.join(sides)})" for at, sides in middles.items())
    return f"Join each raw corner to the corner of the seam. Mark the middle of each side: {where}."


def _corner(layout: Layout, table: SideMarks) -> str:
    corner = next(mark for mark in table.marks if mark.kind == "corner")
    return (
        f"{circle_name(layout, corner.diameter_in)}. Set its centre {spoken(corner.depth)} from both raw edges: "
        f"it just touches both outer guide lines. Chalk round the outside, {corner.from_to}, {corner.how_far}."
    )


def _first(layout: Layout, table: SideMarks) -> str:
    first = first_curl(table)
    back = "It curls back to the corner. " if layout.mirrored else ""
    return (
        f"{circle_name(layout, first.diameter_in)}. Its centre: {spoken(first.along)} along{_half(first)}, "
        f"{spoken(first.depth)} from the edge. {back}Chalk {first.turn}, {first.from_to}, {first.how_far}."
    )


def first_curl(table: SideMarks) -> Mark:
    """The curl next to the first corner that the table reads."""
    corner = next(mark for mark in table.marks if mark.kind == "corner")
    curls = [mark for mark in table.marks if mark.kind == "curl"]
    return min(curls, key=lambda mark: abs(mark.circle.centre[0] - corner.circle.centre[0]))


def _each(layout: Layout, table: SideMarks) -> str:
    curls = sorted((mark for mark in table.marks if mark.kind == "curl"), key=lambda m: m.circle.centre[0])
    depths = list(dict.fromkeys(spoken(mark.depth) for mark in curls))
    rows = (
        f"They alternate, {depths[0]} and {depths[1]} from the raw edge. "
        if len(depths) == 2
        else "They alternate between the guide lines. "
    )
    a, b = curls[0], curls[1] if len(curls) > 1 else curls[0]
    apart = hypot(b.circle.centre[0] - a.circle.centre[0], b.circle.centre[1] - a.circle.centre[1])
    gap = apart - a.circle.radius - b.circle.radius
    units = layout.plan.units
    joined = (
        f"Neighbours stand {_hair(gap, units)} apart: join them with a short straight line. "
        if gap > 1 / 64 and len(curls) > 1
        else "Neighbours touch. "
        if len(curls) > 1
        else ""
    )
    check = f"Check: {format_length(apart, units)} from centre to centre." if len(depths) == 2 else ""
    return (
        f"Read every centre from {datum_words(table)}, never from the last circle. {rows}{joined}Each turns the "
        f"other way than the one before. {check}"
    ).strip()


def _middle(layout: Layout, table: SideMarks) -> str:
    choice, units = layout.choice, layout.plan.units
    if choice.meeting is None:
        return ""
    hook = next((mark for mark in table.marks if mark.kind == "hook"), None)
    return MEETINGS[choice.meeting].chalked.format(
        circle=circle_name(layout, choice.middle_in),
        wide=format_length(choice.middle_in, units),
        hook=format_length(hook.diameter_in, units) if hook else "",
    )


def _half(mark: Mark) -> str:
    return f" to your {mark.half}" if mark.half else ""


def _hair(length_in: float, units: Units) -> str:
    """A very small length, finer than her ruler."""
    if units == "mm":
        return f"{length_in * 25.4:.1f} mm"
    whole, part = divmod(Fraction(round(length_in * 32), 32), 1)
    return f"{whole} {part} in" if whole and part else f"{part or whole} in"
