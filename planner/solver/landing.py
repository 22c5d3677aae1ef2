"""Every combination of counts and middles with which given circles land: complete enumeration on arrays.

Of each pair of opposite sides the counts that both could hold are enumerated with the middles that suit them,
then the ease of each side is one root (planner.border.run); a meeting with an open middle takes what is left and
needs no ease. Both pairs are joined where they stand on the same circles. Nothing is ranked here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from planner.border.band import previous_side
from planner.border.meetings import MEETINGS, half_of
from planner.border.run import Runs, first, rise, step
from planner.border.tin import diameters
from planner.geometry.arrays import ROUNDING, ROUNDING_IN, Indices, Mask, Numbers, largest, smallest
from planner.plan import SIDES, MeetingKind, Plan
from planner.solver.combos import Combos, Table, Tries, code_of
from planner.solver.grounds import Grounds
from planner.solver.limits import Limits
from planner.solver.reaching import estimated_run
from planner.solver.weights import margin_cost, side_cost

PAIRS = ((0, 2), (3, 1))  # top and bottom, left and right, as places in SIDES
MOST_CURLS = 100  # of a half side: each is drawn round by hand, and eight hundred are a day of chalk
_RING_STEPS = 2  # rings she would cut go by quarter inches: the ease takes up what is finer
_PREVIOUS = [SIDES.index(previous_side(side)) for side in SIDES]


@dataclass(frozen=True, slots=True)
class _Landing(Table):
    """Where a pair of opposite sides lands: row of the tries, count; all else of both sides, shape (n, 2)."""

    row: Indices
    k: Numbers
    middle: Numbers
    lift: Numbers
    gap: Numbers
    step: Numbers
    short: Numbers
    long: Numbers


def landing(
    plan: Plan,
    grounds: Grounds,
    tries: Tries,
    meeting: MeetingKind | None,
    limits: Limits,
    few: int | None = None,
) -> Combos:
    """The combinations of one meeting (None: the run turns on) that land and keep clear, whatever their reach.

    few: of each pair of opposite sides only so many ways to land on the same circles, the cheapest; and only so
    many counts, the highest: still fewer curls on the same circles only ask for more ease.
    """
    takes = MEETINGS[meeting].takes if meeting else "nothing"
    work = _left_open if takes == "what is left" else _eased
    pairs = [work(plan, grounds, tries, meeting, pair, limits, few or MOST_CURLS) for pair in PAIRS]
    if few:
        pairs = [_cheapest(found, tries, limits, few) for found in pairs]
    combos = _join(grounds, tries, meeting, pairs, limits)
    return combos.where(clear_round_corners(grounds.height[combos.ground], combos))


def _eased(
    plan: Plan,
    grounds: Grounds,
    tries: Tries,
    meeting: MeetingKind | None,
    pair: tuple[int, int],
    limits: Limits,
    few: int,
) -> _Landing:
    """Landings by lift and gap: every count that both sides could hold, and for a ring every size between."""
    if meeting and MEETINGS[meeting].takes == "a ring":
        row, k, middle = _with_rings(plan, grounds, tries, meeting, pair, limits, few)
    else:
        none = np.zeros(len(tries))
        row, k = _counts(
            _Ends(grounds, tries, meeting, (none, none), limits), grounds.half[tries.ground][:, pair], few
        )
        middle = np.zeros(len(row))
    runs = _runs(grounds, tries, meeting, row, k, middle)
    give = runs.give(limits.lift, limits.gap)
    half = grounds.half[tries.ground[row]][:, pair].T
    lift, gap = give.ease(half)
    kept = np.flatnonzero(_clear_along(runs, lift, gap).all(axis=0))
    lift, gap, half, row, runs = lift[:, kept], gap[:, kept], half[:, kept], row[kept], runs[kept]
    return _Landing(
        row,
        runs.k,
        np.stack((runs.middle, runs.middle), axis=1),
        lift.T,
        gap.T,
        step(runs.height, runs.r, lift, gap).T,
        (half - give.shortest[kept]).T,
        (give.longest[kept] - half).T,
    )


def _runs(
    grounds: Grounds, tries: Tries, meeting: MeetingKind | None, row: Indices, k: Numbers, middle: Numbers
) -> Runs:
    """Runs of rows of tries."""
    height = grounds.height[tries.ground[row]]
    return Runs(half_of(meeting), height, tries.corner_radius[row], tries.r[row], k, middle)


class _Ends:
    """Every try with a single curl at either end of its ease: with the least of it and the smallest middle, with
    the most and the largest. Its length, and the step to another curl."""

    def __init__(
        self,
        grounds: Grounds,
        tries: Tries,
        meeting: MeetingKind | None,
        middles: tuple[Numbers, Numbers],
        limits: Limits,
    ) -> None:
        every, one = np.arange(len(tries)), np.ones(len(tries))
        least, most = (_runs(grounds, tries, meeting, every, one, middle) for middle in middles)
        lift, gap = least.least_ease(limits.lift)
        self.runs = least
        self.eases = ((lift, gap), (most.top(limits.lift), np.full(len(tries), limits.gap)))
        self.lengths = least.length(lift, gap), most.length(*self.eases[1])
        self.steps = [step(least.height, least.r, *ease) for ease in self.eases]
        self.apart = gap <= limits.gap
        # under a large corner circle the longest is not where the lift ends
        self.bends = least.height - least.r < least.corner_radius + limits.lift


def _counts(ends: _Ends, halves: Numbers, few: int) -> tuple[Indices, Numbers]:
    """Every row of tries with every count that both of two half sides (n, 2) could hold.

    A length is linear in the count at either end of the ease; Runs.ease has the last word.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        high = np.floor(1 + (smallest(halves) - ends.lengths[0]) / ends.steps[0] + ROUNDING)
        low = np.ceil(1 + (largest(halves) - ends.lengths[1]) / ends.steps[1] - ROUNDING) - ends.bends
    return _every_count(np.maximum(low, ends.runs.meeting.least), high, ends.apart, few)


