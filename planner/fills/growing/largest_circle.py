"""The middle of a gap: where the largest circle fits into it. Inches."""

from __future__ import annotations

from math import sqrt

import numpy as np

from planner.fills.growing.flow import HAIR_IN
from planner.fills.growing.holes import GRAIN_IN
from planner.geometry.arrays import DIGITS, Numbers, square

_AROUND = np.array([(x, y) for y in (-1, 0, 1) for x in (-1, 0, 1)])
_STEPS = 12  # to the middle of a gap, at most
ROUND_IN = 4 * GRAIN_IN  # more than the room of a cell, from which on nothing bounds a gap in it
_MOVED_IN = 2.2 * GRAIN_IN  # twice as far as the centre moves, and a little more


def centred(centre: Numbers, room: float, walls: Numbers) -> tuple[Numbers, float]:
    """The centre moved within its cell of the raster to where the largest circle fits, and its radius."""
    far = np.abs(walls - centre) < room + ROUND_IN
    walls = walls[far[:, 0] & far[:, 1]]
    if not len(walls):
        return centre, room
    away = square(walls - centre)
    x, y = walls[away < (sqrt(away.min()) + _MOVED_IN) ** 2].T.copy()  # no other is ever the nearest
    for step in (GRAIN_IN / 2, GRAIN_IN / 4):
        tried = centre + step * _AROUND
        free = ((x - tried[:, :1]) ** 2 + (y - tried[:, 1:]) ** 2).min(axis=1).round(DIGITS)
        centre = tried[int(np.argmax(free))]
    return centre, sqrt(free.max())


def widest(centre: Numbers, room: float, walls: Numbers) -> tuple[Numbers, float]:
    """The centre moved to where ever larger circles fit, and the radius there."""
    radius = 0.0
    for _ in range(_STEPS):
        there, free = centred(centre, room, walls)
        if free <= radius:
            break
        centre, radius = there, free
    return centre, radius


def seen_on_the_line(mirror: float, centre: Numbers, room: float, walls: Numbers) -> float:
    """The radius of the hole on the mirror line of which a hole beside it is a half."""
    y = centre[1] + room * np.linspace(-1, 1, 9)
    own = walls[walls[:, 0] < mirror - HAIR_IN]
    free = square(own - np.stack((np.full(9, mirror), y), axis=1)[:, None])
    return sqrt(free.min(axis=1, initial=np.inf).max())
