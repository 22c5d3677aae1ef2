"""The chalk companion: every circle to chalk, one at a time, side by side as she walks round the quilt.

The tables of ``marking`` give sides that read alike once, and one half of a side that is read from its middle.
Here each circle of each side stands for itself, in the order in which she comes to it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import dist

from planner.border.band import next_side
from planner.chalk.marking import WITHIN_IN, Half, Mark, SideMarks
from planner.geometry.arrays import CHALK_IN, SAME_IN
from planner.geometry.curves import Motion, Point
from planner.plan import SIDES, SideName

_OTHER: dict[Half, Half] = {"left": "right", "right": "left", "": ""}


@dataclass(frozen=True, slots=True)
class ToChalk:
    """One circle to chalk: its side, its row, and the table whose readings these are."""

    side: SideName
    mark: Mark
    table: SideMarks


def to_chalk(tables: list[SideMarks]) -> tuple[ToChalk, ...]:
    """Every circle of the quilt once, clockwise from the top; a corner circle with the first side it ends."""
    read: set[SideName] = set()  # corners, by the side they begin
    found = []
    for side in SIDES:
        table = next(table for table in tables if side in table.sides)
        for mark in _whole_side(table):
            if mark.kind == "corner":
                near = mark.circle.centre[0] < table.measured.length / 2
                corner = side if near else next_side(side)
                if corner in read:
                    continue
                read.add(corner)
            found.append(ToChalk(side, mark, table))
    return tuple(found)


def brushed_out(before: tuple[ToChalk, ...], after: tuple[ToChalk, ...], at: int, curl: int) -> list[int]:
    """Which circles stand elsewhere since a run was spread anew, by their place in the order: chalked already, they
    are to be brushed out. Both halves of a side are spread alike.

    before, after: the same circles. at: the one she stood at; curl: its number. Her half up to there stays: the
    new places of these are where she chalked them.
    """
    here = after[at]
    middle = here.table.measured.middle

    def hers(one: ToChalk) -> bool:
        same_half = (one.mark.circle.centre[0] < middle) == (here.mark.circle.centre[0] < middle)
        mine = one.side == here.side and (same_half or len(one.table.measured.runs) == 1)
        return mine and one.mark.kind == "curl" and int(one.mark.name) <= curl

    return [
        n
        for n, (one, other) in enumerate(zip(before, after, strict=True))
        if dist(one.mark.circle.centre, other.mark.circle.centre) > CHALK_IN and not hers(other)
    ]


def still_stands(before: tuple[ToChalk, ...], after: tuple[ToChalk, ...]) -> dict[int, int]:
    """Of the circles of a layout before, which stand where one of the layout now is to stand, as she reads them: by
    their places in the two orders. Since a side was measured anew others than those may have moved, come or gone.
    """
    left = dict(enumerate(after))
    found = {}
    for n, one in enumerate(before):
        for k, other in left.items():
            if _alike(one, other):
                found[n] = k
                del left[k]
                break
    return found


def _alike(one: ToChalk, other: ToChalk) -> bool:
    """Whether two circles are one on the cloth: as large, and nearer to each other than a reading may be off."""
    same = (one.side, one.mark.kind, one.mark.turn) == (other.side, other.mark.kind, other.mark.turn)
    large = abs(one.mark.diameter_in - other.mark.diameter_in) < SAME_IN
    return same and large and dist(_as_read(one), _as_read(other)) <= WITHIN_IN


def _as_read(one: ToChalk) -> Point:
    """Its true place: along from where her readings begin, and in from the raw edge."""
    (x, y), measured, stance = one.mark.circle.centre, one.table.measured, one.table.stance
    begin = measured.middle if stance.from_middle else 0.0 if stance.left_handed else measured.length
    return x - begin, y


def counted_from(one: ToChalk) -> Half:
    """At which hand the corner lies from which a circle's number is counted; '' where a side is counted through."""
    measured = one.table.measured
    if len(measured.runs) == 1 or not one.mark.name.isdigit():
        return ""
    return (
        "right" if one.mark.circle.centre[0] < measured.middle else "left"
    )  # facing the quilt, x runs to her left


def _whole_side(table: SideMarks) -> Iterator[Mark]:
    """The rows of a table; where it holds one half of the side, the other half's after it."""
    yield from table.marks
    if table.mirror_half:
        across = Motion(-1, 0, 0, 1, 2 * table.measured.middle, 0)
        for mark in table.marks:
            if mark.half:
                circle, arc = mark.circle.moved(across), mark.arc.moved(across)
                yield replace(mark, half=_OTHER[mark.half], circle=circle, arc=arc)