def _every_count(low: Numbers, high: Numbers, some: Mask, few: int) -> tuple[Indices, Numbers]:
    """Every row of some with every whole count from its low to its high, the highest few of them."""
    some, high = some & np.isfinite(low) & np.isfinite(high), np.minimum(high, MOST_CURLS)
    low = np.where(some, np.maximum(np.maximum(low, high - few + 1), 1), 1)
    high = np.where(some, high, 0)
    row, k = _spread(low.astype(np.int64), high.astype(np.int64))
    return row, k.astype(float)


def _with_rings(
    plan: Plan,
    grounds: Grounds,
    tries: Tries,
    meeting: MeetingKind,
    pair: tuple[int, int],
    limits: Limits,
    few: int,
) -> tuple[Indices, Numbers, Numbers]:
    """Every row of tries with every count and every ring that both sides of a pair could hold.

    A ring may be as wide as what a run leaves without ease, down to what it leaves with all of it.
    """
    sizes, halves = grounds.middles(plan, meeting)[:, pair, :], grounds.half[tries.ground][:, pair]
    least, most = largest(sizes[..., 0])[tries.ground], smallest(sizes[..., 1])[tries.ground]
    widest = float(most.max(initial=0.0))
    rings = diameters(plan, float(least.min(initial=widest)), widest, _RING_STEPS)
    ends = _Ends(grounds, tries, meeting, (least, most), limits)
    row, k = _counts(ends, halves, few)
    left = [
        _left_for_ring(ends.runs[row], k, half[row], lift[row], gap[row])
        for (lift, gap), half in zip(ends.eases, (smallest(halves), largest(halves)), strict=True)
    ]
    lowest = np.where(ends.bends[row], least[row], np.maximum(left[1], least[row]))
    begin = np.searchsorted(rings, lowest - ROUNDING_IN, side="left")
    end = np.searchsorted(rings, np.minimum(left[0], most[row]) + ROUNDING_IN, side="right")
    which, ring = _spread(begin, end - 1)
    return row[which], k[which], rings[ring]


def _left_for_ring(runs: Runs, k: Numbers, half: Numbers, lift: Numbers, gap: Numbers) -> Numbers:
    """Diameter of the ring that touches the k-th circle of a run and stands on the middle of its side."""
    h, r = runs.height, runs.r
    last = first(h, runs.corner_radius, r, lift, gap) + (k - 1) * step(h, r, lift, gap)
    return np.asarray(2 * (np.hypot(np.maximum(half - last, 0.0), rise(h, r, lift) / 2) - r))


def _spread(low: NDArray[np.int64], high: NDArray[np.int64]) -> tuple[Indices, NDArray[np.int64]]:
    """Every row with every whole number from its low to its high: the row, the number."""
    number = np.maximum(0, high - low + 1)
    row = np.repeat(np.arange(len(low)), number)
    return row, low[row] + np.arange(len(row)) - np.repeat(np.cumsum(number) - number, number)


def _left_open(
    plan: Plan,
    grounds: Grounds,
    tries: Tries,
    meeting: MeetingKind | None,
    pair: tuple[int, int],
    limits: Limits,
    few: int,
) -> _Landing:
    """Landings without ease: the circles touch, and the middle of each side takes what is left."""
    assert meeting is not None
    every = np.arange(len(tries))
    runs = _runs(grounds, tries, None, every, np.ones(len(tries)), np.zeros(len(tries)))
    lift, gap = runs.least_ease(limits.lift)
    p, one = step(runs.height, runs.r, lift, gap), runs.length(lift, gap)
    sizes = grounds.middles(plan, meeting)[tries.ground][:, pair, :]
    left = grounds.half[tries.ground][:, pair] - (one + runs.r)[:, None]  # half a middle, with a single curl
    with np.errstate(invalid="ignore", divide="ignore"):
        high = np.floor(1 + smallest((left - sizes[..., 0] / 2) / p[:, None]) + ROUNDING)
        low = np.ceil(1 + largest((left - sizes[..., 1] / 2) / p[:, None]) - ROUNDING)
    row, k = _every_count(low, high, (lift == 0) & (gap == 0), few)
    half_middle = left[row] - ((k - 1) * p[row])[:, None]
    flat = np.zeros_like(half_middle)
    found = _Landing(
        row,
        k,
        2 * half_middle,
        flat,
        flat,
        np.repeat(p[row][:, None], 2, axis=1),
        half_middle - sizes[row, :, 0] / 2,
        sizes[row, :, 1] / 2 - half_middle,
    )
    return found.where(_clear_along(runs[row], lift[row], gap[row], k))


