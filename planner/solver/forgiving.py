"""What measuring error a layout forgives: how wrong a side may be before its circles or counts change.

A side may be as much shorter or longer as its ease or its open middle takes up on both its halves, while the
steps of the four sides stay alike and the circles round the corners apart.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from planner.border.meetings import MEETINGS, half_of
from planner.border.run import Runs, step
from planner.geometry.arrays import ROUNDING, ROUNDING_IN, Mask, Numbers
from planner.solver.combos import Combos, meeting_of
from planner.solver.grounds import Grounds
from planner.solver.landing import clear_round_corners
from planner.solver.limits import Limits

_HALVINGS = 8  # of an error that is not forgiven: to a thousandth of it
_ENDS = 1 - ROUNDING  # an error right at the end of the ease is forgiven but for rounding
_SIDES = 4


def forgiven(grounds: Grounds, combos: Combos, limits: Limits) -> Numbers:
    """How much shorter and longer one side may be, then all four alike (inches). Shape (n, 2, 2)."""
    n, found = len(combos), landing_margins(grounds, combos, limits)
    most = found[:, 0, :].T * _ENDS  # (2, n)
    way = np.array([-1.0, 1.0])
    alone = np.concatenate((np.eye(_SIDES), np.ones((1, _SIDES))))  # one side, or all
    for w in range(2):
        every = combos.where(np.tile(np.arange(n), len(alone)))
        shift = way[w] * np.repeat(alone, n, axis=0)  # (5 n, 4)
        reached = np.tile(most[w], len(alone))
        holds = _holds(grounds, every, shift * reached[:, None] / 2, limits)
        some = np.flatnonzero(~holds)
        low, high = np.zeros(len(some)), reached[some]
        for _ in range(_HALVINGS if some.size else 0):
            middle = (low + high) / 2
            good = _holds(grounds, every.where(some), shift[some] * middle[:, None] / 2, limits)
            low, high = np.where(good, middle, low), np.where(good, high, middle)
        reached[some] = low
        each = reached.reshape(len(alone), n)
        found[:, 0, w], found[:, 1, w] = each[:_SIDES].min(axis=0), each[_SIDES]
    return found


def landing_margins(grounds: Grounds, combos: Combos, limits: Limits) -> Numbers:
    """The same as far as the sides land, whatever their steps and circles do to each other. Shape (n, 2, 2)."""
    ends = [figure.min(axis=1, initial=np.inf) for figure in (combos.short, combos.long)]
    whole = 2 * np.maximum(np.stack(ends, axis=1), 0.0)
    return np.stack([whole, whole], axis=1)


def _holds(grounds: Grounds, combos: Combos, more: Numbers, limits: Limits) -> Mask:
    """Whether the same circles and counts still land with half sides longer by ``more``, shape (n, 4)."""
    lift, gap = combos.lift.copy(), combos.gap.copy()
    for code in np.unique(combos.meeting).tolist():
        meeting, rows = meeting_of(code), np.flatnonzero(combos.meeting == code)
        if meeting and MEETINGS[meeting].takes == "what is left":
            continue  # the middle takes it up: no circle moves
        some = combos.where(rows)
        half = grounds.half[some.ground] + more[rows]
        height, big, r = (
            np.repeat(a, _SIDES) for a in (grounds.height[some.ground], some.corner_radius, some.r)
        )
        runs = Runs(half_of(meeting), height, big, r, some.k.ravel(), some.middle.ravel())
        eased = runs.ease(half.ravel(), limits.lift, limits.gap)
        lift[rows], gap[rows] = (ease.reshape(-1, _SIDES) for ease in eased)
    height = grounds.height[combos.ground]
    steps = step(height[:, None], combos.r[:, None], lift, gap)
    moved = replace(combos, lift=lift, gap=gap, step=steps)
    with np.errstate(invalid="ignore"):
        like = steps.max(axis=1) <= (1 + limits.mismatch) * steps.min(axis=1)
        return np.asarray(
            like & (steps >= combos.r[:, None] - ROUNDING_IN).all(axis=1) & clear_round_corners(height, moved)
        )
