"""How far a run of circles reaches, and the ease with which it lands exactly.

A run begins at the corner circle (radius R, centre (R, R) in band coordinates), has k circles of radius r on
alternate rows, the first on the inner row, and must end a half middle M short of the middle of its side:

    u_k + M = span / 2,   u_k = R + sqrt((R + r + gap)² − (H − r − lift − R)²) + (k − 1)·p,
    p = sqrt((2r + gap)² − v²),   v = H − 2r − 2·lift                                      (DESIGN section 3)

M depends on the meeting. A turning side with m = 2k − 1 circles is the same run with M = 0: its k-th circle
stands on the middle. Everything here takes and gives numpy arrays (or floats) of inches.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np

from planner.geometry.arrays import SETTLED_IN, Indices, Numbers

_CLOSINGS = 10  # of a lift below an inch: at its summit the length is flat, so half the bits give all of it
_NEWTON_STEPS = 60  # it takes five or six; near a level run, where the length is flat, a few more


def rise(height: Numbers, r: Numbers, lift: Numbers) -> Numbers:
    """Height v between the two rows of centres."""
    return height - 2 * r - 2 * lift


def step(height: Numbers, r: Numbers, lift: Numbers, gap: Numbers) -> Numbers:
    """Distance p along the side between neighbouring circles (nan where they cannot stand so)."""
    with np.errstate(invalid="ignore"):
        return np.asarray(np.sqrt((2 * r + gap) ** 2 - rise(height, r, lift) ** 2))


def first(height: Numbers, corner_radius: Numbers, r: Numbers, lift: Numbers, gap: Numbers) -> Numbers:
    """u of the first circle's centre (nan where it cannot touch the corner circle)."""
    with np.errstate(invalid="ignore"):
        across = (corner_radius + r + gap) ** 2 - (height - r - lift - corner_radius) ** 2
        return np.asarray(corner_radius + np.sqrt(across))


def _flat(height: Numbers, r: Numbers, lift: Numbers, half: Numbers) -> tuple[Numbers, Numbers]:
    return np.zeros_like(half), np.zeros_like(half)


@dataclass(frozen=True, slots=True)
class HalfMiddle:
    """What a meeting takes of a run: M, from the last circle's centre to the middle of the side (inches).

    length: M of band height, run radius, middle, lift and gap; growth: how much M grows per inch of lift and per
    inch of gap, of band height, run radius, lift and M itself. on_middle: M is nought, the last circle stands on
    the middle line and is its own mirror image. least: circles that a run has at least.
    """

    length: Callable[[Numbers, Numbers, Numbers, Numbers, Numbers], Numbers]
    growth: Callable[[Numbers, Numbers, Numbers, Numbers], tuple[Numbers, Numbers]] = _flat
    on_middle: bool = False
    least: int = 1


def _none(height: Numbers, r: Numbers, middle: Numbers, lift: Numbers, gap: Numbers) -> Numbers:
    return np.zeros(np.broadcast(height, r, middle, lift, gap).shape)


def _open(height: Numbers, r: Numbers, middle: Numbers, lift: Numbers, gap: Numbers) -> Numbers:
    return np.asarray(r + middle / 2)


TURNING = HalfMiddle(_none, on_middle=True)
OPEN = HalfMiddle(_open)  # ``middle`` is clear between the last two circles


