"""Compositions in a corner's circle: laid out about the line from the spine at the miter to the circle's middle.

What grows to one side grows to the other too. Inches, but for shares of the composition's size.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import comb

import numpy as np

from planner.fills.growing.outline import Outline
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Point

SIDES = (-1.0, 1.0)
_POINTS = 50  # along a way


def bezier(handles: Numbers, count: int = _POINTS) -> Numbers:
    """So many points along the Bézier curve with some handles (n, 2); shape (count, 2)."""
    n, t = len(handles) - 1, np.linspace(0, 1, count)
    share = np.stack([comb(n, k) * t**k * (1 - t) ** (n - k) for k in range(n + 1)], axis=1)
    return np.asarray(share @ handles)


@dataclass(frozen=True, slots=True)
class Heart:
    """Where a composition stands: its foot on the spine, the circle's middle, and its size.

    Places are pairs: aside, and ahead of the middle as one comes from the foot, both as shares of the size.
    """

    foot: Numbers
    middle: Numbers
    size: float

    @staticmethod
    def of(base: Point, centre: Point, most: float) -> Heart:
        """As large as the circle, but no larger than ``most``."""
        foot, middle = np.array(base), np.array(centre)
        return Heart(foot, middle, min(float(np.hypot(*(middle - foot))), most))

    @property
    def low(self) -> float:
        """How far the foot is behind the middle, nought at the middle."""
        return -float(np.hypot(*(self.middle - self.foot))) / self.size

    def at(self, *places: tuple[float, float]) -> Numbers:
        """The points at some places (n, 2)."""
        x, y = (self.middle - self.foot) / np.hypot(*(self.middle - self.foot))
        return np.asarray(self.middle + self.size * np.array(places) @ np.array([(-y, x), (x, y)]))

    def way(self, *places: tuple[float, float]) -> Numbers:
        """The Bézier curve with its handles at some places (50, 2)."""
        return bezier(self.at(*places))

    def stem(self, *leaving: float) -> Outline:
        """A straight stem from the foot to the last of some places ahead; a node at each, where leaves leave it."""
        ahead = np.array([self.low, *leaving])
        fine = np.interp(np.linspace(0, len(leaving), 8 * len(leaving) + 1), np.arange(len(ahead)), ahead)
        return Outline("stem", self.at(*((0.0, y) for y in fine.tolist())), np.arange(0, len(fine), 8))
