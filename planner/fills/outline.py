"""Outlines: from many points along a shape's edge to the few smooth curves that are stitched and drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.curves import Bezier, Motion
from planner.fills.contour import Numbers

_STEP_IN = 1 / 28
_EVEN = 161  # points along an outline


@dataclass(frozen=True)
class Outline:
    """A shape to be: its kind, many points along it (n, 2), and which of them its curves pass through.

    within: it is nested in the shape before it.
    """

    kind: str
    points: Numbers
    nodes: NDArray[np.int64]
    within: bool = False

    @cached_property
    def handles(self) -> Numbers:
        """Ends and handles of the curves through the nodes, with the tangents its points have there.

        The handles are Hermite's: a third of the derivative with respect to the index, times the step. Shape
        (curves, 4, 2).
        """
        points, nodes = self.points, self.nodes
        before, after = np.maximum(nodes - 1, 0), np.minimum(nodes + 1, len(points) - 1)
        tangent = (points[after] - points[before]) / (after - before)[:, None]
        step = np.diff(nodes)[:, None] / 3
        first, last = points[nodes[:-1]], points[nodes[1:]]
        return np.stack((first, first + step * tangent[:-1], last - step * tangent[1:], last), axis=1)

    @cached_property
    def drawn(self) -> Numbers:
        """Points on the curves, about 1/28 in apart on the longest. Shape (n, 2)."""
        longest = np.linalg.norm(np.diff(self.handles, axis=1), axis=2).sum(axis=1).max()
        return self.along(int(np.clip(longest / _STEP_IN, 5, 40)) + 1)

    def along(self, count: int) -> Numbers:
        """Points on the curves, so many a curve. Shape (count·curves + 1, 2)."""
        t = np.linspace(0, 1, count + 1)[:-1, None]
        share = np.concatenate(((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3), axis=1)
        return np.concatenate(((share @ self.handles).reshape(-1, 2), self.points[-1:]))

    @staticmethod
    def of(kind: str, points: Numbers, curves: int = 8, within: bool = False, count: int = _EVEN) -> Outline:
        """An outline drawn with so many curves, the shorter the harder it bends."""
        points = even(points, count=count)
        ahead = np.diff(points, axis=0)
        turn = np.abs(np.angle(np.exp(1j * np.diff(np.arctan2(ahead[:, 1], ahead[:, 0])))))
        measure = np.concatenate(([0.0], np.cumsum(np.concatenate(([0.0], turn)) + 3.0 / count)))
        nodes = np.interp(np.linspace(0, measure[-1], curves + 1), measure, np.arange(count)).round()
        return Outline(kind, points, nodes.astype(np.int64), within)


def moved(points: Numbers, m: Motion) -> Numbers:
    """Points (n, 2) after a motion."""
    return np.asarray(points @ np.array([[m.a, m.b], [m.c, m.d]]) + (m.e, m.f))


def even(points: Numbers, spacing: float = 0.0, count: int = 0) -> Numbers:
    """The same polyline in even steps: about ``spacing`` inches long, or ``count`` points."""
    way = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))))
    on = np.linspace(0, way[-1], count or int(way[-1] / spacing) + 2)
    return np.stack((np.interp(on, way, points[:, 0]), np.interp(on, way, points[:, 1])), axis=1)


def curves_through(outline: Outline) -> tuple[Bezier, ...]:
    """The curves of an outline, as they are stitched."""
    return tuple(Bezier(*(tuple(p) for p in four)) for four in outline.handles.tolist())


def size(outline: Outline) -> float:
    """How much cloth an outline encloses, square inches."""
    x, y = outline.points.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def thinner(outlines: Sequence[Outline], smallest: float) -> NDArray[np.bool_]:
    """Which of the outlines enclose cloth, but hold no circle of the smallest diameter. Shape (n,)."""
    points = [outline.drawn for outline in outlines]
    closed = np.array([_is_closed(p) for p in points], dtype=bool)
    rings = [shapely.Polygon(p) for p, c in zip(points, closed, strict=True) if c]
    closed[closed] = shapely.is_empty(shapely.buffer(rings, -smallest / 2, quad_segs=2))
    return closed


def _is_closed(points: Numbers) -> bool:
    """Whether an outline comes back to where it began, but for the bit of spine on which it stands."""
    length = np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
    return bool(np.hypot(*(points[-1] - points[0])) < 0.4 * length)


def tapered(axis: Numbers, width: Numbers) -> Numbers:
    """Outline of a drop: down one side of its axis (n, 2) from the point, round the head, and back.

    width: half widths (n,), nought at the point. It is the envelope of the circles of those radii, so it
    touches each of them. Returns (2n + 24, 2) points, begun and ended at the point.
    """
    along = np.gradient(axis, axis=0)
    speed = np.linalg.norm(along, axis=1)
    along = along / speed[:, None]
    swell = np.clip(np.gradient(width) / speed, -0.95, 0.95)
    rise = np.sqrt(1 - swell**2)
    left = np.stack((along[:, 1], -along[:, 0]), axis=1)
    side = width[:, None]
    one = axis + side * (rise[:, None] * left - swell[:, None] * along)
    other = axis + side * (-rise[:, None] * left - swell[:, None] * along)
    heading = np.arctan2(along[-1, 1], along[-1, 0])
    back = np.arcsin(swell[-1])
    angles = heading + np.linspace(-np.pi / 2 - back, np.pi / 2 + back, 26)[1:-1]
    cap = axis[-1] + width[-1] * np.stack((np.cos(angles), np.sin(angles)), axis=1)
    return np.concatenate((one, cap, other[::-1]))
