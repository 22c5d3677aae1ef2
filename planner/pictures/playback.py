"""The stitching order to look at: in stages, in words, and as data that a page can draw from.

Lengths in the data are whole hundredths of an inch: finer than a thread is wide, and light.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Any

from planner.border.band import CORNERS, next_side
from planner.border.layout import Layout
from planner.fills.pockets.lattice import HATCH, HATCH_WORDS
from planner.fills.shape import FillOfLayout
from planner.fills.styles import FILLS
from planner.geometry.curves import Curve, Motion, Point
from planner.geometry.svg import whole_path
from planner.plan import SIDES
from planner.stitching.net import lengths_along
from planner.stitching.segments import Segment, StitchPath

KINDS = ("spine", "tip", "fill", "again")  # how a move looks while it is drawn


@dataclass(frozen=True, slots=True)
class Stage:
    """Moves that follow each other in one place: a pocket, or the spines of one side or corner.

    number: of the pocket in the order of filling, 0 for spines; line: from 0.
    """

    line: int
    place: str
    number: int
    moves: tuple[Segment, ...]

    @property
    def length(self) -> float:
        """Inches, ways back counted."""
        return sum(move.length for move in self.moves)


def stages(layout: Layout, path: StitchPath) -> list[Stage]:
    """The whole path in stages, in order."""
    told = {pocket: (n, pocket_in_words(pocket)) for n, pocket in enumerate(path.pockets, 1)}

    def where(move: Segment) -> tuple[int, int, str]:
        if move.pocket:
            return move.line, *told[move.pocket]
        return move.line, 0, _along(layout, move.strand.point(move.places[0]))

    return [
        Stage(line, place, number, tuple(moves))
        for (line, number, place), moves in groupby(path.segments, key=where)
    ]


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
    for (place, after), group in groupby((s for s in stages if s.number), key=lambda s: _curl(s.place)[::2]):
        run = list(group)
        curls = [_curl(stage.place)[1] for stage in run]
        words = f"{place}{_range(curls)}{after}" if curls[0] else run[0].place
        found.append(Leg(run[0].number, run[-1].number, words, sum(stage.length for stage in run)))
    return found


def _range(curls: list[str]) -> str:
    """Curls in words: 'curls 3 to 5', 'every second curl, 1 to 11,' or with '..., 1 to 11, then 10 to 2,'."""
    if curls[0] == curls[-1]:
        return f"curl {curls[0]}"
    turns = [n for n, (a, b) in enumerate(pairwise(curls), 1) if abs(int(a) - int(b)) != 2]
    if len(curls) < 3 or len(turns) > 1:
        return f"curls {curls[0]} to {curls[-1]}"
    ways = [curls[: turns[0]], curls[turns[0] :]] if turns else [curls]
    return "every second curl, " + ", then ".join(map(_to, ways)) + ","


def _to(curls: list[str]) -> str:
    return curls[0] if curls[0] == curls[-1] else f"{curls[0]} to {curls[-1]}"


def _curl(place: str) -> tuple[str, str, str]:
    """A pocket's words parted: before its curl's number, the number, after it without what is past a comma."""
    before, _, rest = place.partition("curl ")
    number, _, after = rest.partition(" ")
    return before, number, f" {after.split(',')[0]}"


def pocket_in_words(pocket: str) -> str:
    """'top-end-3': top border, curl 3 from the top right corner."""
    place, _, rest = pocket.partition("-")
    if place in CORNERS:
        return f"{place.replace('_', ' ')} corner, {rest}"
    run, _, number = rest.partition("-")
    if run not in ("start", "end"):
        return f"{place} border, {'inside the ring' if run == 'ring' else 'the middle'}"
    side = next(side for side in SIDES if side == place)
    corner = CORNERS[SIDES.index(side if run == "start" else next_side(side))].replace("_", " ")
    curl, _, back = number.partition("-")
    return f"{place} border, curl {curl} from the {corner} corner" + (", towards the middle" if back else "")


def play_data(layout: Layout, grown: FillOfLayout, stages: Iterable[Stage]) -> dict[str, Any]:
    """All moves, stage by stage, as JSON takes them; the shapes themselves are in the picture of
    ``planner.pictures.numbered``.

    cells: the lengths of each cell's shapes. A copy is [cell, a, b, c, d, e, f], its motion as in SVG. A stage
    is [line, number, place, copy, moves]: numbers of ``moves``, which lie as in the cell of that copy, or as in
    the quilt where copy is -1. A move is [kind, what, length, path] along a spine, or [kind, what, length,
    shape, from, to] along a shape of the cell, with a copy at the end where it is another's; from is the
    greater when it goes towards the shape's start. what counts in ``whats``: a part of the spine, or a shape in
    words; kind in KINDS.
    """
    homes = [(n, i) for n, copy in enumerate(grown.copies) for i in range(len(grown.cells[copy.cell].shapes))]
    copies = {copy.pocket: n for n, copy in enumerate(grown.copies)}
    whats: dict[str, int] = {}
    moves: dict[tuple[int | str, ...], int] = {}  # pockets alike are filled alike: each move is told once

    def told(stage: Stage) -> list[Any]:
        home = copies.get(stage.moves[0].pocket, -1)
        back = grown.copies[home].motion.undone() if home >= 0 else Motion()
        gone, here = 0.0, []
        for move in stage.moves:
            before, gone = gone, gone + move.length
            # rounded along the whole stage, so that rounding never adds up
            length = hundredths(gone) - hundredths(before)
            kind = KINDS.index("again" if move.again else move.kind)
            what = whats.setdefault(_stitched(layout, move), len(whats))
            here.append(moves.setdefault((kind, what, length, *where(move, home, back)), len(moves)))
        return [stage.line, stage.number, stage.place, home, here]

    def where(move: Segment, home: int, back: Motion) -> tuple[int | str, ...]:
        if move.shape is None:
            return (short_path(curve.moved(back) for curve in move.curves),)
        copy, shape = homes[move.shape]
        return (shape, *(hundredths(end) for end in move.span), *(() if copy == home else (copy,)))

    border = layout.plan.border_in
    return {
        "size": [hundredths(layout.quilt.width), hundredths(layout.quilt.height)],
        "border": [hundredths(border.of(side)) for side in SIDES],
        "cells": [
            [
                hundredths(max(known.values()))
                for known in lengths_along([shape.curves for shape in cell.shapes])
            ]
            for cell in grown.cells
        ],
        "copies": [[copy.cell, *matrix_of(copy.motion)] for copy in grown.copies],
        "stages": [told(stage) for stage in stages],
        "moves": list(moves),
        "whats": list(whats),
    }


def _stitched(layout: Layout, move: Segment) -> str:
    """The part of the spine, or what the needle is said to stitch."""
    if move.shape is None:
        return move.what
    return {HATCH: HATCH_WORDS, **FILLS[layout.plan.fill.kind].shapes}.get(move.what, f"a {move.what}")


def matrix_of(m: Motion) -> tuple[float, ...]:
    """A motion as SVG takes it, its way in hundredths."""
    return (*(round(v, 6) for v in (m.a, m.b, m.c, m.d)), hundredths(m.e), hundredths(m.f))


def short_path(curves: Iterable[Curve]) -> str:
    """SVG path data in whole hundredths."""
    return whole_path(curves, 100)


def hundredths(length: float) -> int:
    return round(length * 100)


def _along(layout: Layout, point: Point) -> str:
    """The side or corner in which a point of the border lies."""
    border, (x, y) = layout.plan.border_in, point
    down = "top" if y < border.top else "bottom" if y > layout.quilt.height - border.bottom else ""
    across = "left" if x < border.left else "right" if x > layout.quilt.width - border.right else ""
    return f"{down} {across} corner" if down and across else f"{down or across} border"