@dataclass(frozen=True, slots=True)
class Runs:
    """n runs of one meeting, one row each: band height, corner and run radius, count, middle (inches, (n,))."""

    meeting: HalfMiddle
    height: Numbers
    corner_radius: Numbers
    r: Numbers
    k: Numbers
    middle: Numbers

    @classmethod
    def of(
        cls,
        meeting: HalfMiddle,
        height: Any,
        corner_radius: Any,
        r: Any,
        k: Any,
        middle: Any,
        n: int | None = None,
    ) -> Runs:
        """Runs from figures and arrays alike, brought to one length."""
        given = [np.atleast_1d(np.asarray(a, dtype=float)) for a in (height, corner_radius, r, k, middle)]
        shape = np.broadcast_shapes(*(a.shape for a in given), (n or 1,))
        return cls(meeting, *(np.broadcast_to(a, shape) for a in given))

    def __getitem__(self, rows: Indices) -> Runs:
        return Runs(
            self.meeting,
            self.height[rows],
            self.corner_radius[rows],
            self.r[rows],
            self.k[rows],
            self.middle[rows],
        )

    def _legs(self, lift: Numbers, gap: Numbers) -> tuple[Numbers, Numbers, Numbers]:
        """What a length is made of: from the corner circle to the first circle, one step, half the middle."""
        along = first(self.height, self.corner_radius, self.r, lift, gap) - self.corner_radius
        half = self.meeting.length(self.height, self.r, self.middle, lift, gap)
        return along, step(self.height, self.r, lift, gap), half

    def length(self, lift: Numbers, gap: Numbers) -> Numbers:
        """From the crossing of the outer guides to the middle of the side, as the run fills it."""
        along, p, half = self._legs(lift, gap)
        return np.asarray(self.corner_radius + along + (self.k - 1) * p + half)

    def growth(self, lift: Numbers, gap: Numbers) -> tuple[Numbers, Numbers, Numbers]:
        """The length, and how much it grows per inch of lift and per inch of gap: its two partial derivatives."""
        along, p, half = self._legs(lift, gap)
        v, down = rise(self.height, self.r, lift), self.height - self.r - lift - self.corner_radius
        with np.errstate(invalid="ignore", divide="ignore"):
            by_lift = (self.k - 1) * 2 * v / p + down / along
            by_gap = (self.k - 1) * (2 * self.r + gap) / p + (self.corner_radius + self.r + gap) / along
            more_by_lift, more_by_gap = self.meeting.growth(self.height, self.r, lift, half)
            by_lift, by_gap = by_lift + more_by_lift, by_gap + more_by_gap
        return (
            np.asarray(self.corner_radius + along + (self.k - 1) * p + half),
            np.asarray(by_lift),
            np.asarray(by_gap),
        )

    def least_ease(self, lift_limit: float) -> tuple[Numbers, Numbers]:
        """The least lift, and where that is not enough the least gap, with which the circles keep apart at all.

        Circles of one row touch where the step is r, so at a rise of sqrt((2r + gap)² − r²) (DESIGN section 3);
        and the first one must reach the corner circle.
        """
        h, r, big = self.height, self.r, self.corner_radius
        top = self.top(lift_limit)
        lift = np.maximum(np.maximum(0.0, (h - (2 + sqrt(3)) * r) / 2), h - 2 * r - 2 * big)
        short = lift > top
        gap = np.maximum(np.hypot(r, rise(h, r, top)) - 2 * r, h - 2 * r - 2 * big - top)
        return np.minimum(lift, top), np.where(short, np.maximum(gap, 0.0), 0.0)

    def top(self, lift_limit: float) -> Numbers:
        """The largest lift there may be: the rows never cross."""
        return np.asarray(np.minimum(lift_limit, np.maximum(0.0, (self.height - 2 * self.r) / 2)))

    def useful_lift(self, limit: float) -> Numbers:
        """Largest lift that still lengthens each run: at most ``limit``, and the rows never cross.

        Every term of the length is concave in the lift (a chord of a circle), so the length rises to one
        summit; past it (a level run under a large corner circle) lifting would shorten the run again.
        """
        top = self.top(limit)
        falling = np.flatnonzero(self.growth(top, np.zeros_like(top))[1] < 0)
        if falling.size:
            top[falling] = self[falling]._summits(self[falling].least_ease(limit)[0], top[falling])
        return top

    def _summits(self, low: Numbers, top: Numbers) -> Numbers:
        """The lift from ``low`` to ``top`` where each run is longest: where its growth vanishes, by false position.

        An end that stands twice counts half, so that both close in (the Illinois rule).
        """
        high, none = top, np.zeros_like(top)
        rising, falling = np.maximum(self.growth(low, none)[1], 0.0), self.growth(high, none)[1]
        summit, moved = low, none
        for _ in range(_CLOSINGS):
            share = np.divide(rising, rising - falling, out=np.zeros_like(top), where=rising > falling)
            summit = low + (high - low) * share
            found = self.growth(summit, none)[1]
            side = np.where(found > 0, 1.0, -1.0)
            half = np.where(side == moved, 0.5, 1.0)
            low, high = np.where(side > 0, summit, low), np.where(side > 0, high, summit)
            rising = np.where(side > 0, found, half * rising)
            falling = np.where(side > 0, half * falling, found)
            moved = side
        return summit

    def ease(self, target: Numbers, lift_limit: float, gap_limit: float) -> tuple[Numbers, Numbers]:
        """Lift and gap with which each run lands on ``target`` (half its side's span); nan where none does.

        The lift is used up to its limit before any gap, from the least with which the circles keep apart; along
        that way the length only grows, so there is one root. The length is concave on both legs (chords of
        circles, branches of hyperbolas), so Newton's rule from the short end never oversteps and closes in
        quadratically.
        """
        target = np.broadcast_to(target, self.corner_radius.shape)
        none, least = np.zeros_like(target), self.least_ease(lift_limit)
        # under a large corner circle lifting may shorten a run: its longest is not at the end of the lift
        bends = self.height - self.r < self.corner_radius + lift_limit
        reaches = self.length(self.top(lift_limit), none + gap_limit) >= target - SETTLED_IN
        fits = (self.length(*least) <= target + SETTLED_IN) & (least[1] <= gap_limit)
        rows = np.flatnonzero(fits & (reaches | bends))
        lift, gap = self[rows]._roots(target[rows], lift_limit, gap_limit)
        lifts, gaps = np.full(target.shape, np.nan), np.full(target.shape, np.nan)
        lifts[rows], gaps[rows] = lift, gap
        return lifts, gaps

    def _roots(self, target: Numbers, lift_limit: float, gap_limit: float) -> tuple[Numbers, Numbers]:
        """The roots of runs that are not too long without ease; nan where they are too short with all of it."""
        top, none = self.useful_lift(lift_limit), np.zeros_like(target)
        least_lift, least_gap = self.least_ease(lift_limit)
        by_lift = (least_gap == 0) & (self.length(top, none) >= target)
        lands = by_lift | (self.length(top, none + gap_limit) >= target - SETTLED_IN)
        x, most = np.where(by_lift, least_lift, least_gap), np.where(by_lift, top, gap_limit)
        open_rows = np.flatnonzero(lands)
        for _ in range(_NEWTON_STEPS):
            if not open_rows.size:
                break
            some, raising, at = self[open_rows], by_lift[open_rows], x[open_rows]
            lift, gap = np.where(raising, at, top[open_rows]), np.where(raising, 0.0, at)
            length, by_lift_now, by_gap_now = some.growth(lift, gap)
            over = target[open_rows] - length
            with np.errstate(divide="ignore", invalid="ignore"):
                more = over / np.where(raising, by_lift_now, by_gap_now)
            more = np.where(np.isfinite(more), more, 0.0)
            x[open_rows] = np.clip(at + more, 0.0, most[open_rows])
            open_rows = open_rows[(np.abs(over) > SETTLED_IN) & (x[open_rows] != at)]
        lift, gap = np.where(by_lift, x, top), np.where(by_lift, 0.0, x)
        return np.where(lands, lift, np.nan), np.where(lands, gap, np.nan)
