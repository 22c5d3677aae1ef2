"""The reach of combinations: what a run of circles asks for at the least, and each combination's own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from planner.border import estimates
from planner.border.band import previous_side
from planner.border.meetings import half_of
from planner.border.run import Runs
from planner.geometry.arrays import ROUNDING_IN, Indices, Mask, Numbers, largest, smallest
from planner.plan import SIDES, Plan
from planner.solver.combos import Combos, Tries, meeting_of
from planner.solver.grounds import Grounds
from planner.solver.limits import ENDS_REACH, Limits

_OFF = 0.1  # of the longest plume: how far an estimate may be off
_PREVIOUS = [SIDES.index(previous_side(side)) for side in SIDES]


def within_reach(plan: Plan, grounds: Grounds, limits: Limits, tries: Tries) -> Tries:
    """The circles whose run does not reach too far whatever its ease, with that reach at three eases."""
    at, r = tries.ground, tries.r
    runs = Runs.of(half_of(None), grounds.height[at], tries.corner_radius, r, 1.0, 0.0, len(r))
    least, top = runs.least_ease(limits.lift), runs.top(limits.lift)
    sides = _unlike_sides(grounds)
    eases = (least, (top, least[1]), (top, np.full_like(top, limits.gap)))
    height, size, lift, gap, room = (
        np.concatenate(column)
        for column in zip(
            *((runs.height, r, *ease, grounds.rooms[at, side]) for side in sides for ease in eases),
            strict=True,
        )
    )
    found = _once(
        lambda h, q, x, g, c: estimates.of_runs(h, q, x, g, c, plan.tail_deg), (height, size, lift, gap, room)
    ).reshape(len(sides), len(eases), -1)
    share = (found / grounds.longest[at][:, sides].T[:, None, :]).max(axis=0, initial=0.0).T
    reach = found.max(axis=0, initial=0.0).T
    return replace(tries, reach=reach).where(smallest(share) <= limits.reach + _OFF)


def estimated_run(tries: Tries, row: Indices, lift: Numbers, gap: Numbers, limits: Limits) -> Numbers:
    """The reach of rows of tries with the eases of four sides (n, 4), read off between the three that are known."""
    reaches = tries.reach[row]
    raised = largest(lift) / max(limits.lift, ROUNDING_IN)
    opened = largest(gap) / max(limits.gap, ROUNDING_IN)
    return np.asarray(
        reaches[:, 0] + raised * (reaches[:, 1] - reaches[:, 0]) + opened * (reaches[:, 2] - reaches[:, 1])
    )


def with_corners(plan: Plan, grounds: Grounds, limits: Limits, combos: Combos) -> Combos:
    """The combinations with an estimate of their corners: what these circles ask for with the least ease.

    Those whose estimates are far beyond the limits are left out.
    """
    at, r = combos.ground, combos.r
    runs = Runs.of(half_of(None), grounds.height[at], combos.corner_radius, r, 1.0, 0.0, len(r))
    rooms = largest(grounds.rooms)[at], smallest(grounds.rooms)[at]  # of two widths one lies beside the other
    columns = (runs.height, runs.corner_radius, r, *runs.least_ease(limits.lift), *rooms)
    corners = _once(
        lambda h, b, q, x, g, c, d: estimates.of_corners(
            h, b, q, np.full_like(h, 2), x, g, x, g, c, d, plan.tail_deg
        ),
        columns,
    )
    most = (limits.reach + _OFF) * largest(grounds.longest)[at]
    found = replace(combos, reach_ends=np.maximum(combos.reach_ends, corners))
    return found.where((combos.reach_run <= most) & (corners <= ENDS_REACH * most))


def _unlike_sides(grounds: Grounds) -> list[int]:
    """One side of each width: their rooms are alike whatever the ground."""
    _, sides = np.unique(grounds.rooms, axis=1, return_index=True)
    return sorted(sides.tolist())


def run_reach(plan: Plan, grounds: Grounds, combos: Combos) -> Numbers:
    """The reach of the run of each side, (n, 4)."""
    at = combos.ground
    height, r = np.repeat(grounds.height[at], 4), np.repeat(combos.r, 4)
    columns = (height, r, combos.lift.ravel(), combos.gap.ravel(), grounds.rooms[at].ravel())
    found = _once(lambda h, q, x, g, c: estimates.of_runs(h, q, x, g, c, plan.tail_deg), columns)
    return found.reshape(len(combos), 4)


def with_reach(
    plan: Plan, grounds: Grounds, limits: Limits, combos: Combos, runs: Numbers | None = None
) -> tuple[Combos, Mask]:
    """The combinations with their reach, the worst of the four sides, and which of them do not reach too far.

    runs: of each side's run, where that is known.
    """
    runs = run_reach(plan, grounds, combos) if runs is None else runs
    n, tail = len(combos), plan.tail_deg
    at = combos.ground
    rooms, longest = grounds.rooms[at], grounds.longest[at]
    height = np.repeat(grounds.height[at], 4)
    big, r = np.repeat(combos.corner_radius, 4), np.repeat(combos.r, 4)
    own, beside = rooms.ravel(), rooms[:, _PREVIOUS].ravel()
    lift, gap, k = combos.lift.ravel(), combos.gap.ravel(), combos.k.ravel()
    k = np.minimum(
        k, 2 + k % 2
    )  # more curls than three stand too far off, but which row the last is on counts
    lift_beside, gap_beside = combos.lift[:, _PREVIOUS].ravel(), combos.gap[:, _PREVIOUS].ravel()
    corners = _once(
        lambda h, b, q, k, x, g, y, i, c, d: estimates.of_corners(h, b, q, k, x, g, y, i, c, d, tail),
        (height, big, r, k, lift, gap, lift_beside, gap_beside, own, beside),
    ).reshape(n, 4)
    middles = np.zeros((n, 4))
    for code in np.unique(combos.meeting).tolist():
        meeting, some = meeting_of(code), np.repeat(combos.meeting == code, 4)
        if half_of(meeting).on_middle and meeting is not None:
            middles.reshape(-1)[some] = runs.reshape(-1)[
                some
            ]  # a full circle leaves no more open than the run
        elif meeting is not None:
            columns = (height, np.where(k < 2, big, r), r, k, combos.middle.ravel(), lift, gap, own)
            middles.reshape(-1)[some] = _once(
                lambda h, b, q, k, m, x, g, c, kind=meeting: estimates.of_middles(
                    kind, h, b, q, k, m, x, g, c, tail
                ),
                tuple(column[some] for column in columns),
            )
    at_corner = np.maximum(longest, longest[:, _PREVIOUS])  # plumes of both sides fill it
    shares = np.stack([runs / longest, corners / (ENDS_REACH * at_corner), middles / (ENDS_REACH * longest)])
    ends = largest(np.maximum(corners, middles))
    found = replace(combos, reach_run=largest(runs), reach_ends=ends)
    return found, shares.max(axis=(0, 2), initial=0.0) <= limits.reach


def _once(work: Callable[..., Numbers], columns: tuple[Numbers, ...]) -> Numbers:
    """Work on each distinct row once, spread over all."""
    if not len(columns[0]):
        return np.zeros(0)
    order = np.lexsort(columns)
    new = np.ones(len(order), dtype=bool)
    new[1:] = np.logical_or.reduce([column[order[1:]] != column[order[:-1]] for column in columns])
    back = np.empty(len(order), dtype=np.intp)
    back[order] = np.cumsum(new) - 1
    first = order[new]
    return np.asarray(work(*(column[first] for column in columns))[back])
