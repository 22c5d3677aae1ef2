"""How far a run of circles reaches, and the ease with which it lands exactly.

A run begins at the corner circle (radius R, centre (R, R) in band coordinates), has k circles of radius r on
alternate rows, the first on the inner row, and must end a half middle M short of the middle of its side:

    u_k + M = span / 2,   u_k = R + sqrt((R + r + gap)² − (H − r − lift − R)²) + (k − 1)·p,
    p = sqrt((2r + gap)² − v²),   v = H − 2r − 2·lift                                      (DESIGN section 3)

M depends on the meeting. A turning side with m = 2k − 1 circles is the same run with M = 0: its k-th circle
stands on the middle. Everything here takes and gives numpy arrays (or floats) of inches.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Numbers: TypeAlias = NDArray[np.float64]

LANDING_TOLERANCE_IN = 1e-9  # DESIGN section 4: what is left over at the middle
_HALVINGS = 52  # of an ease below an inch: down to the last bit of a float


def rise(height: Numbers, r: Numbers, lift: Numbers) -> Numbers:
    """Height v between the two rows of centres."""
    return height - 2 * r - 2 * lift


def step(height: Numbers, r: Numbers, lift: Numbers, gap: Numbers) -> Numbers:
    """Distance p along the side between neighbouring circles (nan where they cannot stand so)."""
    with np.errstate(invalid="ignore"):
        return np.asarray(np.sqrt((2 * r + gap) ** 2 - rise(height, r, lift) ** 2))


def first(height: Numbers, big: Numbers, r: Numbers, lift: Numbers, gap: Numbers) -> Numbers:
    """u of the first circle's centre (nan where it cannot touch the corner circle)."""
    with np.errstate(invalid="ignore"):
        across = (big + r + gap) ** 2 - (height - r - lift - big) ** 2
        return np.asarray(big + np.sqrt(across))


def half_middle(
    meeting: str | None, height: Numbers, r: Numbers, middle: Numbers, lift: Numbers, gap: Numbers
) -> Numbers:
    """M: from the last circle's centre to the middle of the side.

    butted: the last two circles stand 2r + gap apart. wreath: a ring of diameter ``middle`` on the centre
    line of the band touches both. little spines, lattice: ``middle`` is clear between them. None (turning):
    nothing.
    """
    match meeting:
        case "butted":
            return np.asarray(r + gap / 2)
        case "wreath":
            with np.errstate(invalid="ignore"):
                return np.asarray(np.sqrt((r + middle / 2) ** 2 - (rise(height, r, lift) / 2) ** 2))
        case None:
            return np.zeros(np.broadcast(height, r, middle, lift, gap).shape)
        case _:
            return np.asarray(r + middle / 2)


def length(
    meeting: str | None,
    height: Numbers,
    big: Numbers,
    r: Numbers,
    k: Numbers,
    middle: Numbers,
    lift: Numbers,
    gap: Numbers,
) -> Numbers:
    """From the crossing of the outer guides to the middle of the side, as the run fills it."""
    along = first(height, big, r, lift, gap) + (k - 1) * step(height, r, lift, gap)
    return along + half_middle(meeting, height, r, middle, lift, gap)


def useful_lift(
    meeting: str | None, height: Numbers, big: Numbers, r: Numbers, k: Numbers, middle: Numbers, limit: float
) -> Numbers:
    """Largest lift that still lengthens the run: at most ``limit``, and the rows never cross.

    Every term of the length is concave in the lift (a chord of a circle), so the length rises to one summit;
    past it (a level run under a large corner circle) lifting would shorten the run again.
    """
    top = np.minimum(limit, np.maximum(0.0, (height - 2 * r) / 2))

    def slope(lift: Numbers) -> Numbers:
        v = rise(height, r, lift)
        with np.errstate(invalid="ignore", divide="ignore"):
            chain = (k - 1) * 2 * v / step(height, r, lift, np.zeros(()))
            start = (height - r - lift - big) / (first(height, big, r, lift, np.zeros(())) - big)
            ring = v / (2 * half_middle(meeting, height, r, middle, lift, np.zeros(())))
        return np.asarray(chain + start + (ring if meeting == "wreath" else 0.0))

    top = np.broadcast_to(top, np.broadcast(height, big, r, k, middle).shape).copy()
    falling = slope(top) < 0
    if not falling.any():
        return top
    low, high = np.zeros_like(top), top.copy()
    for _ in range(_HALVINGS):
        mid = (low + high) / 2
        rising = slope(mid) > 0
        low, high = np.where(rising, mid, low), np.where(rising, high, mid)
    return np.where(falling, low, top)


def ease(
    meeting: str | None,
    height: Numbers,
    big: Numbers,
    r: Numbers,
    k: Numbers,
    middle: Numbers,
    target: Numbers,
    lift_limit: float,
    gap_limit: float,
) -> tuple[Numbers, Numbers]:
    """Lift and gap with which each run lands on ``target`` (half its side's span); nan where none does.

    The lift is used up to its limit before any gap; along that way the length only grows, so there is one
    root, found by halving down to the last bit.
    """
    shape = np.broadcast(height, big, r, k, middle, target).shape
    height, big, r, k, middle, target = (
        np.broadcast_to(np.asarray(a, dtype=float), shape) for a in (height, big, r, k, middle, target)
    )
    lift_top = useful_lift(meeting, height, big, r, k, middle, lift_limit)
    none = np.zeros(shape)

    def at(lift: Numbers, gap: Numbers) -> Numbers:
        return length(meeting, height, big, r, k, middle, lift, gap) - target

    shortest, lifted = at(none, none), at(lift_top, none)
    longest = at(lift_top, np.full(shape, gap_limit))
    slack = LANDING_TOLERANCE_IN / 1000
    lands = (shortest <= slack) & (longest >= -slack)
    by_lift = lifted >= 0
    top = np.where(by_lift, lift_top, gap_limit)

    def parts(x: Numbers) -> tuple[Numbers, Numbers]:
        return np.where(by_lift, x, lift_top), np.where(by_lift, 0.0, x)

    low, high = np.zeros(shape), top.copy()
    for _ in range(_HALVINGS):
        mid = (low + high) / 2
        short = at(*parts(mid)) < 0
        low, high = np.where(short, mid, low), np.where(short, high, mid)
    x = (low + high) / 2
    lift, gap = parts(x)
    return np.where(lands, lift, np.nan), np.where(lands, gap, np.nan)
