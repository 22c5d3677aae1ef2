"""The reach of combinations: what touching circles already ask for, and each one's own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from planner.border import reach
from planner.border.band import Quilt, previous_side
from planner.border.room import comfortable_room
from planner.geometry.arrays import Numbers
from planner.plan import SIDES, MeetingKind, Plan
from planner.solver.combos import Combos, Tries
from planner.solver.limits import Limits


def slack(lift: Numbers | float, gap: Numbers | float) -> Numbers:
    """The most by which ease shortens a reach (inches).

    It moves a circle by less than twice itself against its neighbour, and a reach by no more than that.
    """
    return np.asarray(2 * (np.asarray(lift) + np.asarray(gap)))


def within_reach(plan: Plan, quilt: Quilt, limits: Limits, corner_radius: Numbers, r: Numbers) -> Tries:
    """The pairs whose reach, touching, is not already far too long. Saves landing them in vain."""
    heights = np.unique([quilt.bands[s].height for s in SIDES])
    room, tail, most = comfortable_room(plan.fill), plan.tail_deg, slack(limits.lift, limits.gap)
    sizes, back = np.unique(r, return_inverse=True)
    none = np.zeros(len(sizes))
    runs = np.max(
        [reach.of_runs(np.full(len(sizes), h), sizes, none, none, room, tail) for h in heights], axis=0
    )[back]
    none = np.zeros(len(r))
    tries = Tries(corner_radius, r, none, runs, none).where(runs <= limits.longest + most)
    lowest, none = np.full(len(tries), heights[0]), np.zeros(len(tries))
    corners = reach.of_corners(lowest, lowest, tries.corner_radius, tries.r, none + 2, none, none, room, tail)
    return replace(tries, reach_corner=corners).where(corners <= limits.reach_ends + most)


def with_reach(
    plan: Plan, quilt: Quilt, meeting: MeetingKind | None, limits: Limits, combos: Combos
) -> Combos:
    """The combinations that do not reach too far, with their reach, the worst of the four sides."""
    longest, ends = limits.longest, limits.reach_ends
    combos = combos.where((combos.reach_run <= longest) & (combos.reach_corner <= ends))  # at least that far
    room, tail = comfortable_room(plan.fill), plan.tail_deg

    def worst(work: Callable[..., Numbers], *columns: Numbers) -> Numbers:
        return np.asarray(_once(work, columns).reshape(4, -1).max(axis=0, initial=0.0))

    height, _, _, r, *ease = _sides(quilt, combos, 64)
    runs = worst(lambda h, q, x, g: reach.of_runs(h, q, x, g, room, tail), height, r, *ease)
    combos = replace(combos, reach_run=runs).where(runs <= longest)

    height, beside, corner_radius, r, *ease = _sides(quilt, combos, 16)
    one = combos.k.T.ravel() < 2  # only then does the corner circle stand next to the last
    number = np.where(one, 1.0, 2.0)
    corners = worst(
        lambda h, b, corner_radius, q, k, x, g: reach.of_corners(h, b, corner_radius, q, k, x, g, room, tail),
        *(height, beside, corner_radius, r, number, *ease),
    )
    middles = np.zeros(len(combos))
    if meeting:
        middles = worst(
            lambda h, corner_radius, q, k, m, x, g: reach.of_middles(
                meeting, h, corner_radius, q, k, m, x, g, room, tail
            ),
            *(height, np.where(one, corner_radius, r), r, number, np.tile(combos.middle, 4), *ease),
        )
    combos = replace(combos, reach_corner=corners, reach_middle=middles)
    return combos.where(combos.reach_ends <= ends)


def _sides(quilt: Quilt, combos: Combos, marks: int) -> list[Numbers]:
    """All combinations side by side: band, the band beside its corner, circles, lift and gap. Shape (4 n,) each.

    Ease goes by marks of an inch: near enough for a reach, and many combinations then share one.
    """
    n = len(combos)
    heights = np.repeat([quilt.bands[s].height for s in SIDES], n)
    beside = np.repeat([quilt.bands[previous_side(s)].height for s in SIDES], n)
    eases = (np.round(ease.T.ravel() * marks) / marks for ease in (combos.lift, combos.gap))
    return [heights, beside, np.tile(combos.corner_radius, 4), np.tile(combos.r, 4), *eases]


def _once(work: Callable[..., Numbers], columns: tuple[Numbers, ...]) -> Numbers:
    """Work on each distinct row once, spread over all."""
    key = np.zeros(len(columns[0]), dtype=np.int64)
    for column in columns:
        values, place = np.unique(column, return_inverse=True)
        key = key * len(values) + place
    _, first, back = np.unique(key, return_index=True, return_inverse=True)
    return np.asarray(work(*(c[first] for c in columns))[back])
