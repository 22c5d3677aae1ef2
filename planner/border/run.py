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

from planner.geometry.arrays import ROUNDING_IN, SETTLED_IN, Indices, Mask, Numbers

_CLOSINGS = 10  # of a lift below an inch: at its summit the length is flat, so half the bits give all of it
_NEWTON_STEPS = 60  # it takes five or six; near a level run, where the length is flat, a few more


Leg = Callable[[Numbers], tuple[Numbers, Numbers]]  # ease -> length, and how much that grows per inch of ease


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


@dataclass(frozen=True, slots=True)
class HalfMiddle:
    """What a meeting takes of a run: M, from the last circle's centre to the middle of the side (inches),

        M = sqrt((radii·r + middles·middle + gaps·gap)² − (rises·v)²),   v = H − 2r − 2·lift

    for the circle touches what stands in the middle so much deeper or higher, or its mirror image half way.
    on_middle: M is nought, the last circle stands on the middle line and is its own mirror image. least: circles
    that a run has at least. Each is a figure of one meeting, or an array of the meetings of many runs.
    """

    radii: Numbers | float = 0.0
    middles: Numbers | float = 0.0
    gaps: Numbers | float = 0.0
    rises: Numbers | float = 0.0
    on_middle: Mask | bool = False
    least: Numbers | int = 1

    def length(self, height: Numbers, r: Numbers, middle: Numbers, lift: Numbers, gap: Numbers) -> Numbers:
        """M with these eases; nan where the circles cannot touch."""
        far = self.radii * r + self.middles * middle + self.gaps * gap
        across = self.rises * rise(height, r, lift)
        with np.errstate(invalid="ignore"):
            return np.asarray(np.sqrt(far * far - across * across))

    def by_lift(self, height: Numbers, r: Numbers, lift: Numbers, half: Numbers) -> Numbers:
        """How much an M grows per inch of lift."""
        more = 2 * self.rises * self.rises * rise(height, r, lift)
        return np.divide(more, half, out=np.zeros_like(half), where=half > 0)

    def by_gap(self, height: Numbers, r: Numbers, lift: Numbers, half: Numbers) -> Numbers:
        """How much an M grows per inch of gap."""
        more = self.gaps * np.hypot(half, self.rises * rise(height, r, lift))
        return np.divide(more, half, out=np.zeros_like(half), where=half > 0)

    def __getitem__(self, rows: Indices) -> HalfMiddle:
        figures: list[Any] = [getattr(self, name) for name in self.__slots__]
        return HalfMiddle(*(each[rows] if isinstance(each, np.ndarray) else each for each in figures))


TURNING = HalfMiddle(on_middle=True)
OPEN = HalfMiddle(radii=1.0, middles=0.5)  # ``middle`` is clear between the last two circles


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
            self.meeting[rows],
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

    def raising(self) -> Leg:
        """What each run grows to by lift, without a gap."""
        big, r, more = self.corner_radius, self.r, self.k - 1
        touching, double = (big + r) ** 2, (2 * r) ** 2
        deep, high, none = self.height - r - big, self.height - 2 * r, np.zeros_like(r)

        def grown(lift: Numbers) -> tuple[Numbers, Numbers]:
            down, v = deep - lift, high - 2 * lift
            with np.errstate(invalid="ignore", divide="ignore"):
                along, p = np.sqrt(touching - down * down), np.sqrt(double - v * v)
                half = self.meeting.length(self.height, r, self.middle, lift, none)
                middle = self.meeting.by_lift(self.height, r, lift, half)
                return big + along + more * p + half, down / along + more * 2 * v / p + middle

        return grown

    def opening(self, lift: Numbers) -> Leg:
        """What each run grows to by its gap, beside a lift that stays."""
        big, r, more = self.corner_radius, self.r, self.k - 1
        down, v = (self.height - r - lift - big) ** 2, rise(self.height, r, lift) ** 2
        touching, double = big + r, 2 * r

        def grown(gap: Numbers) -> tuple[Numbers, Numbers]:
            far, d = touching + gap, double + gap
            with np.errstate(invalid="ignore", divide="ignore"):
                along, p = np.sqrt(far * far - down), np.sqrt(d * d - v)
                half = self.meeting.length(self.height, r, self.middle, lift, gap)
                middle = self.meeting.by_gap(self.height, r, lift, half)
                return big + along + more * p + half, far / along + more * d / p + middle

        return grown

    def least_ease(self, lift_limit: float) -> tuple[Numbers, Numbers]:
        """The least lift, and where that is not enough the least gap, with which the circles keep apart at all.

        Circles of one row touch where the step is r, so at a rise of sqrt((2r + gap)² − r²) (DESIGN section 3);
        and the first one must reach the corner circle.
        """
        h, r, big = self.height, self.r, self.corner_radius
        top = self.top(lift_limit)
        lift = np.maximum(np.maximum(0.0, (h - (2 + sqrt(3)) * r) / 2), h - 2 * r - 2 * big)
        gap = np.maximum(np.hypot(r, rise(h, r, top)) - 2 * r, h - 2 * r - 2 * big - top)
        short = (lift > top) & (gap > ROUNDING_IN)  # circles that touch by their figures keep apart
        return np.minimum(lift, top), np.where(short, gap, 0.0)

    def top(self, lift_limit: float) -> Numbers:
        """The largest lift there may be: the rows never cross."""
        return np.asarray(np.minimum(lift_limit, np.maximum(0.0, (self.height - 2 * self.r) / 2)))

    def useful_lift(self, limit: float) -> Numbers:
        """Largest lift that still lengthens each run: at most ``limit``, and the rows never cross.

        Every term of the length is concave in the lift (a chord of a circle), so the length rises to one
        summit; past it (a level run under a large corner circle) lifting would shorten the run again.
        """
        top = self.top(limit)
        falling = np.flatnonzero(self.raising()(top)[1] < 0)
        if falling.size:
            top[falling] = self[falling]._summits(self[falling].least_ease(limit)[0], top[falling])
        return top

    def _summits(self, low: Numbers, top: Numbers) -> Numbers:
        """The lift from ``low`` to ``top`` where each run is longest: where its growth vanishes, by false position.

        An end that stands twice counts half, so that both close in (the Illinois rule).
        """
        grown, high = self.raising(), top
        rising, falling = np.maximum(grown(low)[1], 0.0), grown(high)[1]
        summit, moved = low, np.zeros_like(top)
        for _ in range(_CLOSINGS):
            share = np.divide(rising, rising - falling, out=np.zeros_like(top), where=rising > falling)
            summit = low + (high - low) * share
            found = grown(summit)[1]
            side = np.where(found > 0, 1.0, -1.0)
            half = np.where(side == moved, 0.5, 1.0)
            low, high = np.where(side > 0, summit, low), np.where(side > 0, high, summit)
            rising = np.where(side > 0, found, half * rising)
            falling = np.where(side > 0, half * falling, found)
            moved = side
        return summit

    def give(self, lift_limit: float, gap_limit: float) -> Give:
        """What these runs give within limits of lift and gap."""
        lift, least = self.useful_lift(lift_limit), self.least_ease(lift_limit)
        gaps = (np.zeros_like(lift), np.full_like(lift, gap_limit))
        raised, longest = (self.length(lift, gap) for gap in gaps)
        return Give(self, *least, lift, gap_limit, self.length(*least), raised, longest)

    def ease(self, target: Numbers, lift_limit: float, gap_limit: float) -> tuple[Numbers, Numbers]:
        """Lift and gap with which each run lands on ``target`` (half its side's span); nan where none does."""
        return self.give(lift_limit, gap_limit).ease(target)


