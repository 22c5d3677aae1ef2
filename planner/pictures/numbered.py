"""The order of stitching as one picture: a number on every pocket, a dot where a line begins."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from planner.border.layout import Layout
from planner.fills.shape import FillOfLayout
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Point
from planner.pictures.picture import filled, picture, whole_quilt
from planner.pictures.playback import matrix_of, short_path
from planner.pictures.stages import Stage
from planner.pictures.threaded import needs_path
from planner.stitching.segments import StitchPath

_DISC_IN, _DOT_IN = 1.05, 0.6  # radii of what a number stands on, and of the dot where a line begins
_MANY = 60  # where more lines begin, not each of them has a dot
_AIR_IN = 0.1  # between two of these
_ROUNDS = 60  # more than any quilt needs until nothing moves


def numbered(layout: Layout, grown: FillOfLayout, stages: Iterable[Stage], path: StitchPath) -> str:
    """The whole quilt with its fill as an SVG element, numbers and dots over it, and where the strips end.

    A pocket that several threads come to has its number once. Where lines are many, a field of dots would tell
    nothing: then a dot stands where a thread comes to a strip and where spines are begun, and the number of a
    pocket in which more lines begin is ringed.

    The path "cell0" is the first cell in hundredths of an inch, an M at the start of each shape.
    """
    told = list(stages)
    carried = path.carried
    begun = [s for n, s in enumerate(told) if n == 0 or told[n - 1].line != s.line]
    dotted, ringed = begun, set[int]()
    if many_begin(path):
        first = {(s.thread, s.strip): s for s in reversed(begun)}
        dotted = [s for s in begun if first[s.thread, s.strip] is s or not s.number]
        dots = {s.line for s in dotted}
        ringed = {s.number for s in begun if s.line not in dots | carried}
    pockets = list({s.number: s for s in reversed(told) if s.number}.values())[::-1]
    starts = [stage.moves[0].start for stage in dotted]
    places = [_middle(stage) for stage in pockets]
    radii = [_DOT_IN] * len(starts) + [_DISC_IN] * len(places)
    spread = _apart([*starts, *places], radii, len(starts), (layout.quilt.width, layout.quilt.height))
    marks = [
        f'<circle class="{"carried" if stage.line in carried else "begins"}" '
        f'cx="{x:.2f}" cy="{y:.2f}" r="{_DOT_IN}"/>'
        for stage, (x, y) in zip(dotted, starts, strict=True)
    ]
    for stage, (x, y) in zip(pockets, spread[len(starts) :], strict=True):
        ring = ' class="ringed"' if stage.number in ringed else ""
        marks.append(
            f'<circle{ring} cx="{x:.2f}" cy="{y:.2f}" r="{_DISC_IN}"/>'
            f'<text class="digits{len(str(stage.number))}" x="{x:.2f}" y="{y + 0.4:.2f}">{stage.number}</text>'
        )
    cells = "".join(
        f'<path id="cell{i}" d="{"".join(short_path(shape.curves) for shape in cell.shapes)}"/>'
        for i, cell in enumerate(grown.cells)
    )
    copies = "".join(
        f'<use href="#cell{copy.cell}" transform="matrix({" ".join(f"{v:g}" for v in matrix_of(copy.motion))})"/>'
        for copy in grown.copies
    )
    plan = layout.plan
    if len(plan.threads) > 1 or needs_path(plan):
        drawn = f'<g class="filled-in-threads" fill="none">{filled(grown, layout, path)}</g>'
    else:
        drawn = (
            f'<g class="filled" fill="none" stroke="{plan.every_thread[0].colours[0]}" '
            f'transform="scale(.01)">{copies}</g>'
        )
    notes = f'<defs>{cells}</defs>{drawn}{_strips(layout, path)}<g class="numbers">{"".join(marks)}</g>'
    title = f"The order of stitching of {layout.plan.name}"
    return picture(layout, whole_quilt(layout), title=title, notes=notes)


def many_begin(path: StitchPath) -> bool:
    """Whether so many lines begin that not each of them has a dot."""
    return path.lines > _MANY


def _strips(layout: Layout, path: StitchPath) -> str:
    """A line across the quilt at the far edge of each strip of a frame."""
    ends = [strip.end for strip in path.strips[:-1] if strip.side is None]
    lines = "".join(f"M0 {end:.2f}H{layout.quilt.width:.2f}" for end in ends)
    return f'<path class="strip-ends" d="{lines}"/>' if lines else ""


def _middle(stage: Stage) -> Point:
    """About the middle of what is stitched in a stage."""
    spots = [move.strand.point(sum(move.places) / 2) for move in stage.moves if not move.again]
    return sum(x for x, _ in spots) / len(spots), sum(y for _, y in spots) / len(spots)


def _apart(places: Sequence[Point], radii: Sequence[float], fixed: int, size: tuple[float, float]) -> Numbers:
    """The places, those pushed aside on which another disc would lie, but never over the edge of the quilt;
    the first ``fixed`` ones stay."""
    at = np.array(places, dtype=float).reshape(-1, 2)
    wide = np.array(radii)
    upper = np.triu_indices(len(at), 1)
    for _ in range(_ROUNDS):
        way = at[upper[1]] - at[upper[0]]
        far = np.hypot(*way.T)
        lack = wide[upper[0]] + wide[upper[1]] + _AIR_IN - far
        close = np.flatnonzero(lack > 1e-3)
        if not close.size:
            break
        for k in close:
            i, j = upper[0][k], upper[1][k]
            push = (way[k] / far[k] if far[k] else np.array((1.0, 0.0))) * lack[k] / 2
            if j < fixed:
                continue
            at[i] -= push * (i >= fixed)
            at[j] += push * (1 + (i < fixed))
        at[fixed:] = np.clip(at[fixed:], wide[fixed:, None], np.array(size) - wide[fixed:, None])
    return at
