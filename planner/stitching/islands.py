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
    return np.asarray(np.linalg.norm(some[:, None] - others[None], axis=2))


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
    left = set(range(len(to_first)))
    order = [int(np.argmin(to_first))]
    left.discard(order[0])
    while left:
        near = gaps[order[-1]]
        order.append(min(left, key=lambda i: (near[i], i)))
        left.discard(order[-1])
    best, moves = np.array(order), _moves(min(len(order), _MOST))
    cost = _costs(best[None], gaps, to_first, to_next)[0]
    while len(order) <= _MOST:
        tries = best[moves]
        costs = _costs(tries, gaps, to_first, to_next)
        n = int(np.argmin(costs))
        if costs[n] >= cost - ROUNDING_IN:
            break
        best, cost = tries[n], costs[n]
    return [int(i) for i in best]


def _costs(orders: Indices, gaps: Numbers, to_first: Numbers, to_next: Numbers) -> Numbers:
    """What each of some orders costs. orders (m, n)."""
    between = gaps[orders[:, :-1], orders[:, 1:]].sum(axis=1)
    return np.asarray(to_first[orders[:, 0]] + between + to_next[orders[:, -1]])


@cache
def _moves(count: int) -> Indices:
    """All orders that come of one by turning a part round, or by moving a few elsewhere (m, count)."""
    every = list(range(count))
    moves = {tuple(every)}
    for i, j in combinations(range(count + 1), 2):
        moves.add((*every[:i], *every[i:j][::-1], *every[j:]))
        if j - i <= _FEW:
            rest = every[:i] + every[j:]
            moves.update((*rest[:k], *every[i:j], *rest[k:]) for k in range(len(rest) + 1))
    return np.array(sorted(moves))
