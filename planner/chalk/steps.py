"""The steps of chalking, in her order and in her words, from the readings of the tables.

What is not alike on all sides is said for each: "Top and bottom: ...". No side is left out, and none is spoken
for by another.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from math import dist

from planner.border.corners.styles import CORNER_STYLES
from planner.border.drift import standing
from planner.border.layout import Layout
from planner.border.meetings import MEETINGS
from planner.border.said import listed, rooms_by_side, strip_words, touch
from planner.border.spine import Circle
from planner.chalk.marking import (
    WITHIN_IN,
    Mark,
    MarkKind,
    Reading,
    SideMarks,
    in_her_tin,
    mark_size,
    rounded,
)
from planner.lengths import MARK_IN, finer_length, format_length
from planner.plan import SIDES, SideName, Units

Say = Callable[[SideMarks], str]


@dataclass(frozen=True, slots=True)
class ChalkStep:
    """One step; figure: the name of its drawing. The words have a line for each side where sides differ."""

    number: int
    title: str
    words: str
    figure: str


def steps(layout: Layout, tables: list[SideMarks]) -> list[ChalkStep]:
    """Guide lines, miter, corner circle, first curl, each circle on; the middle and the strip, if there are any."""
    found = [
        ("Guide lines", _guide_lines(layout, tables), "guides"),
        ("Miter and middle", _miter(tables), "miter"),
        ("Corner circle", _corner(layout, tables), "corner"),
        ("First curl", _first(layout, tables), "first"),
        ("Each circle on", _each(layout, tables), "each"),
        ("The middle", _middle(layout, tables), "middle"),
        ("Seam strip", _strip(layout, tables), "strip"),
    ]
    return [
        ChalkStep(i + 1, title, words, figure)
        for i, (title, words, figure) in enumerate(f for f in found if f[1])
    ]


def datum_words(table: SideMarks) -> str:
    """Where every reading along starts."""
    if table.stance.from_middle:
        return "the middle of the side, to your left and right"
    return f"the raw corner at your {_hand(table)}"


def _hand(table: SideMarks) -> str:
    return "right" if table.stance.left_handed else "left"


def _datum(table: SideMarks) -> str:
    """The same in a word, once it has been said."""
    return "the middle" if table.stance.from_middle else "the corner"


def spoken(reading: Reading) -> str:
    """``4 3/8 in``, ``11.1 cm``."""
    return f"{reading} {reading.units}"


def error_words(tables: list[SideMarks]) -> str:
    """How far the readings may stand from the true places, for the foot of the sheet."""
    units = tables[0].outer.units
    mark, most = format_length(MARK_IN[units], units), finer_length(WITHIN_IN, units)
    return (
        f"Readings are rounded to {mark}, each measured from the same place, so no rounding adds up: no centre "
        f"on this sheet is more than {most} from its true place."
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


def sides_words(sides: tuple[SideName, ...]) -> str:
    """``top and bottom``, ``top, right and left``."""
    return listed(sides)


def _alike(tables: list[SideMarks], say: Say) -> dict[str, tuple[SideName, ...]]:
    """What there is to say, with the sides it is said of, in their order round the quilt."""
    said = {side: say(table) for table in tables for side in table.sides}
    words = dict.fromkeys(said[side] for side in SIDES)
    return {one: tuple(side for side in SIDES if said[side] == one) for one in words}


def _told(tables: list[SideMarks], all_alike: str, each: str, say: Say) -> str:
    """``all_alike`` with the words in the place of its {}, or ``each`` and then the words of every side."""
    found = _alike(tables, say)
    if len(found) == 1:
        (words,) = found
        return all_alike.format(words)
    lines = (f"{sides_words(sides).capitalize()}: {words}.\n" for words, sides in found.items())
    return f"{each}\n{''.join(lines)}"


def _guide_lines(layout: Layout, tables: list[SideMarks]) -> str:
    lines = _told(
        tables,
        "All the way round, chalk two lines, {} from the raw edge.",
        "Along each side chalk two lines, so far from its raw edge.",
        lambda table: f"{spoken(table.outer)} and {spoken(table.inner)}",
    )
    return _followed(lines, f"Room for the fill on either side of them: {rooms_by_side(layout)}.")


def _followed(told: str, sentence: str) -> str:
    """A sentence behind what is told of the sides, which may end in lines of their own."""
    return f"{told}{'' if told.endswith(chr(10)) else ' '}{sentence}"


def _strip(layout: Layout, tables: list[SideMarks]) -> str:
    """The straight lines along the seam, from the raw edge like all else."""
    if not any(table.strip for table in tables):
        return ""
    many = max(len(table.strip) for table in tables) > 1
    what = "straight lines" if many else "a straight line"
    lines = _told(
        tables,
        f"All the way round, chalk {what} {{}} from the raw edge.",
        f"Along the seam chalk {what}, so far from the raw edge of the side.",
        lambda table: ", ".join(map(str, table.strip)) + f" {table.outer.units}" if table.strip else "none",
    )
    they = "They turn" if many else "It turns"
    return _followed(lines, f"{they} the corner on the miter. Width of the strip: {strip_words(layout)}.")


def _miter(tables: list[SideMarks]) -> str:
    corner = f"the raw corner at your {_hand(tables[0])}"
    middle = _told(
        tables,
        f"Mark the middle of each side, {{}} from {corner}.",
        f"Mark the middle of each side, so far from {corner}.",
        lambda table: spoken(table.middle),
    )
    return f"Join each raw corner to the corner of the seam. {middle}"


def _corner(layout: Layout, tables: list[SideMarks]) -> str:
    size = _sizes(layout, tables, _datum_corner)
    chalk = _chalked("Chalk round the outside,", tables, lambda table: [_datum_corner(table)])
    if CORNER_STYLES[layout.plan.corner].large_circle:
        where = "It just touches both outer guide lines. " + _told(
            tables,
            "Set its centre {} from both raw edges.",
            "Set its centre so far from each of the two raw edges it lies between.",
            lambda table: spoken(_datum_corner(table).depth),
        )
    else:
        each = f"One stands in the corner at your {_hand(tables[0])} of every side."
        if tables[0].stance.from_middle:
            each = "One stands in every corner."
        where = f"{each} " + _told(
            tables,
            "Set its centre {}.",
            "Set its centre.",
            lambda table: _centres([_datum_corner(table)]),
        )
    return f"{size}. {where} {chalk}."


def _datum_corner(table: SideMarks) -> Mark:
    """The corner circle that a table reads first."""
    return _marks(table, "corner")[0]


def _first(layout: Layout, tables: list[SideMarks]) -> str:
    where = _told(
        tables,
        "Set its centre {}.",
        "Set its centre.",
        lambda table: _centres([first_curl(table)]),
    )
    chalk = _chalked("Chalk", tables, lambda table: [first_curl(table)])
    back = " It curls back to the corner." if layout.mirrored else ""
    return f"{_sizes(layout, tables, first_curl)}. {where} {chalk}.{back}"


def _sizes(layout: Layout, tables: list[SideMarks], of: Callable[[SideMarks], Mark]) -> str:
    """The circle to take, which is nearly always one for all sides; said once where none of several is hers."""
    found = _alike(tables, lambda table: mark_size(layout, of(table)))
    marks = [of(table) for table in tables]
    if len(found) == 1 or any(m.kind == "string" or in_her_tin(layout, m.diameter_in) for m in marks):
        return _or_each(found)
    bare = _alike(tables, lambda table: f"{format_length(of(table).diameter_in, layout.plan.units)} circle")
    return f"{_or_each(bare)}; cut or print them"


def _or_each(found: dict[str, tuple[SideName, ...]]) -> str:
    """What is the same for all sides, or each with the sides it is for."""
    if len(found) == 1:
        return next(iter(found))
    return ", ".join(f"{words} ({sides_words(sides)})" for words, sides in found.items())


def _centres(marks: list[Mark]) -> str:
    """Where circles of one depth stand."""
    along = " and ".join(f"{spoken(mark.along)} along{_half(mark)}" for mark in marks)
    return f"{along}, {spoken(marks[0].depth)} from the edge"


def _chalked(chalk: str, tables: list[SideMarks], of: Callable[[SideMarks], list[Mark]]) -> str:
    """Which way round, by the clock as she stands at each side."""
    found = _alike(
        tables, lambda table: " and ".join(f"{mark.turn} from {mark.from_to}" for mark in of(table))
    )
    return f"{chalk} {_or_each(found)}"


def first_curl(table: SideMarks) -> Mark:
    """The curl next to the first corner that the table reads."""
    corner = _datum_corner(table)
    return min(_marks(table, "curl"), key=lambda mark: abs(mark.circle.centre[0] - corner.circle.centre[0]))


def _marks(table: SideMarks, kind: MarkKind) -> list[Mark]:
    return [mark for mark in table.marks if mark.kind == kind]


def _each(layout: Layout, tables: list[SideMarks]) -> str:
    rows = _told(
        tables,
        "They stand in two rows by turns, {}.",
        "They stand in two rows by turns.",
        lambda table: _rows(layout, table),
    )
    touching = all(touch(_largest_gap(table)) for table in tables)
    joined = "." if touching else "; a short line joins two that do not touch."
    return (
        f"Read each centre from {_datum(tables[0])}, never from the last circle. {rows} Each turns the opposite "
        f"way to the one before{joined}"
    )


def _largest_gap(table: SideMarks) -> float:
    """The most air between neighbouring circles of a run, inches."""
    pairs = [pair for run in table.measured.runs for pair in pairwise(run.circles)]
    return max((dist(a.centre, b.centre) - a.radius - b.radius for a, b in pairs), default=0.0)


def _rows(layout: Layout, table: SideMarks) -> str:
    """How deep the two rows of a side stand, and how neighbours do."""
    curls = sorted(_marks(table, "curl"), key=lambda mark: mark.circle.centre[0])
    depths = list(dict.fromkeys(spoken(mark.depth) for mark in curls))
    if len(depths) > 2:
        return "each of the size and as deep as its row of the table says"
    rows = " and ".join(depths) + " from the edge"
    if len(curls) < 2:
        return rows
    return f"{rows}; {_neighbours(layout, table)}"


def _neighbours(layout: Layout, table: SideMarks) -> str:
    """How neighbours stand: on each stretch of its own, where a side was spread anew."""
    circles, drifts = table.measured.runs[0].circles, standing(layout.choice.drifts, table.sides[0])
    counted_from_far = len(table.measured.runs) == 1 and not table.stance.left_handed
    if counted_from_far:
        circles = circles[::-1]
    turns = sorted(
        d.curl if d.from_far_end == counted_from_far else len(circles) + 1 - d.curl for d in drifts
    )
    stretches: list[tuple[str, int, int]] = []  # in words, with the first and the last curl of a stretch
    for low, high in pairwise([1, *turns, len(circles)]):
        if low < high:
            words = _spaced(circles[low - 1], circles[low], layout.plan.units)
            if stretches and stretches[-1][0] == words:
                low = stretches.pop()[1]
            stretches.append((words, low, high))
    if len(stretches) == 1:
        return stretches[0][0]
    return "; ".join(
        f"from curl {low} {'on' if high == len(circles) else f'to {high}'} {words}"
        for words, low, high in stretches
    )


def _spaced(one: Circle, other: Circle, units: Units) -> str:
    """How far a circle stands from its neighbour."""
    apart = dist(one.centre, other.centre)
    gap = apart - one.radius - other.radius
    joined = "neighbours touching" if touch(gap) else f"neighbours {finer_length(gap, units)} apart"
    return f"{joined}, {format_length(apart, units)} from centre to centre"


def _middle(layout: Layout, tables: list[SideMarks]) -> str:
    if layout.choice.meeting is None:
        return ""
    units = layout.plan.units
    wide = _alike(tables, lambda table: format_length(layout.choice.middle_of(table.sides[0]), units))
    frame = (
        _told(tables, "Chalk its frame, {}.", "Chalk its frame.", _frame)
        if tables[0].measured.lattice
        else ""
    )
    parts = {"circle": "", "centre": "", "chalk": "", "wide": _or_each(wide), "frame": frame}
    if _middles(tables[0]):
        parts |= {
            "circle": _sizes(layout, tables, lambda table: _middles(table)[0]),
            "centre": _told(
                tables, "Set its centre {}.", "Set its centre.", lambda table: _centres(_middles(table))
            ),
            "chalk": _chalked("Chalk", tables, _middles),
        }
    return MEETINGS[layout.choice.meeting].chalked.format(**parts)


def _frame(table: SideMarks) -> str:
    """Where the frame of a lattice stands, and how far apart its arcs lie."""
    lattice, units = table.measured.lattice, table.outer.units
    assert lattice is not None
    half, low, high = (
        spoken(rounded(value, units, MARK_IN[units]))
        for value in ((lattice.right - lattice.left) / 2, lattice.low, lattice.high)
    )
    apart = format_length(lattice.apart, units)
    return f"{half} to both sides of the middle, {low} to {high} from the edge, its arcs {apart} apart"


def _middles(table: SideMarks) -> list[Mark]:
    """What is chalked in the middle of a side."""
    return [mark for mark in table.marks if mark.kind not in ("corner", "curl")]


def _half(mark: Mark) -> str:
    return f" to your {mark.half}" if mark.half else ""
