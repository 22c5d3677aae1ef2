"""Islands: what nothing leads to, in an order in which the thread can be carried from one to the next.

Over how much bare cloth it is carried is hers to say; each longer gap is a stop and a new start. So the order is a
travelling salesman's (Lin 1965: 2-opt; Or 1976: a few moved elsewhere) over the gaps between islands, one too wide
to carry counting as much as it costs. A ring that stands alone is begun where the gap is least. Lengths are inches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations, pairwise

import numpy as np

from planner.geometry.arrays import ROUNDING_IN, Indices, Numbers

_START_IN = 100.0  # what a start counts, in inches of gap: a gap is clipped in seconds, a start is minutes
_FEW = 3  # so many are moved elsewhere together
_MOST = 40  # islands that are ordered so: where there are more, the nearest first will do


@dataclass(frozen=True, slots=True)
class Leg:
    """One island of a tour: which, from which of its points to which; carried: whether the thread goes on."""

    island: int
    begin: int
    end: int
    carried: bool


def tour(islands: Sequence[Numbers], here: Numbers | None, onward: Numbers, carry_in: float) -> list[Leg]:
    """The islands in an order with few starts.

    islands: of each the points where it may be begun and left (n, 2); here: where the needle is, if anywhere;
    onward: where it may go on afterwards (n, 2), none at all among it.
    """
    owner = np.repeat(np.arange(len(islands)), [len(one) for one in islands])
    first = np.searchsorted(owner, np.arange(len(islands)))
    points = np.concatenate(islands)
    apart = _apart(points, points)
    gaps = np.minimum.reduceat(np.minimum.reduceat(apart, first, axis=0), first, axis=1)
    none = np.full(len(islands), np.inf)
    to_first = np.minimum.reduceat(_apart(points, here[None])[:, 0], first) if here is not None else none
    to_next = np.minimum.reduceat(_apart(points, onward).min(axis=1), first) if len(onward) else none
    order = _shortest(_price(gaps, carry_in), _price(to_first, carry_in), _price(to_next, carry_in))
    ends = [here, *(islands[i] for i in order), onward if len(onward) else None]
    meets = [_nearest(a, b) for a, b in pairwise(ends)]
    return [
        Leg(i, arrive[1], leave[0], leave[2] <= carry_in)
        for i, arrive, leave in zip(order, meets, meets[1:], strict=False)
    ]


def _apart(some: Numbers, others: Numbers) -> Numbers:
    """How far each of some points is from each of others. Shape (n, m)."""
    (x, y), (u, v) = some.T, others.T
    return np.asarray(np.hypot(x[:, None] - u, y[:, None] - v))


def _nearest(some: Numbers | None, others: Numbers | None) -> tuple[int, int, float]:
    """Which two points are nearest to each other, and how far apart; of nothing the first."""
    if some is None or others is None:
        return 0, 0, float("inf")
    apart = _apart(some.reshape(-1, 2), others.reshape(-1, 2))
    i, j = np.unravel_index(int(np.argmin(apart)), apart.shape)
    return int(i), int(j), float(apart[i, j])


def _price(gap: Numbers, carry_in: float) -> Numbers:
    """What a gap costs, in inches: itself, where the thread is carried; else a start."""
    return np.where(gap <= carry_in, gap, _START_IN + np.minimum(gap, _START_IN))


def _shortest(gaps: Numbers, to_first: Numbers, to_next: Numbers) -> list[int]:
    """The nearest first, then bettered for as long as that helps."""
    count = len(to_first)
    left = set(range(count))
    order = [int(np.argmin(to_first))]
    left.discard(order[0])
    while left:
        near = gaps[order[-1]]
        order.append(min(left, key=lambda i: (near[i], i)))
        left.discard(order[-1])
    if count > _MOST:
        return order
    # Before the first island stands where the needle is (number count), after the last what comes next.
    between = np.zeros((count + 2, count + 2))
    between[:count, :count] = gaps
    between[count, :count] = between[:count, count] = to_first
    between[count + 1, :count] = between[:count, count + 1] = to_next
    best, moves = np.array([count, *order, count + 1]), _moves(count)
    while True:
        gone, come = (between[best[one[0]], best[one[1]]].sum(axis=0) for one in (moves.gone, moves.come))
        gained = gone - come
        n = int(np.argmax(gained)) if len(gained) else 0
        if not len(gained) or gained[n] <= ROUNDING_IN:
            return [int(i) for i in best[1:-1]]
        best = _moved(best, *moves.parts[n])


@dataclass(frozen=True, slots=True)
class _Moves:
    """Ways to change an order. parts: of each, from which place to which, and after which place that part is put;
    None where it is turned round. gone, come: the pairs of places that are no more neighbours, and that then are
    (2, 3, m); a pair of one place with itself stands for none."""

    parts: list[tuple[int, int, int | None]]
    gone: Indices
    come: Indices


@cache
def _moves(count: int) -> _Moves:
    """All that turn a part of so many islands round, or move a few elsewhere; places count from 1."""
    parts: list[tuple[int, int, int | None]] = []
    gone, come = [], []
    for i, j in combinations(range(1, count + 2), 2):
        last = j - 1
        parts.append((i, last, None))
        gone.append(((i - 1, i), (last, j), (0, 0)))
        come.append(((i - 1, last), (i, j), (0, 0)))
        for k in range(count + 1) if j - i <= _FEW else ():
            if not i - 1 <= k <= last:
                parts.append((i, last, k))
                gone.append(((i - 1, i), (last, j), (k, k + 1)))
                come.append(((i - 1, j), (k, i), (last, k + 1)))
    pairs = (np.array(one, dtype=np.intp).reshape(-1, 3, 2).transpose(2, 1, 0) for one in (gone, come))
    return _Moves(parts, *pairs)


def _moved(order: Indices, first: int, last: int, after: int | None) -> Indices:
    """An order with a part turned round, or put after another place."""
    part = order[first : last + 1]
    if after is None:
        return np.concatenate((order[:first], part[::-1], order[last + 1 :]))
    rest = np.concatenate((order[:first], order[last + 1 :]))
    at = after + 1 if after < first else after + 1 - len(part)
    return np.concatenate((rest[:at], part, rest[at:]))
