"""Empty paper: where on a sheet a square, or words, can stand and cover nothing that is drawn there."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil

import numpy as np

from planner.geometry.arrays import Numbers
from planner.geometry.curves import Point
from planner.sheets.drawing import Box, Drawing, Label, Layer, Stroke
from planner.sheets.text import width

CELL_IN = 0.05  # paper is looked at in cells of this size
CLEAR_IN = 0.1  # of air round what is set into empty paper
FINE_IN = 0.03  # between the places that are tried for words
AIR_IN = 0.02  # round words that are set among lines
POINT = 72.0  # points to the inch


def points_along(strokes: Iterable[Stroke]) -> list[Point]:
    """Points along everything drawn, no farther apart than a cell."""
    return [
        curve.point(n / steps)
        for stroke in strokes
        for curve in stroke.curves
        for steps in (max(1, ceil(curve.length / CELL_IN)),)
        for n in range(steps + 1)
    ]


def points_of(drawing: Drawing) -> Numbers:
    """Points (n, 2) along everything drawn and all over its words, no farther apart than a cell."""
    points = points_along(drawing.strokes)
    for label in drawing.labels:
        points += points_of_label(label)
    return np.array(points, dtype=float).reshape(-1, 2)


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
    reach = within + max(wide, high)
    here = taken[(np.abs(taken - near) < reach).all(axis=1)]
    x, y = (near[n] + np.arange(-within, within + FINE_IN, FINE_IN) for n in (0, 1))
    middles = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    middles = middles[np.hypot(*(middles - near).T) <= within]
    middles = middles[np.argsort(np.hypot(*(middles - near).T), kind="stable")]
    for middle in middles:
        if not ((np.abs(here - middle) < (wide / 2, high / 2)).all(axis=1)).any():
            return Box(float(middle[0]) - wide / 2, float(middle[1]) - high / 2, wide, high)
    return None


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
            foot = (box.x + AIR_IN, box.y + box.height - AIR_IN - 0.1 * size)
            return Label(foot, text, size, "start", layer, bold=True)
    return None
