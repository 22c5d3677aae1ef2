"""Fewer curves for a drawing: two that go on smoothly are one where that strays by next to nothing. Inches."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

import numpy as np

from planner.geometry.arrays import NOUGHT, SAME, SAME_IN, Indices, Numbers, square
from planner.geometry.curves import Bezier, Curve

_SMOOTH = 0.01  # radians: a curve that goes on so is no corner
_STEPS = 8  # along each curve, where they are compared


def fewer(lines: Sequence[tuple[Curve, ...]], astray: float) -> list[tuple[Curve, ...]]:
    """The lines, with one Bézier curve for every two that go on smoothly where it is nowhere ``astray`` from them.

    It has their ends, and the headings there, and goes through the point where they met. Compared at a few places:
    between them it may stray a fifth farther.
    """
    whole = [all(isinstance(curve, Bezier) for curve in line) for line in lines]
    smooth = [line for line, ok in zip(lines, whole, strict=True) if ok]
    points = [(c.p0, c.p1, c.p2, c.p3) for line in smooth for c in line if isinstance(c, Bezier)]
    handles = np.array(points).reshape(-1, 4, 2)
    owner = np.repeat(np.arange(len(smooth)), [len(line) for line in smooth])
    first = _pairs(handles, owner)
    joined = _joined(handles[first], handles[first + 1])
    near = _off(joined, handles[first], handles[first + 1]) < astray
    first, keep = first[near], np.ones(len(handles), dtype=bool)
    handles[first], keep[first + 1] = joined[near], False
    curves = (Bezier(*((x, y) for x, y in four)) for four in handles[keep].tolist())
    left = iter(np.bincount(owner[keep], minlength=len(smooth)).tolist())
    return [tuple(islice(curves, next(left))) if ok else line for line, ok in zip(lines, whole, strict=True)]


def _pairs(handles: Numbers, owner: Indices) -> Indices:
    """The first curves of pairs that go on smoothly: of three in a row the first two."""
    before, after = handles[:-1, 3] - handles[:-1, 2], handles[1:, 1] - handles[1:, 0]
    meet = square(handles[1:, 0] - handles[:-1, 3]) < SAME_IN**2
    along = (before * after).sum(axis=1)
    smooth = meet & (owner[1:] == owner[:-1]) & (np.abs(_cross(before, after)) < _SMOOTH * along)
    number = np.arange(len(smooth))
    # where the curves began to go on smoothly
    begun = np.maximum.accumulate(np.where(smooth, -1, number)) + 1
    return np.flatnonzero(smooth & ((number - begun) % 2 == 0))


def _joined(one: Numbers, other: Numbers) -> Numbers:
    """Curves from the beginnings of some to the ends of others, through their middles; no numbers where none is.

    Half way it is at (begin + end)/2 + 3/8 (a·first − b·last), of which a and b are sought.
    """
    begin, middle, end = one[:, 0], one[:, 3], other[:, 3]
    first, last = one[:, 1] - begin, end - other[:, 2]
    off = (middle - (begin + end) / 2) * 8 / 3
    both = _cross(last, first)
    parallel = np.abs(both) < SAME * np.sqrt(square(first) * square(last)) + NOUGHT
    both = np.where(parallel, np.nan, both)[:, None]
    a, b = _cross(last, off)[:, None] / both, _cross(first, off)[:, None] / both
    a, b = (np.where(way > 0, way, np.nan) for way in (a, b))  # else it would begin or end backwards
    return np.stack((begin, begin + a * first, end - b * last, end), axis=1)


def _cross(one: Numbers, other: Numbers) -> Numbers:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])


def _off(joined: Numbers, one: Numbers, other: Numbers) -> Numbers:
    """How far each curve strays from the two in whose place it stands, at most (n,); inf where there is none.

    Its first half lies by the one, its second half by the other: they meet in its middle.
    """
    on = _along(_STEPS) @ joined
    half = _STEPS // 2
    halves = ((on[:, 1:half], one), (on[:, half + 1 : -1], other))
    off = np.maximum(*(_farthest(points, _along(_STEPS) @ curves) for points, curves in halves))
    return np.where(np.isnan(off), np.inf, off)


def _farthest(points: Numbers, line: Numbers) -> Numbers:
    """How far the farthest of some points is from a polyline, for each of n of both (n, k, 2), (n, m, 2)."""
    step = np.diff(line, axis=1)[:, None]
    away = points[:, :, None] - line[:, None, :-1]
    share = np.clip((away * step).sum(axis=3) / (square(step) + NOUGHT), 0, 1)
    off = square(away - share[..., None] * step).min(axis=2)
    return np.asarray(np.sqrt(off.max(axis=1, initial=0.0)))


def _along(steps: int) -> Numbers:
    """Shares of its four points of places along a curve (steps + 1, 4)."""
    t = np.linspace(0, 1, steps + 1)
    return np.stack(((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3), axis=1)
