"""Many polylines in one array, so that what is done to each of them is done to all at once. Inches."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely

from planner.geometry.arrays import Indices, Mask, Numbers
from planner.geometry.curves import Motion


@dataclass(frozen=True)
class Polylines:
    """The points of m polylines, one after the other (n, 2), and how many of them each has (m,): two or more."""

    points: Numbers
    sizes: Indices

    @staticmethod
    def of(lines: Iterable[Numbers]) -> Polylines:
        """Polylines of points (n, 2) each."""
        lines = list(lines)
        points = np.concatenate((np.zeros((0, 2)), *lines))
        return Polylines(points, np.array([len(line) for line in lines], dtype=np.int64))

    @staticmethod
    def joined(parts: Sequence[Polylines]) -> Polylines:
        """All of these."""
        points = np.concatenate((np.zeros((0, 2)), *(part.points for part in parts)))
        sizes = np.concatenate((np.zeros(0, dtype=np.int64), *(part.sizes for part in parts)))
        return Polylines(points, sizes)

    @cached_property
    def first(self) -> Indices:
        """Where each one's first point is. Shape (m,)."""
        return np.asarray(self.last + 1 - self.sizes)

    @cached_property
    def last(self) -> Indices:
        """Where each one's last point is. Shape (m,)."""
        return np.asarray(self.sizes.cumsum() - 1)

    @cached_property
    def owner(self) -> Indices:
        """To which of them each point belongs. Shape (n,)."""
        return np.arange(len(self.sizes)).repeat(self.sizes)

    @property
    def next(self) -> Indices:
        """After each point the next of its polyline, after the last the first. Shape (n,)."""
        following = np.arange(1, len(self.points) + 1)
        following[self.last] = self.first
        return following

    def each(self) -> list[Numbers]:
        """The points of each, (n, 2)."""
        ends = self.sizes.cumsum().tolist()
        return [self.points[low:high] for low, high in pairwise((0, *ends))]

    def chosen(self, which: Mask) -> Polylines:
        """Those for which ``which`` (m,) holds."""
        return Polylines(self.points[which.repeat(self.sizes)], self.sizes[which])

    def every(self, step: int) -> Polylines:
        """The same with every one of so many points; the steps of each are a multiple of it."""
        on = (np.arange(len(self.points)) - self.first[self.owner]) % step == 0
        return Polylines(self.points[on], (self.sizes - 1) // step + 1)

    def moved(self, m: Motion) -> Polylines:
        """All of them after a motion."""
        return Polylines(moved(self.points, m), self.sizes)

    def boxes(self) -> tuple[Numbers, Numbers]:
        """Least and greatest coordinates of each. Shapes (m, 2)."""
        if not len(self.sizes):
            return np.zeros((0, 2)), np.zeros((0, 2))
        return np.minimum.reduceat(self.points, self.first), np.maximum.reduceat(self.points, self.first)

    def lengths(self) -> Numbers:
        """How long each is. Shape (m,)."""
        way = self._way()
        return np.asarray(way[self.last] - way[self.first])

    def areas(self) -> Numbers:
        """How much cloth each encloses, square inches. Shape (m,)."""
        (x, y), (u, v) = self.points.T, self.points[self.next].T
        return np.abs(np.bincount(self.owner, x * v - y * u, len(self.sizes))) / 2

    def between_ends(self, bit: float) -> Polylines:
        """Each a bit short of both its ends, so that meeting there does not count as crossing."""
        way, (first, last) = self._way(), (self.first, self.last)
        bits = np.minimum(bit, (way[last] - way[first]) / 2)
        low, high = way[first] + bits, way[last] - bits
        keep = (way > low.repeat(self.sizes)) & (way < high.repeat(self.sizes))
        on = np.concatenate((low, way[keep], high))
        on.sort()
        return Polylines(_along(self.points, way, on), np.bincount(self.owner[keep], minlength=len(low)) + 2)

    def at(self, way: Numbers) -> Numbers:
        """Points so far along each, for k ways each (m, k). Shape (m, k, 2)."""
        whole = self._way()
        return _along(self.points, whole, whole[self.first][:, None] + way)

    def linestrings(self) -> Numbers:
        """Each as a geometry. Shape (m,)."""
        return np.asarray(shapely.linestrings(self.points, indices=self.owner))

    def segments(self, low: Numbers, high: Numbers) -> Numbers:
        """Their straight pieces that come into a box, as geometries, one after the other."""
        ends = np.stack((self.points[:-1], self.points[1:]), axis=1)
        into = ((ends.min(axis=1) <= high) & (ends.max(axis=1) >= low)).all(axis=1)
        into[self.last[:-1]] = False
        return np.asarray(shapely.linestrings(ends[into]))

    def polygons(self) -> Numbers:
        """The cloth that each encloses as a geometry. Shape (m,)."""
        return np.asarray(shapely.polygons(shapely.linearrings(self.points, indices=self.owner)))

    def _way(self) -> Numbers:
        """How far each point lies along all of them, with the jump from one to the next. Shape (n,)."""
        return _way(self.points)


def moved(points: Numbers, m: Motion) -> Numbers:
    """Points (n, 2) after a motion."""
    return np.asarray(points @ np.array([[m.a, m.b], [m.c, m.d]]) + (m.e, m.f))


def turned(half: Numbers, m: Motion) -> Numbers:
    """How far boxes that reach so far from their middles (n, 2) reach after a motion."""
    return np.asarray(half @ np.abs([[m.a, m.b], [m.c, m.d]]))


def even(points: Numbers, spacing: float = 0.0, count: int = 0) -> Numbers:
    """The same polyline in even steps: about ``spacing`` inches long, or ``count`` points."""
    way = _way(points)
    return _along(points, way, np.linspace(0, way[-1], count or int(way[-1] / spacing) + 2))


def tangents(points: Numbers) -> Numbers:
    """Which way polylines (..., n, 2) go at each point: half the way from the one before it to the one after it."""
    along = np.empty_like(points)
    along[..., 1:-1, :] = (points[..., 2:, :] - points[..., :-2, :]) / 2
    along[..., 0, :] = points[..., 1, :] - points[..., 0, :]
    along[..., -1, :] = points[..., -1, :] - points[..., -2, :]
    return along


def _way(points: Numbers) -> Numbers:
    """How far along a polyline each of its points lies."""
    way = np.zeros(len(points))
    step = points[1:] - points[:-1]
    np.hypot(step[:, 0], step[:, 1]).cumsum(out=way[1:])
    return way


def _along(points: Numbers, way: Numbers, on: Numbers) -> Numbers:
    """Points where the way along a polyline is ``on``. Shape (..., 2)."""
    if not on.size:
        return np.zeros((*on.shape, 2))
    at = np.empty((*on.shape, 2))
    for k in (0, 1):
        at[..., k] = np.interp(on, way, points[:, k])
    return at