def _cheapest(found: _Landing, tries: Tries, limits: Limits, few: int) -> _Landing:
    """Of each row of tries the landings that cost least in what one pair of sides decides alone."""
    cost = side_cost(found.lift, found.gap, found.step, tries.r[found.row], limits)
    cost += margin_cost(np.minimum(found.short, found.long))
    order = np.lexsort((cost, found.row))
    rows = found.row[order]
    return found.where(order[np.arange(len(rows)) - np.searchsorted(rows, rows, side="left") < few])


def _join(
    grounds: Grounds, tries: Tries, meeting: MeetingKind | None, pairs: list[_Landing], limits: Limits
) -> Combos:
    """Landings of top and bottom with those of left and right on the same circles, like in step."""
    ours, theirs = pairs
    begin = np.searchsorted(theirs.row, ours.row, side="left")
    a, b = _spread(begin, np.searchsorted(theirs.row, ours.row, side="right") - 1)
    longest = np.maximum(largest(ours.step)[a], largest(theirs.step)[b])
    shortest = np.minimum(smallest(ours.step)[a], smallest(theirs.step)[b])
    alike = longest <= (1 + limits.mismatch) * shortest
    a, b = a[alike], b[alike]
    row = ours.row[a]
    ground, n = tries.ground[row], len(a)

    def per_side(of: Callable[[_Landing], Numbers]) -> Numbers:
        found = np.empty((n, 4))
        for pair, landed, index in ((PAIRS[0], ours, a), (PAIRS[1], theirs, b)):
            values = of(landed)[index]
            found[:, pair] = values if values.ndim == 2 else values[:, None]
        return found

    lift = per_side(lambda found: found.lift)
    gap, r = per_side(lambda found: found.gap), tries.r[row]
    return Combos(
        ground=ground,
        tried=row,
        meeting=np.full(n, code_of(meeting), dtype=np.intp),
        corner_radius=tries.corner_radius[row],
        r=r,
        middle=per_side(lambda found: found.middle),
        k=per_side(lambda found: found.k),
        lift=lift,
        gap=gap,
        step=per_side(lambda found: found.step),
        rise=rise(grounds.height[ground][:, None], r[:, None], lift),
        short=per_side(lambda found: found.short),
        long=per_side(lambda found: found.long),
        reach_run=estimated_run(grounds, tries, row, lift, gap, limits),
        reach_ends=np.zeros(n),
    )


def _clear_along(runs: Runs, lift: Numbers, gap: Numbers, k: Numbers | None = None) -> Mask:
    """Whether each run keeps its circles apart: on one row, from the corner circle, and across the middle.

    Runs that do not land (lift and gap nan) do not.
    """
    height, corner_radius, r = runs.height, runs.corner_radius, runs.r
    k = runs.k if k is None else k
    p = step(height, r, lift, gap)
    second = np.hypot(
        first(height, corner_radius, r, lift, gap) + p - corner_radius, r + lift - corner_radius
    )
    clear = (p >= r - ROUNDING_IN) & ((second >= corner_radius + r - ROUNDING_IN) | (k < 2))
    if not runs.meeting.on_middle:
        clear &= runs.meeting.length(height, r, runs.middle, lift, gap) >= r - ROUNDING_IN
    return np.asarray(clear)


def clear_round_corners(height: Numbers, combos: Combos) -> Mask:
    """Whether the first two circles of each side keep clear of those of the side before it.

    The side before sees the corner mirrored in the miter.
    """
    h, r, lift = height[:, None], combos.r[:, None], combos.lift
    u = first(h, combos.corner_radius[:, None], r, lift, combos.gap)
    along, deep = (
        np.stack([u, u + combos.step]),
        np.stack([h - r - lift, r + lift]),
    )  # (2, n, 4): first, second
    along[1] = np.where(combos.k < 2, np.inf, along[1])  # there is no second one
    clear = np.ones(len(combos), dtype=bool)
    least = (2 * combos.r - ROUNDING_IN) ** 2
    for one, other in product(range(2), range(2)):
        x, y = along[one] - deep[other][:, _PREVIOUS], deep[one] - along[other][:, _PREVIOUS]
        clear &= smallest(x * x + y * y) >= least
    return clear
