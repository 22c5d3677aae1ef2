"""Chalk positions: where each circle stands on her ruler, how far round to chalk it, and in which order.

She stands at the raw edge with the quilt before her: 6 o'clock is the raw edge, 12 o'clock the quilt. Every
reading starts at one datum (a raw corner, or the middle of the side), so no rounding is ever carried on to
the next. A ruler is marked in 1/16 in or 1 mm; a reading with a + is half a mark more. The + is spent only
where without it a centre would stand more than ``WITHIN_IN`` from its true place; two neighbours can then
overlap by at most twice that.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from math import degrees, floor, hypot, pi
from typing import Literal

from planner.border.band import next_side
from planner.border.circles import sizes_among
from planner.border.layout import Layout
from planner.border.spine import Circle
from planner.chalk.measured import MeasuredRun, MeasuredSide, measured_side
from planner.geometry.arrays import ROUNDING_IN, SAME_IN
from planner.geometry.curves import Arc
from planner.lengths import MARK_IN, MARKS_PER_IN, format_length
from planner.plan import SIDES, SideName, Units

WITHIN_IN = 1 / 32  # no centre farther than this from its true place: half of the finest mark
PLAINLY_DEG = 7.5  # a quarter of an hour on the clock face: what differs less is the same to the eye

MarkKind = Literal["corner", "curl", "ring", "hook", "string"]
Half = Literal["", "left", "right"]


@dataclass(frozen=True, slots=True)
class Stance:
    """How she reads her ruler: from the corner at her left hand, or (left-handed) at her right, or outward
    from the middle of the side."""

    left_handed: bool = False
    from_middle: bool = False


@dataclass(frozen=True, slots=True)
class Reading:
    """What she reads off: a whole number of half marks from the datum."""

    half_marks: int
    units: Units

    @property
    def value_in(self) -> float:
        """What is read, inches."""
        return self.half_marks * MARK_IN[self.units] / 2

    def __str__(self) -> str:
        """``14 3/8``, ``14 3/8+``; ``36.5`` in centimetres, ``365`` in millimetres."""
        marks, more = divmod(self.half_marks, 2)
        plus = "+" if more else ""
        if self.units != "in":
            return f"{marks / 10 if self.units == 'cm' else marks:.10g}{plus}"
        whole, rest = divmod(marks, MARKS_PER_IN)
        part = f"{Fraction(rest, MARKS_PER_IN)}" if rest else ""
        return (f"{whole} {part}" if whole and part else part or f"{whole}") + plus


@dataclass(frozen=True, slots=True)
class Mark:
    """One circle to chalk round, as its row of the table.

    name: the number (or letter) on the drawing; half: which way to measure from the middle; along, depth:
    readings along the raw edge and in from it; off_in: how far the readings stand from the true centre;
    circle, arc: its true place and what is chalked of it, in ruler coordinates; again: whether a table before
    this one has it already, from the side before.
    """

    name: str
    kind: MarkKind
    circle: Circle
    arc: Arc
    half: Half
    along: Reading
    depth: Reading
    off_in: float
    again: bool = False

    @property
    def diameter_in(self) -> float:
        """The diameter of its circle, inches."""
        return 2 * self.circle.radius

    @property
    def turn(self) -> str:
        """Which way its curve goes: 'clockwise' or 'counter-clockwise'."""
        return "clockwise" if self.arc.sweep > 0 else "counter-clockwise"

    @property
    def all_round(self) -> bool:
        """Whether the whole circle is drawn."""
        return abs(self.arc.sweep) > 2 * pi - 0.01

    @property
    def from_to(self) -> str:
        """``3 to 10:30``, as on a clock face."""
        if self.all_round:
            return "all round"
        return f"{clock(_hour(self.arc.begin))} to {clock(_hour(self.arc.begin + self.arc.sweep))}"

    @property
    def how_far(self) -> str:
        """``just over 5/8 round (240°)``, the degrees to the nearest five: chalk knows no finer ones."""
        turned = degrees(abs(self.arc.sweep))
        return round_words(turned) + ("" if self.all_round else f" ({5 * round(turned / 5)}°)")


@dataclass(frozen=True, slots=True)
class SideMarks:
    """The table of one side, or of several that read alike.

    measured: the first of them; outer, inner: the guide lines, from the raw edge; middle: where the runs meet,
    from the raw corner at her ruler's hand; strip: its straight lines, from the raw edge.
    """

    sides: tuple[SideName, ...]
    measured: MeasuredSide
    outer: Reading
    inner: Reading
    middle: Reading
    marks: tuple[Mark, ...]
    stance: Stance
    strip: tuple[Reading, ...]

    @property
    def mirror_half(self) -> bool:
        """Whether the table holds one half of the side, of which the other is the mirror."""
        return self.stance.from_middle and len(self.measured.runs) == 2

    @property
    def largest_error_in(self) -> float:
        """How far the reading that is rounded most lies off, inches."""
        return max(mark.off_in for mark in self.marks)


def clock(hours: float) -> str:
    """A place on the clock face to the half hour: ``9``, ``10:30``."""
    halves = round(hours * 2) % 24
    return f"{halves // 2 or 12}" + (":30" if halves % 2 else "")


def round_words(sweep_deg: float) -> str:
    """How far round, in eighths of the circle, as one says it: ``3/4 round``, ``just under 3/4 round``."""
    eighths = round(sweep_deg / 45)
    if eighths == 8:
        return "once round"
    over = sweep_deg - 45 * eighths
    near = "" if abs(over) <= PLAINLY_DEG else "just over " if over > 0 else "just under "
    return f"{near}{Fraction(eighths, 8)} round"


def side_marks(layout: Layout, stance: Stance) -> list[SideMarks]:
    """The tables of all four sides, clockwise from the top; sides that read alike share one."""
    tables: list[SideMarks] = []
    for side in SIDES:
        table = _table(measured_side(layout, side), layout.plan.units, stance)
        for i, other in enumerate(tables):
            if _reads(table) == _reads(other):
                tables[i] = replace(other, sides=(*other.sides, side), marks=_worse(other, table))
                break
        else:
            tables.append(table)
    return _with_corners_once(tables)


def chalked_round(layout: Layout) -> list[float]:
    """Diameters of all circles that her tables have her chalk round, those of hooks too, largest first, inches.

    Of those that read alike the largest: two templates of one name would only be mixed up.
    """
    marks = (mark for table in side_marks(layout, Stance()) for mark in table.marks)
    sizes = sizes_among(mark.diameter_in for mark in marks if mark.kind != "string")
    read = {format_length(size, layout.plan.units): size for size in reversed(sizes)}
    return sorted(read.values(), reverse=True)


def _with_corners_once(tables: list[SideMarks]) -> list[SideMarks]:
    """Each corner stands at the ends of two sides; where all of a row's corners were read before, it says so."""
    read: set[SideName] = set()  # corners, by the side they begin
    found = []
    for table in tables:
        marks = []
        for mark in table.marks:
            if mark.kind == "corner":
                near = mark.circle.centre[0] < table.measured.length / 2
                here = {side if near else next_side(side) for side in table.sides}
                mark = replace(mark, again=here <= read)
                read |= here
            marks.append(mark)
        found.append(replace(table, marks=tuple(marks)))
    return found


