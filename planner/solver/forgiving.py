"""What measuring error a layout forgives: how wrong a side may be before its circles or counts change.

A side may be as much shorter or longer as its ease or its open middle takes up on both its halves, while the
steps of the four sides stay alike and the circles round the corners apart. Whether plumes still reach into a middle
that opened by inches is not asked.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from planner.border.meetings import MEETINGS, takes_of
from planner.border.run import Runs, step
from planner.geometry.arrays import ROUNDING, ROUNDING_IN, Indices, Mask, Numbers, largest, smallest
from planner.plan import SIDES
from planner.solver.apart import clear_round_corners
from planner.solver.combos import Combos, halves_of
from planner.solver.grounds import Grounds
from planner.solver.limits import Limits

_PARTS, _PARTINGS = 16, 2  # an error that is not forgiven whole is to a 256th of it
_ENDS = 1 - ROUNDING  # an error right at the end of the ease is forgiven but for rounding
_SIDES = len(SIDES)
_WRONG = np.concatenate((np.eye(_SIDES), np.ones((1, _SIDES))))  # one side alone, or all of them
_CASES = np.concatenate((-_WRONG, _WRONG))  # too short, too long


def forgiven(grounds: Grounds, combos: Combos, limits: Limits) -> Numbers:
    """How much shorter and longer one side may be, then all four alike (inches). Shape (n, 2, 2)."""
    n, found = len(combos), landing_margins(grounds, combos, limits)
    slips = _Slips(grounds, combos, limits)
    row, signs = np.tile(np.arange(n), len(_CASES)), np.repeat(_CASES, n, axis=0)
    reached = np.repeat(found[:, 0, :].T, len(_WRONG), axis=0).ravel() * _ENDS
    some = np.flatnonzero(~slips.hold(row, signs * reached[:, None]))
    row, signs, low, part = row[some], signs[some], np.zeros(len(some)), reached[some]
    parts = np.arange(1, _PARTS)[:, None]
    for _ in range(_PARTINGS):
        part = part / _PARTS
        errors = (low + parts * part)[..., None] * signs  # (parts, some, sides)
        holds = slips.hold(np.tile(row, len(parts)), errors.reshape(-1, _SIDES)).reshape(len(parts), -1)
        low = low + part * np.logical_and.accumulate(holds).sum(axis=0)
    reached[some] = low
    each = reached.reshape(2, len(_WRONG), n)
    found[:, 0], found[:, 1] = each[:, :_SIDES].min(axis=1).T, each[:, _SIDES].T
    return found


def landing_margins(grounds: Grounds, combos: Combos, limits: Limits) -> Numbers:
    """The same as far as the sides land, whatever their steps and circles do to each other. Shape (n, 2, 2)."""
    ends = [smallest(figure) for figure in (combos.short, combos.long)]
    whole = 2 * np.maximum(np.stack(ends, axis=1), 0.0)
    return np.stack([whole, whole], axis=1)


class _Slips:
    """Combinations whose sides turn out to be other than measured."""

    def __init__(self, grounds: Grounds, combos: Combos, limits: Limits) -> None:
        self.combos, self.limits = combos, limits
        self.height, self.half = grounds.height[combos.ground], grounds.half[combos.ground]
        figures = [np.repeat(a, _SIDES) for a in (self.height, combos.corner_radius, combos.r)]
        figures += [combos.k.ravel(), combos.middle.ravel()]
        halves = halves_of(np.repeat(combos.meeting, _SIDES))
        self.give = Runs(halves, *figures).give(limits.lift, limits.gap)
        # where the middle takes up what is wrong no circle moves
        opened = np.array([takes_of(meeting) == "what is left" for meeting in (*MEETINGS, None)])
        self.moves = ~opened[combos.meeting]

    def hold(self, row: Indices, off: Numbers) -> Mask:
        """Whether rows of the combinations still land with sides longer by ``off``, (m, sides), with the same
        circles and counts."""
        combos, height = self.combos.where(row), self.height[row]
        lift, gap, cells = combos.lift, combos.gap, np.nonzero((off != 0) & self.moves[row, None])
        at, side = row[cells[0]], cells[1]
        lift[cells], gap[cells] = self.give[at * _SIDES + side].ease(self.half[at, side] + off[cells] / 2)
        steps = step(height[:, None], combos.r[:, None], lift, gap)
        with np.errstate(invalid="ignore"):
            alike = largest(steps) <= (1 + self.limits.mismatch) * smallest(steps)
            apart = smallest(steps) >= combos.r - ROUNDING_IN
            return alike & apart & clear_round_corners(height, replace(combos, step=steps))
