"""The stitching order as data that a page can draw from.

Lengths in the data are whole hundredths of an inch: finer than a thread is wide, and light.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from planner.border.layout import Layout
from planner.fills.backgrounds import background_of
from planner.fills.pocket import Pocket
from planner.fills.pockets.lattice import HATCH, HATCH_WORDS
from planner.fills.scattered import scattered_of
from planner.fills.shape import FillOfLayout
from planner.fills.styles import FILLS
from planner.geometry.curves import Curve, Motion
from planner.geometry.svg import whole_path
from planner.pictures.stages import Stage, side_of, strips_in_words, where_in_words
from planner.pictures.threaded import bands, seam_before
from planner.plan import SIDES
from planner.stitching.net import lengths_along
from planner.stitching.segments import Segment, StitchPath
from planner.supplies.called import thread_name

KINDS = ("spine", "tip", "fill", "again", "ahead")  # how a move looks while it is drawn


def play_data(
    layout: Layout, grown: FillOfLayout, stages: Iterable[Stage], path: StitchPath
) -> dict[str, Any]:
    """All moves, stage by stage, as JSON takes them; the shapes themselves are in the picture of
    ``planner.pictures.numbered``.

    cells: the lengths of each cell's shapes. A copy is [cell, a, b, c, d, e, f], its motion as in SVG. A stage
    is [line, number, place, thread, strip, side, before, copy, moves]: before it the thread has sewn so much of its
    repeat; moves are numbers of ``moves``, which lie as in the cell of that copy, or as in the quilt where copy is
    -1. A thread is [name, colours, repeat as seen on the quilt]; strips are words, none where the whole quilt lies
    free; carried are the lines that are not begun anew. A move is [kind, what, length, path] along a spine, or
    [kind, what, length, shape, from, to] along a shape of the cell, with a copy at the end where it is another's;
    from is the greater when it goes towards the shape's start. what counts in ``whats``: a part of the spine, or
    a shape in words; kind in KINDS.
    """
    homes = [(n, i) for n, copy in enumerate(grown.copies) for i in range(len(grown.cells[copy.cell].shapes))]
    copies: dict[Pocket | None, int] = {copy.pocket: n for n, copy in enumerate(grown.copies)}
    whats: dict[str, int] = {}
    moves: dict[tuple[int | str, ...], int] = {}  # pockets alike are filled alike: each move is told once

    repeats = [bands(layout.plan, one)[1] for one in layout.plan.every_thread]
    sewn, ahead = iter(seam_before(layout.plan, path)), iter(path.ahead)

    def stage_data(stage: Stage) -> list[Any]:
        home = copies.get(stage.moves[0].pocket, -1)
        back = grown.copies[home].motion.undone() if home >= 0 else Motion()
        gone, here = 0.0, []
        for move in stage.moves:
            before, gone = gone, gone + move.length
            # rounded along the whole stage, so that rounding never adds up
            length = hundredths(gone) - hundredths(before)
            early = next(ahead)  # over what a later thread covers: nothing is there yet
            kind = KINDS.index("ahead" if early else "again" if move.again else move.kind)
            what = whats.setdefault(_stitched(layout, move), len(whats))
            here.append(moves.setdefault((kind, what, length, *where(move, home, back)), len(moves)))
        side = SIDES.index(side_of(stage.where))
        first, *_ = (next(sewn) for _ in stage.moves)
        begun = hundredths(first % repeats[stage.thread]) if repeats[stage.thread] else 0
        place = where_in_words(stage.where)
        return [stage.line, stage.number, place, stage.thread, stage.strip, side, begun, home, here]

    def where(move: Segment, home: int, back: Motion) -> tuple[int | str, ...]:
        if move.shape is None:
            return (short_path(curve.moved(back) for curve in move.curves),)
        copy, shape = homes[move.shape]
        return (shape, *(hundredths(end) for end in move.span), *(() if copy == home else (copy,)))

    plan, border = layout.plan, layout.plan.border_in
    return {
        "size": [hundredths(layout.quilt.width), hundredths(layout.quilt.height)],
        "border": [hundredths(border.of(side)) for side in SIDES],
        "turned": plan.working.way != "frame",
        "threads": [
            [thread_name(plan, n), [band.colour for band in bands(plan, one)[0]], hundredths(repeats[n])]
            for n, one in enumerate(plan.every_thread)
        ],
        "strips": strips_in_words(path, plan.units),
        "carried": sorted(path.carried),
        "cells": [
            [
                hundredths(max(known.values()))
                for known in lengths_along([shape.curves for shape in cell.shapes])
            ]
            for cell in grown.cells
        ],
        "copies": [[copy.cell, *matrix_of(copy.motion)] for copy in grown.copies],
        "stages": [stage_data(stage) for stage in stages],
        "moves": list(moves),
        "whats": list(whats),
    }


def _stitched(layout: Layout, move: Segment) -> str:
    """The part of the spine, or what the needle is said to stitch."""
    if move.shape is None:
        return move.what
    fill, among, behind = FILLS[layout.plan.fill.kind], scattered_of(layout.plan), background_of(layout.plan)
    return {HATCH: HATCH_WORDS, **among.shapes, **fill.shapes, **behind.shapes}.get(
        move.what, f"a {move.what}"
    )


def matrix_of(m: Motion) -> tuple[float, ...]:
    """A motion as SVG takes it, its way in hundredths."""
    return (*(round(v, 6) for v in (m.a, m.b, m.c, m.d)), hundredths(m.e), hundredths(m.f))


def short_path(curves: Iterable[Curve]) -> str:
    """SVG path data in whole hundredths."""
    return whole_path(curves, 100)


def hundredths(length: float) -> int:
    """A length in whole hundredths of an inch."""
    return round(length * 100)
