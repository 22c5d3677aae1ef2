"""Holes: how far every place of a pocket is from anything stitched, on a fine raster. Inches."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.fills.growing.outline import Drawn
from planner.geometry.arrays import DIGITS, Indices, Mask, Numbers
from planner.geometry.polylines import Polylines

GRAIN_IN = 0.04  # of the raster: finer than the thread is thick
_FARTHEST = 14  # cells: no hole is looked for beyond this radius
_MARGIN = 1.3  # cells beside the ground: no whole number, or its straight edges would run between two cells
_HALF = 0.5  # of a cell: so thick is a line
_RIM = 3  # of the points of an outline, which are about so far apart, every so many are near enough


class Raster:
    """The pocket as a raster: free cells and how far each is from anything stitched."""

    def __init__(
        self,
        grounds: Sequence[Numbers],
        spines: Sequence[Numbers],
        shapes: Drawn,
        sometimes: Sequence[Drawn],
    ) -> None:
        """sometimes: further shapes, in as many ways; open is what is so in one of them."""
        every = np.concatenate(grounds)
        self.corner = every.min(axis=0) - _MARGIN * GRAIN_IN
        size = np.ceil((every.max(axis=0) - self.corner) / GRAIN_IN).astype(int) + 3
        self.shape = (int(size[1]), int(size[0]))
        full = ~np.logical_or.reduce([self._filled(Polylines.of([ground])) for ground in grounds])
        self._cross(full, np.concatenate(spines))
        full |= self._stitched(shapes)
        if any(len(some.open_) for some in sometimes):
            full |= np.logical_and.reduce([self._stitched(some) for some in sometimes])
        self.distance = self._distances(full)
        self._widest = _FARTHEST * GRAIN_IN  # no cell is farther from anything stitched

    def _stitched(self, shapes: Drawn) -> Mask:
        """Cells in which shapes are stitched, or the cloth lies that they enclose."""
        full = self._filled(shapes.cloth.chosen(~shapes.open_))
        self._cross(full, shapes.rough.points)
        return full

    def _cross(self, full: Mask, points: Numbers) -> None:
        """Fill the cells in which points lie."""
        x, y = np.floor((points - self.corner) / GRAIN_IN).T.astype(int)
        ok = (x >= 0) & (y >= 0) & (x < self.shape[1]) & (y < self.shape[0])
        full[y[ok], x[ok]] = True

    def _on(self, points: Numbers) -> Numbers:
        """Points (n, 2) as columns and rows of cells, whole numbers in their middles."""
        return np.asarray((points - self.corner) / GRAIN_IN - 0.5)

    def _filled(self, outlines: Polylines) -> Mask:
        """Cells whose centres lie in an odd number of the outlines."""
        return _odd(self._on(outlines.points), outlines.next, self.shape)

    def _distances(self, full: Mask) -> Numbers:
        """Distance of every cell from the nearest full one, up to the farthest looked for, inches."""
        square = np.where(full, 0, _FARTHEST**2).astype(np.int16)  # whole numbers, small: many at once
        for axis in (0, 1):
            best = square.copy()
            for shift in range(1, _FARTHEST):
                cost = np.int16(shift * shift)
                ahead, behind = [slice(None)] * 2, [slice(None)] * 2
                ahead[axis], behind[axis] = slice(shift, None), slice(None, -shift)
                there, here = tuple(ahead), tuple(behind)
                np.minimum(best[here], square[there] + cost, out=best[here])
                np.minimum(best[there], square[here] + cost, out=best[there])
            square = best
        return np.asarray(np.sqrt(square, dtype=np.float64)) * GRAIN_IN

    def widest(self) -> tuple[Numbers, float]:
        """The middle of the cell that is farthest from anything stitched, and how far that is, inches."""
        y, x = np.unravel_index(int(np.argmax(self.distance)), self.shape)
        self._widest = float(self.distance[y, x])
        return self.corner + (np.array([x, y]) + 0.5) * GRAIN_IN, self._widest

    def keep_beside(self, x: float) -> None:
        """Count as stitched all but the places in front of a line across, farther in than half way to it."""
        middle = self.corner[0] + (np.arange(self.shape[1]) + 0.5) * GRAIN_IN
        self.distance[x - middle > 2 * self.distance] = 0.0

    def leave(self, centre: Numbers) -> None:
        """Look no more at a place, nor at the cells beside it."""
        x, y = ((centre - self.corner) / GRAIN_IN).astype(int)
        self.distance[max(y - 1, 0) : y + 2, max(x - 1, 0) : x + 2] = 0.0

    def cover(self, outline: Numbers) -> None:
        """Count the cloth that an outline (n, 2) encloses as stitched."""
        on = self._on(outline)
        left, low = np.maximum(on.min(axis=0).astype(int), 0).tolist()
        right, high = (on.max(axis=0).astype(int) + 1).tolist()
        part = self.distance[low:high, left:right]
        part[_odd(on - (left, low), np.roll(np.arange(len(on)), -1), part.shape)] = 0.0
        rim = on[::_RIM]
        x, y, part = self._about(rim, _HALF)
        self._nearer(part, np.sqrt((x * x + y * y).min(axis=0)) - _HALF)

    def fill(self, centres: Numbers, radii: Numbers) -> None:
        """Count circles that lie near each other as stitched: centres (n, 2), radii (n,)."""
        radii = radii / GRAIN_IN
        x, y, part = self._about(self._on(centres), radii[:, None])
        gone = x * x + y * y
        np.sqrt(gone, out=gone)
        gone -= radii[:, None, None]
        self._nearer(part, gone.min(axis=0))

    def _about(self, on: Numbers, radii: Numbers | float) -> tuple[Numbers, Numbers, Numbers]:
        """All cells that may be nearer to some circles among them than to what was stitched before (m, k).

        And from the middle of each circle how far they are across (n, 1, k) and down (n, m, 1).
        """
        far = radii + self._widest / GRAIN_IN
        left, low = np.maximum((on - far).min(axis=0).astype(int), 0).tolist()
        right, high = ((on + far).max(axis=0).astype(int) + 2).tolist()
        part = self.distance[low:high, left:right]
        x = on[:, 0, None, None] - np.arange(left, left + part.shape[1])
        y = on[:, 1, None, None] - np.arange(low, low + part.shape[0])[:, None]
        return x, y, part

    @staticmethod
    def _nearer(part: Numbers, cells: Numbers) -> None:
        """Have some cells no farther from what is stitched than so many cells."""
        np.minimum(part, np.maximum(cells * GRAIN_IN, 0.0).round(DIGITS), out=part)


def _odd(on: Numbers, following: Indices, shape: tuple[int, ...]) -> Mask:
    """Cells (rows, columns) that lie in an odd number of outlines of points (n, 2) among the cells.

    following: after each point the next of its outline (n,).
    """
    a, b = on, on[following]
    low, high = np.ceil(np.minimum(a[:, 1], b[:, 1])), np.ceil(np.maximum(a[:, 1], b[:, 1]))
    first, count = low.astype(int), (high - low).astype(int)
    edge = np.repeat(np.arange(len(a)), count)
    row = first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
    share = (row - a[edge, 1]) / (b[edge, 1] - a[edge, 1])
    column = np.ceil(a[edge, 0] + share * (b[edge, 0] - a[edge, 0])).astype(int)
    ok = (row >= 0) & (row < shape[0])
    wide = shape[1] + 1
    cells = row[ok] * wide + np.clip(column[ok], 0, shape[1])
    # Of counts only the last bit is asked for.
    flips = np.bincount(cells, minlength=shape[0] * wide).astype(np.uint8).reshape(-1, wide)
    return np.asarray((flips.cumsum(axis=1, dtype=np.uint8)[:, :-1] & 1).astype(bool))
