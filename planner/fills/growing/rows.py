"""Rows of plumes: round heads side by side, each sharing one line with the next, and a second rank over long ones.

Over four long strips or more the first rank is cut short, and arches stand from head to head of it. Inches.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely

from planner.fills.growing.flow import FlowLines
from planner.fills.growing.heads import LEAST_IN, STEP_IN, Heads, Pieces, heads_of
from planner.fills.growing.outline import InRow, Outline
from planner.fills.growing.style import FlowStrips
from planner.geometry.arrays import ROUNDING, Mask, Numbers


@dataclass(frozen=True, slots=True)
class _Row:
    """The proportions of a row: shares, and inches where a name says so. Common practice, no source."""

    hair_in: float = 0.012  # Kept off the line to another row, so that two threads do not touch.
    most_hair: float = 0.2  # Of a strip's width: a narrow plume gives up no more, or it would close.
    long: float = 2.15  # Rooms: from here on plumes get a second rank, or they would be blades.
    least_run: int = 4  # Long plumes side by side: a second rank over fewer would be a heap.
    first: float = 1.35  # Rooms: how long the first rank is under a second one.
    first_least: float = 0.42  # Of the strip, so that both ranks are seen.
    first_most: float = 0.62  # Of the strip, likewise.
    least_first: float = 0.36  # Rooms: where a strip is narrower, its first rank goes on to a wider place.
    apart: float = 0.3  # Rooms from the middle of a head to the next on which an arch stands.
    widest: float = 1.25  # Rooms: no arch is wider, or it would be a roof.


_ROW = _Row()
_HIGHER = (0.52, 0.6, 0.68)  # shares of a strip to which a narrow first rank grows
_NEAR = 3  # points: nodes nearer than that are one
_TWO_IN = 0.4  # a side so long is drawn with two curves
_EASED_IN = 0.2  # an arch comes so far from its foot to the middle line it stands on


@dataclass(frozen=True, slots=True)
class _Foot:
    """Where the middle line of a plume leaves its head: a point of the head, the line's seed, and the level."""

    plume: _Plume
    point: Numbers
    seed: float
    level: float


@dataclass(slots=True, eq=False)
class _Plume:
    """A plume to be: which piece it stands in, what it shares with others, and on what it stands.

    before, after: the plume whose line it shares on its left, on its right; on: the plumes on whose heads its
    feet stand, its left one and its right one. cuts: levels of its sides at which others leave it. arched: the
    point of its head on which arches stand.
    """

    seed: float
    lines: FlowLines
    pieces: Pieces
    heads: Heads
    n: int
    before: _Plume | None = None
    after: _Plume | None = None
    on: tuple[_Plume | None, _Plume | None] = (None, None)
    feet: tuple[Numbers | None, Numbers | None] = (None, None)
    left_cuts: list[float] = field(default_factory=list)
    right_cuts: list[float] = field(default_factory=list)
    arched: int | None = None

    @property
    def name(self) -> tuple[int, float]:
        """The same for no other plume of its pocket."""
        return int(any(self.on)), float(self.pieces.left[self.n])

    @property
    def leaves_left(self) -> float:
        """The level at which it leaves its left side for its head."""
        return float(self.heads.left[self.n])

    @property
    def leaves_right(self) -> float:
        """The level at which its head comes down to its right side."""
        return float(self.heads.right[self.n])


def rows(strips: FlowStrips, room: float) -> list[list[Outline]]:
    """For each strip its plume, and the arch that is stitched after it, if any."""
    if not len(strips.left):
        return []
    joined = np.concatenate(([False], np.abs(strips.left[1:] - strips.right[:-1]) < ROUNDING, [False]))
    runs = _long_runs(strips, joined, room)
    hair = np.minimum(_ROW.hair_in / np.maximum(strips.width, LEAST_IN), _ROW.most_hair)
    wide = strips.right - strips.left
    zero = np.zeros(len(wide))
    pieces = Pieces(
        strips.left + np.where(joined[:-1], 0.0, hair * wide),
        strips.right - np.where(joined[1:], 0.0, hair * wide),
        zero,
        zero,
        _tops(strips, runs, room),
    )
    heads = heads_of(strips.lines, pieces)
    first = [_Plume(float(strips.left[n]), strips.lines, pieces, heads, n) for n in range(len(wide))]
    for n in np.flatnonzero(joined[1:-1]).tolist():
        if heads.fits[n] and heads.fits[n + 1]:
            first[n + 1].before = first[n]
    arches = [arch for run in runs for arch in _arches(strips, first, run, room)]
    found: list[list[Outline]] = [[] for _ in first]
    plumes = [plume for plume in first if heads.fits[plume.n]] + arches
    for plume in _with_cuts(plumes):
        found[(plume.on[1] or plume).n].append(_outline(plume))
    return found


