"""The flow: which way a fill leans, how far it may grow, and the lines that part one shape from the next.

Above every q of the contour the fill may grow to the depth D(q): to the edge of the border, to a motif
already placed, or to where another part of the spine is as near. Flow lines start on the spine and run to
that depth, leaning along the spine; in the coordinates (q, d/D) they solve one differential equation, so they
never cross, and whatever lies between two of them crosses nothing that lies between two others.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.fills.growing.contour import Contour
from planner.geometry.arrays import NOUGHT, ROUNDING, SAME_IN, Indices, Numbers

HAIR_IN = 0.03  # left between a shape and whatever it faces: two rows of thread that do not touch
LEVELS = 24  # steps of a flow line
SEED_IN = 0.04  # spacing of flow lines on the spine
_MOTIF_SLANT = 0.05  # a flow line stops this share of its depth before a motif that it would pass by
# A tip claims so much of the way to the spine before it, the other claims the rest; along so many inches of the
# tail the claim grows to a full half. Where what grows before the tip sweeps over it, it meets what grows on the
# tail, and that claims a little more.
_YIELDS = 0.4, 1.0
_SWEPT = 0.45, 0.8
_OBLIQUE = 0.08  # a flow line that meets the edge aslant stops short of it, so that no head is sheared flat
_FARTHEST_IN = 8.0  # no border leaves more room than this; it bounds rays that lead out of the pocket
_SAME_SQUARE = (100 * SAME_IN) ** 2  # of a distance: a point no farther is the foot itself
_PLACES = 16  # along a ray, at which it is asked what is nearest
_SLOPE = 3.0  # inches of depth an inch of the flank, at most: a step would break the flow lines
# The same of a fill that fans out round the tips: elsewhere, and where the flank turns on the spot.
_FANNED_SLOPE = (6.0, 24.0)
_STEEPEST = 0.25  # least share of a step made towards the head where the head line runs with the flow


@dataclass(frozen=True, slots=True)
class BorderEdge:
    """Where the fillable border ends: outside every one of these half-planes (unit normal x, y, offset)."""

    planes: tuple[tuple[float, float, float], ...]

    def ahead(self, point: Numbers, normal: Numbers) -> Numbers:
        """Distance along each normal to this edge, inf where it leads nowhere near. Shape (n,)."""
        far = np.full(len(point), -np.inf)
        for x, y, offset in self.planes:
            towards = normal[:, 0] * x + normal[:, 1] * y
            slant = towards + _OBLIQUE * np.sqrt(np.maximum(1 - towards**2, 0))
            left = offset - point[:, 0] * x - point[:, 1] * y
            with np.errstate(divide="ignore", invalid="ignore"):
                far = np.maximum(
                    far, np.where(towards > ROUNDING, left / slant, np.where(left < 0, 0.0, np.inf))
                )
        return far

    def off(self, point: Numbers) -> Numbers:
        """How far points are from this edge, at least; below nought beyond it. Shape (n,)."""
        return np.asarray(np.maximum.reduce([far - point @ np.array([x, y]) for x, y, far in self.planes]))

    def towards(self, point: Numbers) -> tuple[float, Numbers]:
        """How far a point (2,) is from this edge, below nought beyond it, and the way there (2,)."""
        far, x, y = max((far - point[0] * x - point[1] * y, x, y) for x, y, far in self.planes)
        return float(far), np.array([x, y])


def depths(
    contour: Contour,
    edges: Sequence[BorderEdge],
    motifs: Sequence[Numbers],
    facing: Numbers,
    *,
    sweeps: bool,
    fans: bool,
) -> Numbers:
    """D at each sample: to the edge, half way to the facing spine (m, 2), up to a motif (points (m, 2)).

    sweeps, fans: as a style says.
    """
    p, n = contour.point, contour.normal
    d = np.minimum.reduce([e.ahead(p, n) for e in edges]) if edges else np.full(len(p), np.inf)
    d = np.minimum(d, half_way(contour, facing, d, sweeps=sweeps) - HAIR_IN / 2)
    for motif in motifs:
        middle = (motif.min(axis=0) + motif.max(axis=0)) / 2
        reach = np.hypot(*(motif - middle).T).max() + 4 * HAIR_IN
        near = np.flatnonzero(np.hypot(*(p - middle).T) < np.minimum(d, _FARTHEST_IN) + reach)
        ahead = np.minimum(_hits(p[near], n[near], motif), clear(p[near], n[near], motif, _MOTIF_SLANT))
        d[near] = np.minimum(d[near], ahead - HAIR_IN)
    d = np.clip(d, 1e-3, _FARTHEST_IN)
    return _no_steeper(contour, d, fans=fans) if sweeps else d


def _pairs(p: Numbers, n: Numbers, other: Numbers) -> tuple[Numbers, Numbers]:
    """For w = other − p, every pair: w·n and |w|². Shapes (len(p), len(other))."""
    along = _products(n, other)
    along -= (n * p).sum(axis=1)[:, None]
    square = _products(-2 * p, other)
    square += (p**2).sum(axis=1)[:, None]
    square += (other**2).sum(axis=1)
    return along, square


def _products(one: Numbers, other: Numbers) -> Numbers:
    """Scalar products of every pair. Laid out so that long rows are added, not pairs of numbers."""
    return np.asarray(np.einsum("ki,kj->ij", one.T.copy(), other.T.copy()))


def _hits(p: Numbers, n: Numbers, motif: Numbers) -> Numbers:
    """Distance along each normal to the outline of a motif, inf where it misses. Shape (len(p),)."""
    x = motif[None, :, 0] - p[:, None, 0]
    y = motif[None, :, 1] - p[:, None, 1]
    aside = x * n[:, None, 1] - y * n[:, None, 0]
    row, at = np.nonzero(aside[:, :-1] * aside[:, 1:] < 0)
    before, after = (x[row, k] * n[row, 0] + y[row, k] * n[row, 1] for k in (at, at + 1))
    one, other = aside[row, at], aside[row, at + 1]
    d = before + (after - before) * one / (one - other)
    nearest = np.full(len(p), np.inf)
    np.minimum.at(nearest, row[d > SAME_IN], d[d > SAME_IN])
    return nearest


def ball(p: Numbers, n: Numbers, other: Numbers) -> Numbers:
    """Largest d at which p + d·n is no nearer to any of the others than d: the medial axis. Shape (len(p),).

    A circle through p with its centre on the normal passes through p + w when d = |w|²/(2·w·n).
    """
    along, square = _pairs(p, n, other)
    return _radius(along, square)


def _radius(along: Numbers, square: Numbers) -> Numbers:
    """The least |w|²/(2·w·n) of each row; both are written over."""
    np.maximum(square, _SAME_SQUARE, out=square)
    along /= square
    with np.errstate(divide="ignore"):
        return np.asarray(0.5 / np.maximum(along.max(axis=1), 0.0))


def clear(p: Numbers, n: Numbers, other: Numbers, share: float | Numbers) -> Numbers:
    """Largest d at which p + d·n is no nearer to any point of ``other`` than share·d. Shape (len(p),).

    |w − d·n|² = share²·d² with w = other − p; the smaller root of the quadratic. share (a number, or one for
    each pair) is below 1 where the fill may come nearer to the other than to its own spine.
    """
    along, square = _pairs(p, n, other)
    inside = along * along - (1 - np.square(share)) * square
    with np.errstate(invalid="ignore", divide="ignore"):
        below = along + np.sqrt(inside)
        d = square / below
    d[~(below > SAME_IN) | (square < _SAME_SQUARE)] = np.inf
    return np.asarray(d.min(axis=1))


def half_way(contour: Contour, facing: Numbers, far: Numbers, *, sweeps: bool) -> Numbers:
    """How far the fill may grow before other spine (m, 2) is as near; a tip yields to the spine it faces.

    Otherwise the fan round a tip would claim half the mouth of its curl. far: no farther than that (n,). sweeps:
    what grows before a tip sweeps on over it, up to where what grows on the tail ends. Shape (n,).
    """
    p, n, stretch = contour.point, contour.normal, contour.stretch
    along, square = _pairs(p, n, facing)
    claims: list[tuple[Indices, Numbers]] = []
    swept: list[tuple[Indices, Indices, Numbers]] = []
    least, reach = _SWEPT if sweeps else _YIELDS
    for i in (i for i, s in enumerate(contour.stretches) if s.label == "tip"):
        begin, end = contour.starts[[i, i + 1]]
        middle = (begin + end) / 2
        off = np.abs(contour.q - middle) - (end - begin) / 2
        weight = np.clip(least + (1 - least) * off / reach, least, 1)
        tip = np.flatnonzero((np.abs(stretch - i) <= 1) & (weight < 1))
        before = np.flatnonzero(stretch < i - 1)
        outside = tip[contour.q[tip] > middle] if sweeps else tip[stretch[tip] >= i]
        claims.append((outside, clear(p[outside], n[outside], p[before], 1 / weight[outside, None])))
        if sweeps:
            tip = np.flatnonzero(stretch >= i - 1)
            swept.append((before, tip, weight[tip]))
        else:
            claims.append((before, clear(p[before], n[before], p[tip], weight[None, tip])))
        square[np.ix_(outside, before)] = np.inf
        square[np.ix_(before, tip)] = np.inf
    d = _radius(along, square)
    for rows, tip, weight in swept:
        d[rows] = _until(p[rows], n[rows], np.minimum(d, far)[rows], p[tip], weight)
    for rows, claim in claims:
        d[rows] = np.minimum(d[rows], claim)
    return d


def _until(p: Numbers, n: Numbers, d: Numbers, other: Numbers, share: Numbers) -> Numbers:
    """How far along each ray, at most d, the nearest of the others is no nearer than its share of the way."""
    t = np.minimum(d, _FARTHEST_IN)[:, None] * np.linspace(0, 1, _PLACES + 1)[1:]
    at = p[:, None] + t[..., None] * n[:, None]
    away = at.astype(np.float32) @ (-2 * other.T).astype(np.float32)
    away += (other**2).sum(axis=1).astype(np.float32)
    nearest = away.argmin(axis=2)
    met = np.hypot(*np.moveaxis(other[nearest] - at, 2, 0)) < share[nearest] * t - SAME_IN
    row, first = np.arange(len(p)), met.argmax(axis=1)
    one = nearest[row, first]
    last = np.where(first > 0, t[row, first - 1], 0.0)
    here = np.clip(_nearer(p, n, other[one], share[one]), last, t[row, first])
    return np.asarray(np.where(met.any(axis=1), here, d))


def _nearer(p: Numbers, n: Numbers, other: Numbers, share: Numbers) -> Numbers:
    """As ``clear``, of one other point for each ray."""
    w = other - p
    along, square = (w * n).sum(axis=1), (w**2).sum(axis=1)
    inside = np.maximum(along**2 - (1 - share**2) * square, 0.0)
    return np.asarray(square / np.maximum(along + np.sqrt(inside), NOUGHT))


@dataclass(frozen=True, slots=True)
class Lean:
    """How a fill leans, as angles from the normal (radians): at its base, at its head."""

    base: float
    head: float


@dataclass(frozen=True, slots=True)
class FlowLines:
    """Flow lines from seeds q (m,): D there (m,), points (m, LEVELS + 1, 2) from base to head, lengths (m,).

    heads: over which q of the spine each of them ends (m,).
    """

    contour: Contour
    q: Numbers
    heads: Numbers
    depth: Numbers
    points: Numbers
    length: Numbers

    def base(self, seed: Numbers) -> Numbers:
        """Points on the spine itself at fractional seeds, exact. Shape (..., 2)."""
        q = np.interp(seed, np.arange(len(self.q)), self.q)
        return self.contour.at(q, np.zeros_like(q))

    def widths(self) -> Numbers:
        """Greatest distance across the flow to the next line, over its upper part. Shape (m − 1,)."""
        upper = slice(LEVELS // 4, LEVELS - 2)
        step = self.points[1:, upper] - self.points[:-1, upper]
        ahead = np.gradient(self.points, axis=1)[:-1, upper]
        ahead = ahead / (np.linalg.norm(ahead, axis=-1, keepdims=True) + NOUGHT)
        across = np.abs(step[..., 0] * ahead[..., 1] - step[..., 1] * ahead[..., 0])
        return np.asarray(across.max(axis=1))

    def at(self, seed: Numbers, level: Numbers) -> Numbers:
        """Points at fractional seeds (index) and levels (share 0..1 of the depth), bilinear."""
        i = np.clip(seed, 0, len(self.q) - 1.0001)
        k = np.clip(level, 0, 1) * LEVELS
        i0, k0 = i.astype(int), np.minimum(k.astype(int), LEVELS - 1)
        fi, fk = (i - i0)[..., None], (k - k0)[..., None]
        g, there = self.points.reshape(-1, 2), i0 * (LEVELS + 1) + k0
        low = g.take(there, axis=0) * (1 - fk) + g.take(there + 1, axis=0) * fk
        there += LEVELS + 1
        high = g.take(there, axis=0) * (1 - fk) + g.take(there + 1, axis=0) * fk
        return np.asarray(low * (1 - fi) + high * fi)


def _no_steeper(contour: Contour, depth: Numbers, *, fans: bool) -> Numbers:
    """The largest depths below those given that change by no more than so much along the flank."""
    slope = np.where(contour.speed > 0, *_FANNED_SLOPE) if fans else _SLOPE
    on = np.cumsum(np.diff(contour.q, prepend=0.0) * slope)
    up = np.minimum.accumulate(depth - on) + on
    down = np.minimum.accumulate((depth + on)[::-1])[::-1] - on
    return np.asarray(np.minimum(up, down))


def flow_lines(contour: Contour, depth: Numbers, lean: Lean, begin: float, end: float) -> FlowLines:
    """Flow lines from q = begin to end."""
    count = max(3, int(np.ceil((end - begin) / SEED_IN)) + 1)
    seeds = np.linspace(begin, end, count)
    q = seeds.copy()
    slope = np.gradient(depth, contour.q)
    v = np.arange(0, 1, 0.5 / LEVELS)[:, None]  # at the levels and half way between them
    angle = contour.flow * (lean.head + (lean.base - lean.head) * (1 - v) ** 1.5)
    across = np.tan(angle) / np.maximum(contour.speed - contour.turn * v * depth, 0.08)
    across *= np.where(contour.speed > 0, 1.0, v)  # round a tip they all begin at one point
    drift = across * depth / np.maximum(1 - across * v * slope, _STEEPEST)
    walls = np.concatenate(([-np.inf], contour.cusps, [np.inf]))
    between = np.searchsorted(walls, seeds)
    low, high = walls[between - 1] + SAME_IN, walls[between] - SAME_IN
    lines = [q]
    for k in range(LEVELS):
        half = q + np.interp(q, contour.q, drift[2 * k]) / LEVELS / 2
        q = np.clip(q + np.interp(half, contour.q, drift[2 * k + 1]) / LEVELS, low, high)
        lines.append(q)
    track = np.stack(lines, axis=1)
    level = np.linspace(0, 1, LEVELS + 1)[None, :] * np.ones((count, 1))
    points = contour.at(track, level * np.interp(track, contour.q, depth))
    length = np.linalg.norm(np.diff(points, axis=1), axis=-1).sum(axis=1)
    return FlowLines(contour, seeds, q, np.interp(seeds, contour.q, depth), points, length)
