"""Sprigs: berries on a short stem, two or three that touch, so that one start stitches them. Inches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np

from planner.fills.growing.outline import Outline, ball
from planner.fills.growing.standing import Hole
from planner.geometry.arrays import Numbers

TURN = 36.0  # degrees off the stem's way at which they lean: a node of the first one's curves
_CURVES = 10  # round a berry: at each end of one another berry may begin
_GRADED = (0.92, 0.85)  # of the first one's radius: those that lean on it; three alike would be a sign
_STALK_NODES = np.array([0, 6, 12])
LEAST_SHARE = _GRADED[-1]
"""The radius of a sprig's smallest berry, as a share of its largest one's."""
# In a hole: the first berry's radius as a share of the hole's; how far they reach from the stem, in first radii;
# and how the others lean.
_IN_A_HOLE = ((0.435, 4.24, (-TURN, TURN)), (0.48, 3.84, (0.0,)))
_OFF = 0.08  # of a hole's radius: so far past its middle they lie, that their stem is seen
_LEAST = 1.1  # smallest features: few curves draw a berry a little smaller


def turned(way: Numbers, degrees: float) -> Numbers:
    """A way (2,), turned."""
    c, s = cos(radians(degrees)), sin(radians(degrees))
    return np.array([[c, -s], [s, c]]) @ way


@dataclass(frozen=True, slots=True)
class Stalk:
    """Where a sprig leaves what it grows on, which way, and by how many degrees off that way its others lean."""

    foot: Numbers
    way: Numbers
    turns: Sequence[float]

    def sprig(self, length: float, radius: float) -> list[Outline]:
        """Berries on a stem so long: one on its end, so large, and others that lean on it."""
        way = self.way / np.hypot(*self.way)
        end = self.foot + length * way
        stem = Outline("stem", np.linspace(self.foot, end, 13), _STALK_NODES)
        grown = [stem, ball(end, way, radius, _CURVES)]
        for share, turn in zip(_GRADED, self.turns, strict=False):
            out = turned(way, turn)
            grown.append(ball(end + radius * (way + out), out, share * radius, _CURVES))
        return grown


def in_a_hole(hole: Hole, most: float, smallest: float) -> list[list[Outline]]:
    """Three berries on a stem in a hole, or two in line; half as wide as ``most`` at most, and none too small."""
    foot, middle = np.array(hole.nearest), np.array(hole.centre)
    away = float(np.hypot(*(middle - foot)))
    found = []
    for share, reach, turns in _IN_A_HOLE:
        radius = min(share * hole.radius, most)
        half = reach * radius / 2
        if 2 * radius * _GRADED[len(turns) - 1] >= _LEAST * smallest:
            length = away - half + min(hole.radius - half, _OFF * hole.radius)
            found.append(Stalk(foot, middle - foot, turns).sprig(length, radius))
    return found
