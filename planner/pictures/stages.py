"""The stitching order in stages, and each stage in words. The words are made here, last, and never read back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from planner.border.band import CORNERS, next_side
from planner.border.layout import Layout
from planner.border.said import listed
from planner.fills.pocket import Pocket
from planner.geometry.curves import Point
from planner.lengths import format_length
from planner.plan import SIDES, Plan, SideName, Units
from planner.stitching.segments import Segment, StitchPath
from planner.supplies.called import thread_name


@dataclass(frozen=True, slots=True)
class Stage:
    """Moves that follow each other in one place.

    where: the pocket, or of spines the side or the corner ("top", "top_left"). number: of the pocket in the
    order of filling, 0 for spines; line: from 0.
    """

    line: int
    where: Pocket | str
    number: int
    moves: tuple[Segment, ...]

    @property
    def thread(self) -> int:
        """Which of her threads, from 0."""
        return self.moves[0].thread

    @property
    def strip(self) -> int:
        """In which strip of the frame, or on which border by itself, from 0."""
        return self.moves[0].strip

    @property
    def length(self) -> float:
        """Inches, ways back counted."""
        return sum(move.length for move in self.moves)


def stages(layout: Layout, path: StitchPath) -> list[Stage]:
    """The whole path in stages, in order; a stage ends where the quilt is moved on."""
    numbers = {pocket: n for n, pocket in enumerate(path.pockets, 1)}

    def where(move: Segment) -> tuple[int, int, Pocket | str, int]:
        if move.pocket:
            return move.strip, move.line, move.pocket, numbers.get(move.pocket, 0)
        return move.strip, move.line, _along(layout, move.strand.point(move.places[0])), 0

    return [
        Stage(line, place, number, tuple(moves))
        for (_, line, place, number), moves in groupby(path.segments, key=where)
    ]


def _along(layout: Layout, point: Point) -> str:
    """The side or corner in which a point of the border lies."""
    border, (x, y) = layout.plan.border_in, point
    down = "top" if y < border.top else "bottom" if y > layout.quilt.height - border.bottom else ""
    across = "left" if x < border.left else "right" if x > layout.quilt.width - border.right else ""
    return f"{down}_{across}" if down and across else down or across


@dataclass(frozen=True, slots=True)
class Leg:
    """Pockets that follow each other along one run, in words: 'bottom border, every second curl, 13 to 1, ...'."""

    first: int
    last: int
    words: str
    length: float


def legs(stages: Iterable[Stage]) -> list[Leg]:
    """The pockets of some stages, those of one run together."""
    found = []
    filled = ((stage, stage.where) for stage in stages if isinstance(stage.where, Pocket))
    for _, group in groupby(filled, key=lambda one: _leg_of(one[1])):
        filling, pockets = zip(*group, strict=True)
        words = where_in_words(pockets[0])
        if pockets[0].curl:
            curls = [pocket.curl for pocket in pockets]
            words = f"{pockets[0].side} border, {_range(curls)} {_from(pockets[0])}"
        length = sum(stage.length for stage in filling)
        found.append(Leg(filling[0].number, filling[-1].number, words, length))
    return found


def _leg_of(pocket: Pocket) -> tuple[object, ...]:
    """The same for pockets that are told together: those beside the curls of one run."""
    return (pocket.side, pocket.run) if pocket.curl else (pocket,)


def _range(curls: Sequence[int]) -> str:
    """Curls in words, each of them and no other: 'curls 3 to 5', 'curls 3, 5 and 7 to 9', or where one side of the
    spine is filled at a time 'every second curl, 1 to 11,' or with '..., 1 to 11, then 10 to 2,'.
    """
    each = tuple(dict.fromkeys(curls))
    if len(each) == 1:
        return f"curl {each[0]}"
    turns = [n for n, (a, b) in enumerate(pairwise(each), 1) if abs(a - b) != 2]
    if len(each) > 2 and len(turns) < 2:
        ways = [each[: turns[0]], each[turns[0] :]] if turns else [each]
        return "every second curl, " + ", then ".join(map(_to, ways)) + ","
    backwards = each[0] > each[-1]
    ranges: list[list[int]] = []
    for curl in sorted(each, reverse=backwards):
        if ranges and abs(ranges[-1][-1] - curl) == 1:
            ranges[-1].append(curl)
        else:
            ranges.append([curl])
    return f"curls {listed([_to(one) for one in ranges])}"


def _to(curls: Sequence[int]) -> str:
    return f"{curls[0]}" if curls[0] == curls[-1] else f"{curls[0]} to {curls[-1]}"


def side_of(where: Pocket | str) -> SideName:
    """The side along which a place lies; a corner goes with the one that begins there, clockwise."""
    if isinstance(where, Pocket):
        return where.side
    return SIDES[CORNERS.index(where)] if where in CORNERS else next(s for s in SIDES if s == where)


def order_in_words(plan: Plan, path: StitchPath) -> str:
    """How the pockets and the spines follow each other: 'the spines first, ..., then 108 pockets'."""
    pockets, out = f"{len(path.pockets)} pockets", "out to each tip and back to its joint"
    whole = "strip by strip, " if len(path.strips) > 1 else ""
    on_the_way = any(move.kind == "spine" and move.pocket for move in path.segments)
    if path.spines_come == "after":
        before, spine = threads_before(plan, path)
        those = listed([thread_name(plan, n) for n in before])
        told = f"{those} first, then {thread_name(plan, spine)}, " + (
            "the spines on its way, as the needle first comes along them"
            if on_the_way
            else f"which stitches the spines, {out}"
        )
        return f"{whole}{pockets}, thread by thread: {told}"
    if on_the_way:
        return f"{whole}{pockets}, and the spines on the way, as the needle first comes along them"
    return f"{whole}the spines first, {out}, then {pockets}"


def threads_before(plan: Plan, path: StitchPath) -> tuple[tuple[int, ...], int]:
    """The threads that are stitched before that of the spines, in order; and that of the spines."""
    spine = plan.stitched_with.get("spine", 0)
    return tuple(one.thread for one in path.threads if one.thread < spine), spine


def strips_in_words(path: StitchPath, units: Units) -> list[str]:
    """Each strip by its number and place; none where the whole quilt lies under the needle."""
    if len(path.strips) < 2:
        return []
    told = []
    for n, strip in enumerate(path.strips, 1):
        ends = " to ".join(format_length(end, units) for end in (strip.begin, strip.end))
        place = f"the {strip.side} border" if strip.side else f"{ends} from the top edge"
        told.append(f"Strip {n} of {len(path.strips)}, {place}")
    return told


def where_in_words(where: Pocket | str) -> str:
    """A pocket, a side or a corner: 'top border, curl 3 from the top right corner'."""
    if not isinstance(where, Pocket):
        return _spoken(where) if where in CORNERS else f"{where} border"
    if where.corner:
        return f"{_spoken(where.corner)}, {where.kind}"
    if where.run:
        back = ", towards the middle" if where.kind == "back" else ""
        return f"{where.side} border, curl {where.curl} {_from(where)}{back}"
    if where.kind == "strip":
        return "seam strip"
    return (
        f"{where.side} border, {'inside the circle in the middle' if where.kind == 'ring' else 'the middle'}"
    )


def _from(pocket: Pocket) -> str:
    """From which corner the curls of its run are counted."""
    side = next_side(pocket.side) if pocket.run == "end" else pocket.side
    return f"from the {_spoken(CORNERS[SIDES.index(side)])}"


def _spoken(corner: str) -> str:
    return f"{corner.replace('_', ' ')} corner"
