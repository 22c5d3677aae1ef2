"""What is to land, the ways in which a pair of opposite sides may, and what the two cost at the least."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.border.run import Runs
from planner.geometry.arrays import Indices, Mask, Numbers, largest, smallest
from planner.plan import SIDES, MeetingKind, Plan
from planner.solver.combos import Table, Tries, code_of, halves_of, unlike_of
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


class Asked:
    """What is to land, tries with meetings; how many counts of each, and what the sides on each of them may cost.

    Its rows are all tries with the first meeting, then all with the next. tried: their places among those given;
    meeting: what stands for the meeting in an array.
    """

    def __init__(
        self,
        plan: Plan,
        grounds: Grounds,
        tries: Tries,
        meetings: Sequence[MeetingKind | None],
        limits: Limits,
        few: float,
        spare: Numbers | None,
        patience: Patience,
    ) -> None:
        self.plan, self.grounds, self.limits, self.few, self.patience = plan, grounds, limits, few, patience
        self.meetings, self.tries = meetings, Tries.stacked([tries] * len(meetings))
        self.tried = np.tile(np.arange(len(tries)), len(meetings))
        self.meeting = np.repeat([code_of(meeting) for meeting in meetings], len(tries))
        self.spare = None if spare is None else np.tile(spare, len(meetings))

    def runs(self, row: Indices, k: Numbers, middle: Numbers) -> Runs:
        """Runs on some of its rows."""
        tries, height = self.tries, self.grounds.height[self.tries.ground[row]]
        return Runs(halves_of(self.meeting[row]), height, tries.corner_radius[row], tries.r[row], k, middle)

    def halves(self, pair: tuple[int, int]) -> Numbers:
        """Half spans of two sides, of every row: (n, 2)."""
        return self.grounds.half[self.tries.ground][:, pair]

    def middles(self, pair: tuple[int, int]) -> Numbers:
        """Smallest and largest middle of two sides, of every row: (n, 2, 2)."""
        at = self.tries.ground[: len(self.tries) // len(self.meetings)]
        every = [self.grounds.middles(self.plan, meeting)[at] for meeting in self.meetings if meeting]
        return np.concatenate(every)[:, pair, :]

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
            unlike=unlike_of(self.meeting[row]) * (found.widest - found.narrowest),
            **more,
        )
        return np.asarray(cost <= self.spare[row])