def _worse(one: SideMarks, other: SideMarks) -> tuple[Mark, ...]:
    """The marks of two sides that read alike, with the larger of their errors."""
    pairs = zip(one.marks, other.marks, strict=True)
    return tuple(replace(mine, off_in=max(mine.off_in, hers.off_in)) for mine, hers in pairs)


def rounded(value_in: float, units: Units, budget_in: float) -> Reading:
    """The nearest whole mark if it lies within ``budget_in``, else the nearest half mark."""
    mark = MARK_IN[units]
    whole = floor(value_in / mark + 0.5)
    if abs(whole * mark - value_in) <= budget_in:
        return Reading(2 * whole, units)
    return Reading(floor(2 * value_in / mark + 0.5), units)


def depth_reading(depth_in: float, units: Units) -> Reading:
    """In from the raw edge. All circles of a row share it, so it leaves room for the readings along."""
    along_worst = MARK_IN[units] / 2
    return rounded(depth_in, units, (max(0.0, WITHIN_IN**2 - along_worst**2)) ** 0.5)


def circle_name(layout: Layout, diameter_in: float) -> str:
    """``3 3/8 in circle``, with a word when it is not in her tin."""
    size = format_length(diameter_in, layout.plan.units)
    return f"{size} circle" + ("" if in_her_tin(layout, diameter_in) else " (cut or print it)")


def in_her_tin(layout: Layout, diameter_in: float) -> bool:
    """Whether she has a circle of that diameter: what she would cut is none."""
    return any(abs(d - diameter_in) < SAME_IN for d in layout.plan.tin_in)


def mark_size(layout: Layout, mark: Mark) -> str:
    """The circle to chalk round, or the string to chalk with from a pin in its centre."""
    if mark.kind == "string":
        return f"string of {format_length(mark.circle.radius, layout.plan.units)}"
    return circle_name(layout, mark.diameter_in)


def _reads(table: SideMarks) -> tuple[object, ...]:
    rows = tuple(
        (m.name, m.half, m.along, m.depth, m.from_to, m.how_far, m.turn, m.diameter_in) for m in table.marks
    )
    return (table.outer, table.inner, table.middle, table.strip, rows)