@dataclass(frozen=True, slots=True)
class Give:
    """By how much n runs give, and how long they are then: all (n,) but for the limit of the gap.

    Lift is used up to where it no longer lengthens a run before any gap; along that way a length only grows, from
    the least ease with which the circles keep apart (shortest) by all the lift (raised) to all the gap (longest).
    """

    runs: Runs
    least_lift: Numbers
    least_gap: Numbers
    lift: Numbers
    gap_limit: float
    shortest: Numbers
    raised: Numbers
    longest: Numbers

    def __getitem__(self, rows: Indices) -> Give:
        return Give(
            self.runs[rows],
            self.least_lift[rows],
            self.least_gap[rows],
            self.lift[rows],
            self.gap_limit,
            self.shortest[rows],
            self.raised[rows],
            self.longest[rows],
        )

    def ease(self, target: Numbers) -> tuple[Numbers, Numbers]:
        """Lift and gap with which each run lands on one or more targets (half spans), of shape (n,) or (m, n): the
        one root on the way. nan where none does."""
        target = np.broadcast_to(target, np.broadcast_shapes(np.shape(target), self.lift.shape))
        lift, gap = np.full(target.shape, np.nan), np.full(target.shape, np.nan)
        fits = (self.shortest <= target + SETTLED_IN) & (self.least_gap <= self.gap_limit)
        raises = fits & (self.least_gap == 0) & (self.raised >= target)
        opens = fits & ~raises & (self.longest >= target - SETTLED_IN)
        cells = np.nonzero(raises)
        rows = cells[-1]
        gap[cells] = 0.0
        lift[cells] = _roots(
            lambda some: self.runs[rows[some]].raising(),
            target[cells],
            (self.least_lift[rows], self.shortest[rows]),
            (self.lift[rows], self.raised[rows]),
        )
        cells = np.nonzero(opens)
        rows = cells[-1]
        top = lift[cells] = self.lift[rows]
        gap[cells] = _roots(
            lambda some: self.runs[rows[some]].opening(top[some]),
            target[cells],
            (self.least_gap[rows], np.where(self.least_gap > 0, self.shortest, self.raised)[rows]),
            (np.full(len(rows), self.gap_limit), self.longest[rows]),
        )
        return lift, gap


def _roots(
    leg_of: Callable[[Indices], Leg],
    target: Numbers,
    begin: tuple[Numbers, Numbers],
    end: tuple[Numbers, Numbers],
) -> Numbers:
    """Where the leg of each row is as long as its target; begin, end: the ease and the length at either end of it.

    A leg is concave (chords of circles, branches of hyperbolas). So its chord from end to end meets the target at
    the root or beyond, mostly near it; a step of Newton's rule from there falls short of the root, and from then on
    none oversteps: they close in quadratically.
    """
    if not target.size:
        return target
    (low, shortest), (high, longest) = begin, end
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (target - shortest) / (longest - shortest)
    x = np.clip(low + (high - low) * np.where(np.isfinite(share), share, 0.0), low, high)
    rows = np.arange(len(target))
    leg = leg_of(rows)
    for _ in range(_NEWTON_STEPS):
        if not rows.size:
            break
        at = x[rows]
        length, slope = leg(at)
        over = target[rows] - length
        moving = np.abs(over) > SETTLED_IN  # at its summit a leg is flat: a step for less goes astray
        with np.errstate(invalid="ignore", divide="ignore"):
            more = over / slope
        onward = np.clip(at + np.where(np.isfinite(more), more, 0.0), low[rows], high[rows])
        x[rows] = np.where(moving, onward, at)
        moving &= x[rows] != at
        if 2 * np.count_nonzero(moving) < len(rows):
            rows = rows[moving]
            leg = leg_of(rows)
    return x