def _long_runs(strips: FlowStrips, joined: Mask, room: float) -> list[tuple[int, int]]:
    """Runs of joined long strips, from the first to past the last."""
    long = strips.length > _ROW.long * room
    found, begin = [], 0
    for n in range(len(long) + 1):
        if n == len(long) or not long[n] or not joined[n]:
            if n - begin >= _ROW.least_run:
                found.append((begin, n))
            begin = n if n < len(long) and long[n] else n + 1
    return found


def _tops(strips: FlowStrips, runs: Sequence[tuple[int, int]], room: float) -> Numbers:
    """The level at which each strip of the first rank ends."""
    top = np.ones(len(strips.left))
    for low, high in runs:
        share = np.clip(_ROW.first * room / strips.length[low:high], _ROW.first_least, _ROW.first_most)
        for _ in range(3):
            padded = np.pad(share, 1, mode="edge")
            share = (padded[:-2] + 2 * padded[1:-1] + padded[2:]) / 4
        for more in _HIGHER:
            narrow = _width_at(strips, low, high, share) < _ROW.least_first * room
            share = np.where(narrow, np.maximum(share, more), share)
        for _ in range(2):
            padded = np.pad(share, 1, mode="edge")
            share = (padded[:-2] + 2 * padded[1:-1] + padded[2:]) / 4
        top[low:high] = share
    return top


def _width_at(strips: FlowStrips, low: int, high: int, level: Numbers) -> Numbers:
    """How wide strips from ``low`` to before ``high`` are at a level of each."""
    sides = [strips.lines.at(of[low:high], level) for of in (strips.left, strips.right)]
    return np.asarray(np.hypot(*(sides[1] - sides[0]).T))


def _arches(
    strips: FlowStrips, first: Sequence[_Plume], run: tuple[int, int], room: float
) -> Iterator[_Plume]:
    """The second rank over a run of the first, from head to head."""
    lines = strips.lines
    feet = [foot for plume in first[run[0] : run[1]] if (foot := _foot(plume))]
    kept = feet[:1]
    for foot in feet[1:]:
        if _between(lines, kept[-1], foot) > _ROW.apart * room:
            kept.append(foot)
    spans = [two for two in pairwise(kept) if _between(lines, *two) < _ROW.widest * room]
    if not spans:
        return
    seeds, levels = (
        np.array([[getattr(foot, of) for foot in two] for two in spans]).T for of in ("seed", "level")
    )
    pieces = Pieces(seeds[0], seeds[1], levels[0], levels[1], np.ones(len(spans)))
    heads = heads_of(lines, pieces)
    last: _Plume | None = None
    for n, (one, other) in enumerate(spans):
        if not heads.fits[n] or heads.left[n] <= one.level or heads.right[n] <= other.level:
            last = None
            continue
        on, feet_on = (one.plume, other.plume), (one.point, other.point)
        arch = _Plume(other.seed, lines, pieces, heads, n, on=on, feet=feet_on)
        if last and last.on[1] is one.plume:
            arch.before = last
        yield arch
        last = arch


def _between(lines: FlowLines, *feet: _Foot) -> float:
    """How far two feet of arches are from each other where the arches are half way up."""
    one, other = lines.at(
        np.array([foot.seed for foot in feet]), np.array([(1 + foot.level) / 2 for foot in feet])
    )
    return float(np.hypot(*(one - other)))


