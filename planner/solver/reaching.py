"""The reach of combinations: what touching circles already ask for, and each one's own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from planner import reach
from planner.band import Quilt, previous_side
from planner.plan import SIDES, MeetingKind, Plan
from planner.run import Numbers
from planner.solver.combos import Combos, Tries
from planner.solver.limits import Limits


def slack(lift: Numbers | float, gap: Numbers | float) -> Numbers:
    """The most by which ease shortens a reach (inches).

    It moves a circle by less than twice itself against its neighbour, and a reach by no more than that.
    """
    return np.asarray(2 * (np.asarray(lift) + np.asarray(gap)))


def within_reach(plan: Plan, quilt: Quilt, limits: Limits, big: Numbers, r: Numbers) -> Tries:
    """The pairs whose reach, touching, is not already far too long. Saves landing them in vain."""
    heights = np.unique([quilt.bands[s].height for s in SIDES])
    room, tail, most = plan.fill.room_in, plan.tail_deg, slack(limits.lift, limits.gap)
    sizes, back = np.unique(r, return_inverse=True)
    none = np.zeros(len(sizes))
    runs = np.max(
        [reach.of_runs(np.full(len(sizes), h), sizes, none, none, room, tail) for h in heights], axis=0
    )[back]
    none = np.zeros(len(r))
    tries = Tries(big, r, none, runs, none).where(runs <= limits.longest + most)
    lowest, none = np.full(len(tries), heights[0]), np.zeros(len(tries))
    corners = reach.of_corners(lowest, lowest, tries.big, tries.r, none + 2, none, none, room, tail)
    return replace(tries, reach_corner=corners).where(corners <= limits.reach_ends + most)


def with_reach(plan: Plan, quilt: Quilt, meeting: MeetingKind | None, combos: Combos) -> Combos:
    """The combinations with their reach worked out, worst side each."""
    room, tail, n = plan.fill.room_in, plan.tail_deg, len(combos)
    heights = np.repeat([quilt.bands[s].height for s in SIDES], n)
    beside = np.repeat([quilt.bands[previous_side(s)].height for s in SIDES], n)
    big, r, middle = (np.tile(a, 4) for a in (combos.big, combos.r, combos.middle))
    lift, gap = combos.lift.T.ravel(), combos.gap.T.ravel()
    along, ends = ((np.round(lift * n) / n, np.round(gap * n) / n) for n in (64, 16))  # in: near enough
    one = combos.k.T.ravel() < 2  # only then does the corner circle stand next to the last

    def worst(work: Callable[..., Numbers], *columns: Numbers) -> Numbers:
        return np.asarray(_once(work, columns).reshape(4, n).max(axis=0, initial=0.0))

    return replace(
        combos,
        reach_run=worst(lambda h, r, x, g: reach.of_runs(h, r, x, g, room, tail), heights, r, *along),
        reach_corner=worst(
            lambda h, b, q, r, k, x, g: reach.of_corners(h, b, q, r, k, x, g, room, tail),
            heights,
            beside,
            big,
            r,
            np.where(one, 1.0, 2.0),
            *ends,
        ),
        reach_middle=worst(
            lambda h, q, r, k, m, x, g: reach.of_middles(meeting, h, q, r, k, m, x, g, room, tail),
            heights,
            np.where(one, big, r),
            r,
            np.where(one, 1.0, 2.0),
            middle,
            *ends,
        )
        if meeting
        else combos.reach_middle,
    )


def _once(work: Callable[..., Numbers], columns: tuple[Numbers, ...]) -> Numbers:
    """Work on each distinct row once, spread over all."""
    key = np.zeros(len(columns[0]), dtype=np.int64)
    for column in columns:
        values, place = np.unique(column, return_inverse=True)
        key = key * len(values) + place
    _, first, back = np.unique(key, return_index=True, return_inverse=True)
    return np.asarray(work(*(c[first] for c in columns))[back])
