"""Empty paper: where on a sheet a square, or words, can stand and cover nothing that is drawn there."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil

import numpy as np

from planner.geometry.arrays import Indices, Numbers
from planner.geometry.curves import Arc, Bezier, Curve, Line, Point
from planner.sheets.drawing import BELOW, Box, Label, Layer, Stroke
from planner.sheets.text import width

CELL_IN = 0.05  # paper is looked at in cells of this size
CLEAR_IN = 0.1  # of air round what is set into empty paper
FINE_IN = 0.03  # between the places that are tried for words
AIR_IN = 0.02  # round words that are set among lines
POINT = 72.0  # points to the inch


def points_along(strokes: Iterable[Stroke]) -> Numbers:
    """Points (n, 2) along everything drawn, no farther apart than a cell."""
    return points_on(curve for stroke in strokes for curve in stroke.curves)


def points_on(curves: Iterable[Curve]) -> Numbers:
    """Points (n, 2) along some curves, their ends included, no farther apart than a cell.

    All curves of a sort at once: a pattern with its fill has tens of thousands. A Bézier curve is no longer than
    the way along its handles, which is quicker told than its length.
    """
    found = [np.zeros((0, 2))]
    kinds: dict[type[Curve], list[tuple[float, ...]]] = {Line: [], Arc: [], Bezier: []}
    for curve in curves:
        kinds[type(curve)].append(_figures(curve))
    if kinds[Line]:
        ends = np.array(kinds[Line]).reshape(-1, 2, 2)
        which, t = _shares(np.hypot(*(ends[:, 1] - ends[:, 0]).T))
        found.append(ends[which, 0] + t * (ends[which, 1] - ends[which, 0]))
    if kinds[Arc]:
        x, y, radius, begin, sweep = np.array(kinds[Arc]).T
        which, t = _shares(radius * np.abs(sweep))
        angle = begin[which] + t[:, 0] * sweep[which]
        out = np.stack((np.cos(angle), np.sin(angle)), axis=1)
        found.append(np.stack((x, y), axis=1)[which] + radius[which, None] * out)
    if kinds[Bezier]:
        handles = np.array(kinds[Bezier]).reshape(-1, 4, 2)
        which, t = _shares(np.linalg.norm(np.diff(handles, axis=1), axis=2).sum(axis=1))
        weights = np.concatenate(((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3), axis=1)
        found.append(np.einsum("nk,nkj->nj", weights, handles[which]))
    return np.concatenate(found)


def _figures(curve: Curve) -> tuple[float, ...]:
    if isinstance(curve, Arc):
        return (*curve.centre, curve.radius, curve.begin, curve.sweep)
    if isinstance(curve, Line):
        return (*curve.start, *curve.end)
    return (*curve.p0, *curve.p1, *curve.p2, *curve.p3)


def _shares(lengths: Numbers) -> tuple[Indices, Numbers]:
    """For curves of these lengths: of each of their points the number of its curve (n,), and its share t (n, 1)."""
    steps = np.maximum(np.ceil(lengths / CELL_IN), 1).astype(np.int64)
    which = np.repeat(np.arange(len(steps)), steps + 1)
    first = np.cumsum(steps + 1) - steps - 1
    return which, ((np.arange(len(which)) - first[which]) / steps[which])[:, None]


def points_of_label(label: Label) -> list[Point]:
    """Points all over its words, no farther apart than a cell."""
    wide = width(label.text, label.size * POINT, bold=label.bold) / POINT
    left = label.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor] * wide
    return covering(Box(left, label.at[1] - label.size, wide, 1.3 * label.size))


def covering(box: Box) -> list[Point]:
    """Points all over a box."""
    across, down = ceil(box.width / CELL_IN) + 1, ceil(box.height / CELL_IN) + 1
    return [
        (float(x), float(y))
        for x in np.linspace(box.x, box.x + box.width, across)
        for y in np.linspace(box.y, box.y + box.height, down)
    ]


def free_square(taken: Numbers, within: Box, side: float) -> Point | None:
    """Lower left corner of a square of ``side`` inches in empty paper, as low as can be and then as far left.

    taken: points (n, 2) that it must stay ``CLEAR_IN`` away from. None where no such square is left.
    """
    columns, rows = int(within.width / CELL_IN), int(within.height / CELL_IN)
    need = ceil((side + 2 * CLEAR_IN) / CELL_IN) + 1
    if need > min(columns, rows):
        return None
    place = np.floor((taken - (within.x, within.y)) / CELL_IN).astype(int)
    here = place[((place >= 0) & (place < (columns, rows))).all(axis=1)]
    cells = np.zeros((rows, columns), dtype=int)
    cells[here[:, 1], here[:, 0]] = 1
    sums = np.pad(cells.cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))
    full = sums[need:, need:] - sums[:-need, need:] - sums[need:, :-need] + sums[:-need, :-need]
    free = np.argwhere(full == 0)
    if not len(free):
        return None
    row, column = free[free[:, 0] == free[:, 0].max()][0]
    x, y = within.x + column * CELL_IN + CLEAR_IN, within.y + (row + need) * CELL_IN - CLEAR_IN
    return float(x), float(y)


def free_box(taken: Numbers, wide: float, high: float, near: Point, within: float) -> Box | None:
    """The box of that size in empty paper whose middle lies nearest to a point, and at most ``within`` of it.

    taken: points (n, 2) that must lie outside it. None where there is no such box.
    """
    offsets = np.arange(-within, within + FINE_IN, FINE_IN)
    n = len(offsets)
    half = np.array((wide, high)) / 2
    place = taken[(np.abs(taken - near) < within + FINE_IN + half).all(axis=1)] - near
    # Of the middles tried, a point bars those from low to end in either direction: each is marked at the corners of
    # what it bars, and running sums tell how many bar a middle.
    low = np.clip(np.floor((place - half + within) / FINE_IN).astype(int) + 1, 0, n)
    end = np.clip(np.ceil((place + half + within) / FINE_IN).astype(int), 0, n)
    marks = np.zeros((n + 1, n + 1), dtype=int)
    for across, down, way in ((low, low, 1), (end, low, -1), (low, end, -1), (end, end, 1)):
        np.add.at(marks, (down[:, 1], across[:, 0]), way)
    barred = marks.cumsum(axis=0).cumsum(axis=1)[:n, :n]
    away = np.hypot(*np.meshgrid(offsets, offsets))
    away[(barred > 0) | (away > within)] = np.inf
    down, across = np.unravel_index(int(np.argmin(away)), away.shape)
    if np.isinf(away[down, across]):
        return None
    x, y = near[0] + float(offsets[across]), near[1] + float(offsets[down])
    return Box(x - wide / 2, y - high / 2, wide, high)


def in_free_paper(
    text: str, near: Point, within: float, taken: Numbers, sizes: Iterable[float], layer: Layer = "mark"
) -> Label | None:
    """Bold words near a point, in the first of these sizes (inches) that covers none of ``taken``.

    None where even the last finds no room within so many inches of it.
    """
    for size in sizes:
        wide = width(text, size * POINT, bold=True) / POINT
        box = free_box(taken, wide + 2 * AIR_IN, size + 2 * AIR_IN, near, within)
        if box:
            foot = (box.x + AIR_IN, box.y + box.height - AIR_IN - BELOW * size)
            return Label(foot, text, size, "start", layer, bold=True)
    return None
