"""What is to land, the ways in which a pair of opposite sides may, and what the two cost at the least."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.border.meetings import half_of
from planner.border.run import Runs
from planner.geometry.arrays import Indices, Mask, Numbers, largest, smallest
from planner.plan import SIDES, MeetingKind, Plan
from planner.solver.combos import Table, Tries, unlike_times
from planner.solver.effort import Patience
from planner.solver.grounds import Grounds
from planner.solver.limits import Limits
from planner.solver.score import sides_score
from planner.solver.weights import WEIGHTS, eased, slipping

PAIRS = ((0, 2), (3, 1))  # top and bottom, left and right, as places in SIDES
OF_A_WAY = 0.04  # what it takes to land a way, in curls


@dataclass(frozen=True, slots=True)
class Landing(Table):
    """Where a pair of opposite sides lands: row of the tries, count; all else of both sides, shape (n, 2)."""

    row: Indices
    k: Numbers
    middle: Numbers
    lift: Numbers
    gap: Numbers
    step: Numbers
    short: Numbers
    long: Numbers


@dataclass(frozen=True, slots=True)
class Figures(Table):
    """What some sides cost by: their worst ease and margin; their middles in all, the widest, the narrowest."""

    ease: Numbers
    margin: Numbers
    middle: Numbers
    widest: Numbers
    narrowest: Numbers

    @classmethod
    def of(cls, found: Landing, limits: Limits) -> Figures:
        """Of both sides of each landing."""
        middle = found.middle
        return cls(
            eased(found.lift, found.gap, limits),
            smallest(np.minimum(found.short, found.long)),
            middle[:, 0] + middle[:, 1],
            largest(middle),
            smallest(middle),
        )

    @classmethod
    def of_middles(cls, one: Numbers, other: Numbers) -> Figures:
        """Of two pairs of which nothing is known but their middles."""
        none = np.zeros_like(one)
        return cls(none, none + np.inf, 2 * (one + other), none, none)

    def best_of(self, begin: Indices) -> Figures:
        """The best of each figure among the rows from each beginning to the next."""
        least, most = np.minimum.reduceat, np.maximum.reduceat
        return Figures(
            least(self.ease, begin),
            most(self.margin, begin),
            least(self.middle, begin),
            least(self.widest, begin),
            most(self.narrowest, begin),
        )

    def joined(self, other: Figures) -> Figures:
        """Of these sides and those."""
        return Figures(
            np.maximum(self.ease, other.ease),
            np.minimum(self.margin, other.margin),
            self.middle + other.middle,
            np.maximum(self.widest, other.widest),
            np.minimum(self.narrowest, other.narrowest),
        )


@dataclass(frozen=True, slots=True)
class Ways(Table):
    """Runs that may land on both sides of a pair: row of the tries, count, middle.

    ease: the least that either side asks of it; margin: the most that it can be.
    """

    row: Indices
    k: Numbers
    middle: Numbers
    ease: Numbers
    margin: Numbers

    def __len__(self) -> int:
        return len(self.row)

    @property
    def least_cost(self) -> Numbers:
        """What ease and margin cost at least."""
        return np.asarray(WEIGHTS["ease"] * self.ease + WEIGHTS["margin"] * slipping(self.margin))

    @property
    def figures(self) -> Figures:
        """What they cost at least."""
        return Figures(self.ease, self.margin, 2 * self.middle, self.middle, self.middle)


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to land, how many counts of it, and what the sides on each of the tries may cost."""

    plan: Plan
    grounds: Grounds
    tries: Tries
    meeting: MeetingKind | None
    limits: Limits
    few: float
    spare: Numbers | None
    patience: Patience

    def runs(self, row: Indices, k: Numbers, middle: Numbers) -> Runs:
        """Runs of rows of the tries."""
        tries, height = self.tries, self.grounds.height[self.tries.ground[row]]
        return Runs(half_of(self.meeting), height, tries.corner_radius[row], tries.r[row], k, middle)

    def halves(self, pair: tuple[int, int]) -> Numbers:
        """Half spans of two sides, of every try: (n, 2)."""
        return self.grounds.half[self.tries.ground][:, pair]

    def middles(self) -> list[Numbers]:
        """Smallest and largest middle of both sides of each pair, of every ground: (g, 2, 2) each."""
        assert self.meeting
        every = self.grounds.middles(self.plan, self.meeting)
        return [every[:, pair, :] for pair in PAIRS]

    def affordable(self, row: Indices, found: Figures, **more: Numbers) -> Mask:
        """Which sides on rows of the tries do not cost too much, by these figures and what else is known."""
        if self.spare is None:
            return np.ones(len(row), dtype=bool)
        cost = sides_score(
            self.plan,
            self.limits,
            ease=found.ease,
            margin=found.margin,
            middle=found.middle / len(SIDES),
            unlike=unlike_times(self.meeting) * (found.widest - found.narrowest),
            **more,
        )
        return np.asarray(cost <= self.spare[row])