def _table(side: MeasuredSide, units: Units, stance: Stance) -> SideMarks:
    mirrored = len(side.runs) == 2
    found: list[tuple[MarkKind, Circle, Arc]] = [("corner", side.corner, side.corner_arc)]
    for run in side.runs[:1] if stance.from_middle and mirrored else side.runs:
        found += _run_marks(run)
    if side.ring:
        found.append(("ring", side.ring, Arc(side.ring.centre, side.ring.radius, 0.0, 2 * pi)))
    if side.lattice:
        arcs = side.lattice.arcs[:1] if stance.from_middle else side.lattice.arcs
        found += [("string", Circle(arc.centre, arc.radius, "ring", 1), arc) for arc in arcs]
    if not (stance.from_middle and mirrored):
        found.append(("corner", side.far_corner, side.far_arc))
    found.sort(key=lambda item: _lies_at(*item), reverse=not stance.left_handed)
    names = _names(found, side, mirrored)
    marks = [
        _mark(name, kind, circle, arc, side, units, stance)
        for name, (kind, circle, arc) in zip(names, found, strict=True)
    ]
    if stance.from_middle:  # outward on her left, then on her right
        marks.sort(key=lambda mark: (mark.half, mark.along.half_marks))
    return SideMarks(
        (side.side,),
        side,
        depth_reading(side.outer, units),
        depth_reading(side.inner, units),
        rounded(side.middle if stance.left_handed else side.length - side.middle, units, MARK_IN[units]),
        tuple(marks),
        stance,
        tuple(depth_reading(line.start[1], units) for line in side.strip),
    )


def _lies_at(kind: MarkKind, circle: Circle, arc: Arc) -> float:
    """Where along the side something is chalked; the pin of a string stands elsewhere."""
    return arc.point(0.5)[0] if kind == "string" else circle.centre[0]


def _names(found: list[tuple[MarkKind, Circle, Arc]], side: MeasuredSide, mirrored: bool) -> list[str]:
    """C for a corner circle, W for a wreath; curls counted from their run's corner, or all along a turning side."""
    names, count = [], 0
    starts = side.runs[0].circles
    for kind, circle, _ in found:
        if kind == "ring" and circle.row != "ring":
            names.append(str(len(starts) + 1))
            continue
        if kind != "curl":
            names.append({"corner": "C", "ring": "W", "hook": "h", "string": "s"}[kind])
            continue
        if mirrored:
            near = min(circle.centre[0], 2 * side.middle - circle.centre[0])
            name = 1 + min(range(len(starts)), key=lambda i: abs(starts[i].centre[0] - near))
        else:
            count += 1
            name = count
        names.append(str(name))
    return names


def _run_marks(run: MeasuredRun) -> list[tuple[MarkKind, Circle, Arc]]:
    """Each curl as one arc from its joint to its tip, and the little spines' hook."""
    found: list[tuple[MarkKind, Circle, Arc]] = []
    arcs: dict[int, list[Arc]] = {}
    for piece in run.pieces:
        if isinstance(piece.curve, Arc) and piece.part in ("stem", "tail"):
            arcs.setdefault(piece.curl, []).append(piece.curve)
    for curl, pieces in sorted(arcs.items()):
        first = pieces[0]
        whole = Arc(first.centre, first.radius, first.begin, sum(arc.sweep for arc in pieces))
        if curl < len(run.circles):
            found.append(("curl", run.circles[curl], whole))
        else:
            found.append(
                ("hook", Circle(first.centre, first.radius, "ring", 1 if whole.sweep > 0 else -1), whole)
            )
    return found


def _mark(
    name: str, kind: MarkKind, circle: Circle, arc: Arc, side: MeasuredSide, units: Units, stance: Stance
) -> Mark:
    x, depth_in = circle.centre
    depth = depth_reading(depth_in, units)
    depth_error = depth.value_in - depth_in
    if stance.from_middle:
        off = side.middle - x  # she faces the quilt: x runs to her left
        half: Half = "" if abs(off) < ROUNDING_IN else "right" if off > 0 else "left"
        along_in = abs(off)
    else:
        half, along_in = "", x if stance.left_handed else side.length - x
    along = rounded(along_in, units, (WITHIN_IN**2 - depth_error**2) ** 0.5)
    off_in = hypot(along.value_in - along_in, depth_error)
    return Mark(name, kind, circle, arc, half, along, depth, off_in)


def _hour(angle: float) -> float:
    """Ruler angle to clock hours: 9 o'clock is where x grows, 12 where y grows."""
    return (9 + degrees(angle) / 30) % 12
