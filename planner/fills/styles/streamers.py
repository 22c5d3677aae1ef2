"""Streamers: a ribbon wound round a stick, from its foot to its forked end, drawn about an axis. Inches.

It goes from side to side, folds round, and comes back behind itself. Where its edges cross, the one in front goes
on across it as a fold, the other is hidden.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import accumulate, pairwise
from statistics import median

import numpy as np

from planner.fills.growing.hearts import bezier
from planner.fills.growing.outline import Outline, across
from planner.geometry.arrays import SAME, Indices, Numbers
from planner.geometry.polylines import Polylines, even


@dataclass(frozen=True, slots=True)
class _Streamer:
    """The proportions of a streamer: along its axis in turns, from one fold to the next; aside in half widths.

    Common practice, no source.
    """

    lead: float = 0.75  # From the foot to the first fold.
    band: float = 1.16  # How broad it is along the axis: over 1 it overlaps itself, and valleys are shallow.
    straight: float = 0.35  # So much of an edge's way across is straight: folds meet the outline at an angle.
    end: float = 1.65  # From the last fold to the nearer tip of the fork ...
    fork: float = 0.35  # ... and from that to the farther one: cut aslant, so that it flutters.
    notch: float = 0.66  # Of its last stretch, where the fork is cut: nearer to the fold it would part it.
    flag: float = 0.78  # The same of one that never turns over.
    turn: float = 1.25  # Half widths from fold to fold: shorter is a spring, longer hardly turns over.
    most_turns: int = 5  # More would be a corkscrew.
    least_fold: float = 1.15  # Smallest features: one of a lesser half width is a flag that never turns over.
    least_band: float = 1.5  # Smallest features: between two folds.


_STREAMER = _Streamer()
LEAST_FOLD = _STREAMER.least_fold
FINE = 49  # points at which an axis is measured
_A_CURVE = 0.95  # turns that one curve draws, about
_STEP = 0.09  # turns between the points of an outline, about
_A_FOLD = 25  # points along a fold
_FOLD_NODES = np.array([0, 8, 16, 24])
_EDGE = 61  # points along an edge from fold to fold


@dataclass(frozen=True, slots=True)
class _Pattern:
    """A streamer about a straight axis: places (n, 2), along it 0..1, aside of it -1..1.

    places: of its outline, and of the folds across it, each from node to node of its outline, one after the other.
    nodes, corners: of the outline.
    """

    places: Numbers
    nodes: Indices
    corners: tuple[int, ...]


@cache
def _pattern(turns: int) -> _Pattern:
    """A streamer with so many folds; its forked end lies in front."""
    lower, upper = _edges(turns)
    valleys = [_meeting(upper[j], lower[j + 1]) for j in range(turns)]
    folds = []
    for j, (i, k) in enumerate(valleys):
        in_front = j % 2 == turns % 2
        folds.append(
            upper[j][i:] if in_front else np.concatenate((lower[j + 1][:k], upper[j][i : i + 1]))[::-1]
        )
    sides: list[list[Numbers]] = []
    for first in (0, 1):
        pieces = [lower[0]] if not first else upper[:1] if not turns else _round(upper, lower, valleys, 0)
        for fold in range(first, turns, 2):
            pieces.append(_fold(fold))
            pieces += [upper[-1]] if fold == turns - 1 else _round(upper, lower, valleys, fold + 1)
        sides.append(pieces)
    cut = round((_STREAMER.notch if turns else _STREAMER.flag) * (_EDGE - 1))
    one, other = (side[-1][-1] for side in sides)
    notch = (lower[-1][cut] + upper[-1][cut]) / 2
    fork = [np.array([one, notch]), np.array([notch, other])]
    points, nodes = [lower[0][:1]], [0]
    for piece in (*sides[0], *fork, *(piece[::-1] for piece in reversed(sides[1]))):
        line = Polylines.of([piece])
        length = float(line.lengths()[0])
        curves = max(1, round(length / _A_CURVE))
        steps = max(2, round(length / _STEP / curves))
        points.append(line.at(np.linspace(0, length, curves * steps + 1)[None, 1:])[0])
        nodes += [nodes[-1] + steps * (c + 1) for c in range(curves)]
    outline = np.concatenate(points)
    sharp = np.array([one, other, notch, *(upper[j][i] for j, (i, _) in enumerate(valleys))])
    corners = [n for n in nodes if np.hypot(*(sharp - outline[n]).T).min() < SAME]
    whole = np.abs(outline).max(axis=0)
    lines = [even(fold, count=_A_FOLD) for fold in folds]
    return _Pattern(np.concatenate((outline, *lines)) / whole, np.array(nodes), tuple(corners))


def _edges(turns: int) -> tuple[list[Numbers], list[Numbers]]:
    """The edges of each stretch from fold to fold, (n, 2) each: the lower ones and the upper ones.

    The first stretch begins in the foot, the last one ends in the tips of the fork.
    """
    lead, band, end, fork = _STREAMER.lead, _STREAMER.band, _STREAMER.end, _STREAMER.fork
    if not turns:
        flag = (
            _bezier((0, 0), (0.2, 1.05), (1.2, 0.6), (1.8, 1)),
            _bezier((0, 0), (0.4, -1.15), (1.4, -0.6), (2.2, -0.95)),
        )
        return [flag[0]], [flag[1]]
    slope = 2 * _STREAMER.straight
    lower = [_bezier((0, 0), (0.5 * lead, 0), (lead - 0.3, 1 - 0.3 * slope), (lead, 1))]
    top = lead + band
    upper = [_bezier((0, 0), (0.35 * top, -0.45), (top - 0.5, 1 - 0.5 * slope), (top, 1))]
    t = np.linspace(0, 1, _EDGE)
    side = np.array([1.0, 1.0])
    for fold in range(turns - 1):
        way = (slope / 2 - 1) * (1 - 2 * t * t * (3 - 2 * t)) - slope / 2 * (1 - 2 * t)
        side = np.array([1.0, -((-1.0) ** fold)])
        lower.append(np.stack((lead + fold + t, way), axis=1) * side)
        upper.append(np.stack((lead + fold + t + band, way), axis=1) * side)
    at, side = lead + turns - 1, np.array([1.0, (-1.0) ** turns])
    lower.append(
        _bezier((at, -1), (at + 0.33, 0.33 * slope - 1), (at + end - 0.6, 0.75), (at + end, 1)) * side
    )
    tip = at + end + fork
    upper.append(
        _bezier((at + band, -1), (at + band + 0.2, 0.2 * slope - 1), (tip - 0.25, -0.4), (tip, -0.3)) * side
    )
    return lower, upper


def _bezier(*handles: tuple[float, float]) -> Numbers:
    return bezier(np.array(handles), _EDGE)


def _fold(number: int) -> Numbers:
    """The side of a streamer where it folds round, as smooth as its edges come there."""
    t = np.linspace(0, 1, _EDGE)
    bulge = 1 + 2 * _STREAMER.straight * _STREAMER.band * t * (1 - t)
    return np.stack((_STREAMER.lead + number + _STREAMER.band * t, (-1.0) ** number * bulge), axis=1)


def _meeting(one: Numbers, other: Numbers) -> tuple[int, int]:
    """Where an upper edge and the next lower one are nearest, but for their beginnings: the point of each."""
    far = np.hypot(*(one[3:, None] - other[None, 1:]).transpose(2, 0, 1))
    i, k = np.unravel_index(int(np.argmin(far)), far.shape)
    return int(i) + 3, int(k) + 1


def _round(
    upper: Sequence[Numbers], lower: Sequence[Numbers], valleys: Sequence[tuple[int, int]], number: int
) -> list[Numbers]:
    """The outline round a valley: along an upper edge to it, and on along the next lower one."""
    i, k = valleys[number]
    one, other = upper[number][: i + 1], lower[number + 1][k + 1 :]
    return [one, np.concatenate((one[-1:], other))]


def turns_of(length: float, half: Numbers, smallest: float, fold: float) -> int:
    """How often a streamer of such a length and half widths (n,) turns over."""
    typical = median(half[len(half) // 3 :].tolist())
    if typical < fold * smallest:
        return 0
    one = max(_STREAMER.turn * typical, _STREAMER.least_band * smallest / _STREAMER.band)
    return int(
        np.clip(
            round(length / one - _STREAMER.lead + 1 - _STREAMER.end - _STREAMER.fork), 1, _STREAMER.most_turns
        )
    )


def streamer(middle: Numbers, square: Numbers, half: Numbers, turns: int, hand: float) -> list[Outline]:
    """A streamer and its folds about a middle (n, 2), with unit vectors square to it, of half widths (n,).

    hand: 1 if its first fold lies where those point, -1 if on the other side.
    """
    pattern = _pattern(turns)
    along, aside = pattern.places[:, 0] * (len(middle) - 1.25), pattern.places[:, 1:]
    on, off, wide = rows_at(along, middle, square, half[:, None])
    points = on + hand * off * wide * aside
    first = len(points) - _A_FOLD * turns
    return [
        Outline("ribbon", points[:first], pattern.nodes, corners=pattern.corners),
        *(
            Outline("fold", points[at : at + _A_FOLD], _FOLD_NODES, within=True)
            for at in range(first, len(points), _A_FOLD)
        ),
    ]


def rows_at(place: Numbers, *rows: Numbers) -> list[Numbers]:
    """Rows (n, k) at fractional numbers of theirs (m,)."""
    every = np.concatenate(rows, axis=1)
    i = np.minimum(place.astype(int), len(every) - 2)
    share = (place - i)[:, None]
    there = every.take(i, axis=0) * (1 - share) + every.take(i + 1, axis=0) * share
    ends = accumulate((one.shape[1] for one in rows), initial=0)
    return [there[:, low:high] for low, high in pairwise(ends)]


def along(
    axis: Numbers, half: Numbers, smallest: float, hand: float = 1.0, fold: float = LEAST_FOLD
) -> list[Outline]:
    """A streamer along an axis (n, 2), of half widths (m,)."""
    length = float(Polylines.of([axis]).lengths()[0])
    middle = even(axis, count=FINE)
    wide = np.interp(np.linspace(0, 1, FINE), np.linspace(0, 1, len(half)), half)
    return streamer(middle, across(middle), wide, turns_of(length, wide, smallest, fold), hand)
