"""Crooks: the wedges between two circles that touch, where the spine's flank turns back on itself. Inches."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.fills.growing.contour import Contour
from planner.fills.growing.flow import HAIR_IN, BorderEdge, ball
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Arc, Line

_STEEPEST = 0.8  # a drop swells at most so much per inch of its axis; past 1 it would have no sides


def crook(
    contour: Contour,
    i: int,
    edges: Sequence[BorderEdge],
    facing: Numbers,
    mirror: float | None,
    widest: float,
) -> tuple[Numbers, Numbers] | None:
    """The middle line (n, 2) and half widths (n,) of the wedge where the flank turns back at the end of stretch i.

    It begins on the spine where there is room for a needle between the two sides, not in their very meeting,
    and ends at the half width ``widest`` or where something else is as near. None where there is no room.
    """
    before = np.flatnonzero(contour.stretch == i)[::-1]
    p, n = contour.point[before], contour.normal[before]
    radius = np.minimum.reduce([_touching(p, n, s.curve) for s in contour.stretches[i + 1 : i + 3]])
    edge = np.minimum.reduce([e.ahead(p, n) for e in edges])
    off = np.minimum.reduce([e.off(p + radius[:, None] * n) for e in edges])
    stop = (radius >= widest) | (radius > np.minimum(ball(p, n, facing), np.minimum(0.8 * edge, off)))
    if mirror is not None:
        stop |= p[:, 0] + radius * (n[:, 0] + 1) > mirror
    last = int(np.argmax(stop)) if stop.any() else len(stop) - 1
    last -= int(last > 0 and radius[last] > off[last])  # what would leave the border is no part of it
    first = int(np.argmax(radius > 1.5 * HAIR_IN))
    if radius[last] < 2 * HAIR_IN or first == last:
        return None
    axis = p[first : last + 1] + radius[first : last + 1, None] * n[first : last + 1]
    axis, width = _smooth_drop(axis, radius[first : last + 1] - HAIR_IN)
    axis += (p[first] - axis[0]) * (1 - np.linspace(0, 1, len(axis))[:, None]) ** 3
    return axis, width


def _touching(p: Numbers, n: Numbers, curve: Arc | Line) -> Numbers:
    """Radius of the circle that touches p with its centre on the normal, and touches the curve. Shape (n,)."""
    if isinstance(curve, Arc):
        v, way = p - np.array(curve.centre), 1.0 if curve.sweep < 0 else -1.0
        r = curve.radius
        return np.asarray(way * ((v**2).sum(axis=1) - r * r) / (2 * (r - way * (n * v).sum(axis=1))))
    heading = curve.heading()
    square = np.array([-np.sin(heading), np.cos(heading)])
    return np.asarray((p - np.array(curve.start)) @ square / (1 - n @ square))


def _smooth_drop(axis: Numbers, width: Numbers) -> tuple[Numbers, Numbers]:
    """The axis in even steps, and half widths that grow as a power of the way and stay within those given."""
    way = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(axis, axis=0), axis=1))))
    way /= way[-1]
    t = np.linspace(0, 1, 40)[:, None]
    inner = (way > 0.1) & (way < 0.98) & (width > 1e-3)
    power = float(np.max(np.log(width[inner] / width[-1]) / np.log(way[inner]), initial=1.0))
    smooth = np.stack((np.interp(t[:, 0], way, axis[:, 0]), np.interp(t[:, 0], way, axis[:, 1])), axis=1)
    length = float(np.linalg.norm(np.diff(smooth, axis=0), axis=1).sum())
    return smooth, min(width[-1], _STEEPEST * length / power) * t[:, 0] ** power