def _foot(plume: _Plume) -> _Foot | None:
    """Where an arch may stand on the head of a plume; there the head gets a node."""
    if not plume.heads.fits[plume.n]:
        return None
    seed = float(plume.pieces.left[plume.n] + plume.pieces.right[plume.n]) / 2
    level = np.linspace(0.2, 1, 81)
    line = plume.lines.at(np.full(81, seed), level)
    head = plume.heads.points[plume.n]
    met = shapely.intersection(shapely.LineString(line), shapely.LineString(head))
    if not isinstance(met, shapely.Point):
        return None
    k = int(np.argmin(np.hypot(*(head - (met.x, met.y)).T)))
    if not 0 < k < len(head) - 1:
        return None
    plume.arched = k
    return _Foot(plume, head[k], seed, float(level[np.argmin(np.hypot(*(line - head[k]).T))]))


def _with_cuts(plumes: Sequence[_Plume]) -> Sequence[_Plume]:
    """The plumes, each with the levels of its right side at which the one after it leaves it."""
    for plume in plumes:
        if plume.before:
            level = min(plume.leaves_left, plume.before.leaves_right)
            if level < plume.leaves_left - ROUNDING:
                plume.left_cuts.append(level)
            if level < plume.before.leaves_right - ROUNDING:
                plume.before.right_cuts.append(level)
    return plumes


def _outline(plume: _Plume) -> Outline:
    """A plume whole, and from which node on it is stitched where the one whose line it shares stands."""
    n, pieces, head = plume.n, plume.pieces, plume.heads.points[plume.n]
    left, left_nodes, first = _side(
        plume, float(pieces.left[n]), float(pieces.low_left[n]), plume.left_cuts, 0
    )
    right, right_nodes, _ = _side(
        plume, float(pieces.right[n]), float(pieces.low_right[n]), plume.right_cuts, 1
    )
    points = np.concatenate((left[:-1], head, right[-2::-1]))
    begin, end = left_nodes[-1] - len(left) + 1, len(head) - 1 + len(right) - 1 - right_nodes[-1]
    inner = [] if plume.arched is None else [plume.arched]
    for k in plume.heads.nodes[n][1:-1].tolist():
        if all(abs(k - other) >= _NEAR for other in (begin, end, *inner)):
            inner.append(k)
    right_nodes = [len(points) - 1 - k for k in right_nodes[::-1]]
    nodes = [*left_nodes, *(len(left) - 1 + k for k in sorted(inner)), *right_nodes]
    row = InRow(
        plume.name,
        plume.seed,
        tuple(host.name for host in plume.on if host),
        plume.before.name if plume.before else None,
        first,
    )
    return Outline("plume", points, np.array(nodes), row=row)


def _side(
    plume: _Plume, seed: float, low: float, cuts: Sequence[float], which: int
) -> tuple[Numbers, list[int], int]:
    """One side of a plume from its foot up to its head: points, the nodes on it, which of them is the first cut's.

    Without a cut that is the last one: the head begins there.
    """
    leave = plume.leaves_right if which else plume.leaves_left
    marks = [low, *sorted(cuts), leave]
    length = float(np.interp(seed, np.arange(len(plume.lines.q)), plume.lines.length))
    levels: list[Numbers] = []
    nodes = [0]
    first = 0
    for one, other in pairwise(marks):
        way = (other - one) * length
        count = max(1, round(way / STEP_IN))
        levels.append(one + (other - one) * np.arange(count) / count)
        if way > _TWO_IN:
            nodes.append(nodes[-1] + count // 2)
        nodes.append(nodes[-1] + count - (count // 2 if way > _TWO_IN else 0))
        first = first or len(nodes) - 1
    up = np.concatenate((*levels, [leave]))
    points = plume.lines.at(np.full(len(up), seed), up)
    if low == 0.0:
        points[0] = plume.lines.base(np.array(seed))
    foot = plume.feet[which]
    if foot is not None:
        gone = np.arange(len(points)) * STEP_IN
        points += (foot - points[0]) * np.clip(1 - gone / _EASED_IN, 0, 1)[:, None] ** 2
    if cuts and nodes[-1] - nodes[-2] < _NEAR:
        nodes.pop()
    return points, nodes, first
