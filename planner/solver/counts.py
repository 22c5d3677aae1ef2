"""How many curls a half side may hold: a length is linear in their number at either end of the ease."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from planner.border.run import first, rise, step
from planner.geometry.arrays import ROUNDING, Indices, Mask, Numbers, largest, smallest
from planner.solver.ways import Asked, Ways
from planner.solver.weights import eased

MOST_CURLS = 100  # of a half side: each is drawn round by hand, and eight hundred are a day of chalk


class Ends:
    """Every try with a single curl at either end of its ease: with the least of it and the smallest middle, with
    the most and the largest. Its length, and the step to another curl; how fast they grow by lift with the least of
    it, and by gap with all the lift."""

    def __init__(self, asked: Asked, middles: tuple[Numbers, Numbers]) -> None:
        every, one = np.arange(len(asked.tries)), np.ones(len(asked.tries))
        least, most = (asked.runs(every, one, middle) for middle in middles)
        lift, gap = least.least_ease(asked.limits.lift)
        top = most.top(asked.limits.lift)
        self.runs = least
        self.eases = ((lift, gap), (top, np.full(len(every), asked.limits.gap)))
        self.lengths = least.length(lift, gap), most.length(*self.eases[1])
        self.steps = [step(least.height, least.r, *ease) for ease in self.eases]
        self.apart = gap <= asked.limits.gap
        # under a large corner circle the longest is not where the lift ends
        self.bends = least.height - least.r < least.corner_radius + asked.limits.lift
        h, r, big, raises = least.height, least.r, least.corner_radius, top > lift
        self.begin = first(h, big, r, lift, gap)
        with np.errstate(invalid="ignore", divide="ignore"):
            self.by_lift = [
                np.where(raises, np.maximum(growth, 0.0), 0.0)
                for growth in (
                    (h - r - lift - big) / (self.begin - big),
                    2 * rise(h, r, lift) / self.steps[0],
                )
            ]
            self.by_gap = (
                (big + r + gap) / (first(h, big, r, top, gap) - big),
                (2 * r + gap) / step(h, r, top, gap),
            )

    def priced(self, asked: Asked, pair: tuple[int, int], row: Indices, k: Numbers, middle: Numbers) -> Ways:
        """Counts and middles on rows of the tries with what they cost at least.

        A length is concave in lift and in gap, so it grows nowhere faster than with the least of them.
        """
        more, meeting, halves = k - 1, self.runs.meeting[row], asked.halves(pair)[row]
        h, r, least = self.runs.height[row], self.runs.r[row], self.eases[0]
        lift, gap, top = least[0][row], least[1][row], self.eases[1][0][row]
        with np.errstate(invalid="ignore", divide="ignore"):
            half_middle = meeting.length(h, r, middle, lift, gap)
            length = self.begin[row] + more * self.steps[0][row] + half_middle
            by_lift, by_gap = (
                one[row] + more * each[row] + of_middle(h, r, lift, half_middle)
                for (one, each), of_middle in (
                    (self.by_lift, meeting.by_lift),
                    (self.by_gap, meeting.by_gap),
                )
            )
            short = largest(halves) - length
            raised = np.fmin(top - lift, short / by_lift)
            opened = np.maximum(short - by_lift * (top - lift), 0.0) / by_gap
        raised, opened = (np.where(self.bends[row], 0.0, some) for some in (raised, opened))
        ease = eased((lift + raised)[:, None], (gap + opened)[:, None], asked.limits)
        return Ways(row, k, middle, ease, smallest(halves) - length)


def counts_of(asked: Asked, ends: Ends, halves: Numbers, some: Mask | bool = True) -> tuple[Indices, Numbers]:
    """Every row of some of the tries with every count that both of two half sides (n, 2) could hold.

    A length is linear in the count at either end of the ease; Runs.ease has the last word.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        high = np.floor(1 + (smallest(halves) - ends.lengths[0]) / ends.steps[0] + ROUNDING)
        low = np.ceil(1 + (largest(halves) - ends.lengths[1]) / ends.steps[1] - ROUNDING) - ends.bends
    return every_count(np.maximum(low, ends.runs.meeting.least), high, ends.apart & some, asked.few)


def every_count(low: Numbers, high: Numbers, some: Mask, few: float) -> tuple[Indices, Numbers]:
    """Every row of some with every whole count from its low to its high, the highest few of them."""
    some, high = some & np.isfinite(low) & np.isfinite(high), np.minimum(high, MOST_CURLS)
    low = np.where(some, np.maximum(np.maximum(low, high - few + 1), 1), 1)
    high = np.where(some, high, 0)
    row, k = spread(low.astype(np.int64), high.astype(np.int64))
    return row, k.astype(float)


def spread(low: NDArray[np.int64], high: NDArray[np.int64]) -> tuple[Indices, NDArray[np.int64]]:
    """Every row with every whole number from its low to its high: the row, the number."""
    number = np.maximum(0, high - low + 1)
    row = np.repeat(np.arange(len(low)), number)
    return row, low[row] + np.arange(len(row)) - np.repeat(np.cumsum(number) - number, number)
