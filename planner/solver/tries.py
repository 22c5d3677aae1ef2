"""Which pairs of circles to try: all that fit the corners and the band, fewer where they are very many."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.border.meetings import half_of
from planner.border.room import comfortable_room
from planner.border.run import Runs, first
from planner.border.tin import diameters
from planner.geometry.arrays import ROUNDING_IN, Mask, Numbers
from planner.plan import SIDES, Plan
from planner.solver.combos import Tries
from planner.solver.grounds import Grounds
from planner.solver.limits import Limits

_MOST_TRIES = 2500  # of circles, along a usual side: what is left out of more looks like its neighbours
_MORE_OF_HERS = 4  # times as many: a tin of forty is tried whole; who cuts any has others as good
_COARSER_IN = (1 / 4, 1 / 4, 1 / 2, 1.0, 2.0)  # diameters nearer than that count as alike, one after another
_AT_ONCE, _FEWEST_AT_ONCE = 600, 40  # circles landed in one go
USUAL_FEET, _USUAL_EASE_IN = 10.0, 0.25  # of a side, of lift and gap: up to there, _AT_ONCE


def circles(plan: Plan, some: Grounds, limits: Limits, more: Sequence[float] = ()) -> Tries:
    """All pairs of circles that fit the corners and the band of a ground at all; ``more``: one of those in each."""
    least, widest = 2 * some.smallest.min(initial=np.inf), 2 * some.corner.max(initial=0.0)
    hers = diameters(plan, float(least), float(widest)) / 2
    foreign = np.array([d / 2 for d in more if least <= d <= widest])
    size = np.concatenate((hers, foreign))
    is_foreign = np.arange(len(size)) >= len(hers)
    big, r = size[None, :, None], size[None, None, :]
    column = (slice(None), None, None)
    fits = (
        (r >= some.smallest[column])
        & (2 * r <= some.height[column])
        & (big >= r)
        & (big <= some.corner[column])
    )
    fits &= _apart(some.height, size, limits)[:, None, :]
    if more:
        one, other = is_foreign[None, :, None], is_foreign[None, None, :]
        fits &= (one ^ other) | (one & other & (big == r))
    ground, i, j = np.nonzero(fits)
    return Tries(ground, size[i], size[j], np.zeros((len(ground), 3)))


def clear_at_corner(some: Grounds, tries: Tries, limits: Limits) -> Mask:
    """Whether the first circles of two sides could keep clear of each other round a corner: with no ease, all the
    lift, or all there is. They stand alike on either side of the miter, and the more ease the farther from it.
    """
    height, r = some.height[tries.ground], tries.r
    none, clear = np.zeros(len(tries)), np.zeros(len(tries), dtype=bool)
    for lift, gap in ((0.0, 0.0), (limits.lift, 0.0), (limits.lift, limits.gap)):
        along = first(height, tries.corner_radius, r, none + lift, none + gap)
        clear |= ~(along - (height - r - lift) < np.sqrt(2) * r - ROUNDING_IN)  # nan: that is told later
    return clear


def _at_once(plan: Plan, limits: Limits) -> int:
    """How many circles to land in one go: fewer along a side and with an ease that hold many counts of each."""
    feet = max(plan.sides_in.of(side) for side in SIDES) / 12
    counts = feet * max(_USUAL_EASE_IN, limits.lift + limits.gap) / _USUAL_EASE_IN
    return int(min(_AT_ONCE, max(_FEWEST_AT_ONCE, _AT_ONCE * USUAL_FEET / counts)))


def _most(plan: Plan, limits: Limits) -> int:
    """How many circles to try: along a side that holds many counts of each, fewer give her as many ways."""
    share = _at_once(plan, limits) / _AT_ONCE
    return int(_MOST_TRIES * share * (1 if plan.cut_own else max(1.0, _MORE_OF_HERS * share)))


def thinned(plan: Plan, some: Grounds, tries: Tries, limits: Limits) -> Tries:
    """Fewer of very many circles: every other room, then coarser corner circles, then both coarser and coarser.

    A room or a circle between two others looks like either of them; and who owns sixty circles, or would cut any,
    has others that come out right as well. Of those that count as alike, the one nearest to a whole mark is tried.
    """
    most = _most(plan, limits)
    nearest, apart = int(np.argmin(np.abs(some.room - comfortable_room(plan.fill)))), 1
    for coarse in _COARSER_IN:
        if len(tries) > most:
            apart *= 2
            tries = tries.where((tries.ground - nearest) % apart == 0)
        if len(tries) > most:
            same = tries.corner_radius == tries.r
            tries = tries.where(_one_of_alike(tries.corner_radius, coarse / 2) | same)
        if len(tries) > most and apart > 2:
            tries = tries.where(_one_of_alike(tries.r, coarse / 2))
    return tries


def _one_of_alike(size: Numbers, step: float) -> Mask:
    """Whether each size is, of all that round to its mark, the one nearest to it."""
    own = np.unique(size)
    marks = np.round(own / step)
    order = np.lexsort((np.abs(own / step - marks), marks))
    first = np.unique(marks[order], return_index=True)[1]
    return np.isin(size, own[order][first])


def _apart(height: Numbers, r: Numbers, limits: Limits) -> Mask:
    """Whether circles of one row keep apart with all the ease there is, shape (grounds, sizes)."""
    h, q = (a.ravel() for a in np.broadcast_arrays(height[:, None], r[None, :]))
    runs = Runs.of(half_of(None), h, np.inf, q, 1.0, 0.0)
    with np.errstate(invalid="ignore"):
        return np.asarray(runs.least_ease(limits.lift)[1] <= limits.gap).reshape(len(height), len(r))
