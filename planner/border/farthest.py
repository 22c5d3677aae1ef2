"""The farthest that a point of some boxes lies from lines and arcs: cells that may hold it are quartered.

A distance changes by no more than the way between two points, so a cell whose middle is nearer by more than its
half diagonal than the farthest point found so far is dropped. Each first cell is told the arcs near it. Inches,
radians.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.geometry.arrays import Indices, Numbers
from planner.geometry.curves import Arc, Point, Track

Box = tuple[float, float, float, float]  # u0, h0, u1, h1
View = tuple[
    Sequence[Track], Sequence[Box]
]  # lines and arcs, and where a point may lie, in coordinates of its own

_FIRST_CELL_IN = 0.9  # side of the cells the search begins with
_LAST_CELL_IN = 0.002  # and ends with: its half diagonal is the error of the figure
_NEAREST = 14  # arcs that a first cell is told of: twice what ever surrounds it
_FLAT_IN = 1e4  # a line is an arc of so large a radius: an inch of it bows by a hundred thousandth


def _made_ready(cx: Numbers, cy: Numbers, r: Numbers, begin: Numbers, sweep: Numbers) -> tuple[Numbers, ...]:
    """What a distance to arcs is read from: centre, radius, which way their middle lies and how far they open to
    either side of it (a cosine), and their ends from the centre."""
    middle = begin + sweep / 2
    ends = [r * way(angle) for angle in (begin, begin + sweep) for way in (np.cos, np.sin)]
    return cx, cy, r, np.cos(middle), np.sin(middle), np.cos(sweep / 2), *ends


def _distance(x: Numbers, y: Numbers, arcs: Sequence[Numbers]) -> Numbers:
    """Distance from points to arcs made ready: to the circle where the arc spans the point's angle, else to an
    end."""
    cx, cy, r, mx, my, open_to, ax, ay, bx, by = arcs
    dx, dy = x - cx, y - cy
    from_centre = np.sqrt(dx * dx + dy * dy)
    spanned = dx * mx + dy * my >= open_to * from_centre
    ends = np.minimum((dx - ax) ** 2 + (dy - ay) ** 2, (dx - bx) ** 2 + (dy - by) ** 2)
    return np.where(spanned, np.abs(from_centre - r), np.sqrt(ends))


def farthest(views: Sequence[View], least: float = 0.0) -> tuple[float, int, Point]:
    """Largest distance from any point of a view's boxes to the nearest of its own curves; of which view, and where.

    0 where there is no box. least: where nothing lies farther than that, the search ends as soon as it is known,
    with the farthest point that it came upon.
    """
    cells, told, of = [np.zeros((4, 0))], [np.zeros((10, 0, _NEAREST))], [np.zeros(0, dtype=np.intp)]
    for n, (curves, boxes) in enumerate(views):
        if boxes := [box for box in boxes if box[2] > box[0] and box[3] > box[1]]:
            cells.append(np.concatenate([_cells(*box) for box in boxes], axis=1))
            arcs = np.array(_made_ready(*np.array([_figures(curve) for curve in curves]).T))
            told.append(arcs[:, _near(curves, *cells[-1][:2])])
            of.append(np.full(cells[-1].shape[1], n))
    u, h, wide, high = np.concatenate(cells, axis=1)
    if not len(u):
        return 0.0, 0, (0.0, 0.0)
    return _quartered(u, h, wide, high, np.concatenate(told, axis=1), np.concatenate(of), least)


def _quartered(
    u: Numbers, h: Numbers, wide: Numbers, high: Numbers, arcs: Numbers, view: Indices, least: float
) -> tuple[float, int, Point]:
    """The farthest point of some cells, each with the arcs it is told of (shape (10, cells, arcs)) and its view."""
    while True:
        found = _distance(u[:, None], h[:, None], list(arcs)).min(axis=1)
        best = int(np.argmax(found))
        kept = np.flatnonzero(found + np.hypot(wide, high) / 2 >= max(found[best], least))
        if not kept.size or max(wide.max(), high.max()) <= _LAST_CELL_IN:
            return float(found[best]), int(view[best]), (float(u[best]), float(h[best]))
        u, h, wide, high = u[kept], h[kept], wide[kept] / 2, high[kept] / 2
        u = np.concatenate([u - wide / 2, u + wide / 2, u - wide / 2, u + wide / 2])
        h = np.concatenate([h - high / 2, h - high / 2, h + high / 2, h + high / 2])
        wide, high, four = np.tile(wide, 4), np.tile(high, 4), np.tile(kept, 4)
        arcs, view = arcs[:, four], view[four]


def _cells(u0: float, h0: float, u1: float, h1: float) -> Numbers:
    """A box cut into cells: middles u and h, width and height. Shape (4, n)."""
    nu, nh = (int(length / _FIRST_CELL_IN) + 1 for length in (u1 - u0, h1 - h0))
    wide, high = (u1 - u0) / nu, (h1 - h0) / nh
    u, h = np.meshgrid(u0 + (np.arange(nu) + 0.5) * wide, h0 + (np.arange(nh) + 0.5) * high)
    return np.stack([u.ravel(), h.ravel(), np.full(u.size, wide), np.full(u.size, high)])


def _figures(curve: Track) -> tuple[float, float, float, float, float]:
    """Centre, radius, beginning and sweep; a line's as of a very flat arc."""
    if isinstance(curve, Arc):
        return (*curve.centre, curve.radius, curve.begin, curve.sweep)
    (x, y), square = curve.start, curve.heading() + np.pi / 2
    centre = x + _FLAT_IN * np.cos(square), y + _FLAT_IN * np.sin(square)
    return (*centre, _FLAT_IN, square - np.pi, curve.length / _FLAT_IN)


def _near(curves: Sequence[Track], u: Numbers, h: Numbers) -> Indices:
    """Which curves lie nearest to each cell, by the circles round them; some twice where there are few.

    Shape (cells, _NEAREST).
    """
    round_it = np.array(
        [(*c.centre, c.radius) if isinstance(c, Arc) else (*c.point(0.5), c.length / 2) for c in curves]
    )
    at_least = np.hypot(u[:, None] - round_it[:, 0], h[:, None] - round_it[:, 1]) - round_it[:, 2]
    if len(curves) <= _NEAREST:
        return np.tile(np.resize(np.arange(len(curves)), _NEAREST), (len(u), 1))
    return np.argpartition(at_least, _NEAREST, axis=1)[:, :_NEAREST]
