"""Points in order across, so that those near a place are found without looking at all of them. Inches."""

from __future__ import annotations

import numpy as np

from planner.geometry.arrays import Indices, Numbers


class Nearby:
    """Points (n, 2), with a number each (n,); more may be added."""

    def __init__(self, points: Numbers, numbers: Indices) -> None:
        order = np.argsort(points[:, 0], kind="stable")
        self._points, self._numbers = points[order], numbers[order]
        self._x, self._y = self._points.T.copy()
        self._more, self._their = points[:0], numbers[:0]  # added later, in no order

    def within(self, centre: Numbers, far: float) -> tuple[Numbers, Indices]:
        """The points in a square that reaches ``far`` about a centre, and their numbers."""
        low, high = np.searchsorted(self._x, (centre[0] - far, centre[0] + far))
        near = low + (np.abs(self._y[low:high] - centre[1]) < far).nonzero()[0]
        beside = np.abs(self._more - centre) < far
        more = (beside[:, 0] & beside[:, 1]).nonzero()[0]
        return (
            np.concatenate((self._points.take(near, axis=0), self._more.take(more, axis=0))),
            np.concatenate((self._numbers.take(near), self._their.take(more))),
        )

    def add(self, points: Numbers, numbers: int | Indices) -> None:
        """More points, with a number each, or one for all."""
        self._more = np.concatenate((self._more, points))
        self._their = np.concatenate((self._their, np.broadcast_to(numbers, len(points))))
