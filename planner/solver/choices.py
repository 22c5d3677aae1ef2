"""Every combination of circles, counts and meeting that lands: complete enumeration on arrays.

A combination is a pair of circles (R, r), a meeting with its middle, and one count for top and bottom and
one for left and right. For each side the ease it needs is one root (planner.run.ease); a combination lives
while no hard limit is passed. Nothing is ranked or dropped here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from planner import meetings, reach, run
from planner.band import Band, Quilt, largest_corner, previous_side
from planner.plan import SIDES, Choice, Counts, MeetingKind, Plan, SideName
from planner.run import Numbers
from planner.solver.limits import LEVEL_RISE, Limits
from planner.tin import coarser, diameters

Mask = NDArray[np.bool_]

PAIRS: tuple[tuple[SideName, SideName], ...] = (("top", "bottom"), ("left", "right"))
_MOST_CUT_PAIRS = 2000  # more sizes than that to choose from help nobody, and take seconds
_OVERLAP_IN = 1e-9  # circles may touch; floats may say so with this much error


@dataclass(frozen=True, slots=True)
class Combos:
    """n combinations, one row each. Lengths in inches; per-side arrays have shape (n, 4) in the order of SIDES.

    k: curls of a half side (a turning side holds 2k − 1). reach columns are 0 until they are worked out.
    """

    big: Numbers
    r: Numbers
    middle: Numbers
    k: Numbers
    lift: Numbers
    gap: Numbers
    step: Numbers
    rise: Numbers
    reach_run: Numbers
    reach_corner: Numbers
    reach_middle: Numbers

    def __len__(self) -> int:
        return len(self.big)

    def where(self, mask: Mask | NDArray[np.intp]) -> Combos:
        return Combos(*(getattr(self, f.name)[mask] for f in fields(self)))

    @property
    def mismatch(self) -> Numbers:
        """Share by which the largest step of the four sides exceeds the smallest."""
        return np.asarray(self.step.max(axis=1) / self.step.min(axis=1) - 1)

    @property
    def reach_ends(self) -> Numbers:
        """Reach where a run ends: in its corner or its middle."""
        return np.maximum(self.reach_corner, self.reach_middle)


def circle_pairs(plan: Plan, quilt: Quilt, limits: Limits) -> tuple[Numbers, Numbers]:
    """Radii (R, r) of all pairs of circles that fit corners and bands at all. Two arrays of shape (n,).

    Sizes she would cut herself go by every ruler mark while that makes few pairs, else by every other or fourth.
    """
    lowest = min(quilt.bands[s].height for s in SIDES)
    highest = max(quilt.bands[s].height for s in SIDES)
    least = max(limits.smallest_curl, highest / 4)  # below H/4 two touching circles do not span the band
    r = diameters(plan, 2 * least, lowest) / 2
    big = diameters(plan, 2 * least, 2 * largest_corner(quilt)) / 2
    for marks in (2, 4):
        if plan.cut_own and len(big) * len(r) > _MOST_CUT_PAIRS:
            big, r = (coarser(plan, 2 * radii, marks) / 2 for radii in (big, r))
    i, j = np.nonzero(big[:, None] >= r[None, :])
    return big[i], r[j]


def within_reach(
    plan: Plan, quilt: Quilt, limits: Limits, big: Numbers, r: Numbers
) -> tuple[Numbers, Numbers]:
    """The pairs whose reach, touching, is not already far too long. Saves landing them in vain.

    Ease moves a circle by less than twice itself against its neighbour, and a reach by no more than that.
    """
    heights = np.array([quilt.bands[s].height for s in SIDES])
    room, tail, slack = plan.fill.room_in, plan.tail_deg, 2 * (limits.lift + limits.gap)
    keep = np.ones(len(r), dtype=bool)
    sizes, back = np.unique(r, return_inverse=True)
    for height in np.unique(heights):
        none = np.zeros(len(sizes))
        keep &= (
            reach.of_runs(np.full(len(sizes), height), sizes, none, none, room, tail)
            <= limits.longest + slack
        )[back]
    lowest = np.full(keep.sum(), heights.min())
    none = np.zeros(len(lowest))
    found = reach.of_corners(lowest, lowest, big[keep], r[keep], none + 2, none, none, room, tail)
    keep[keep] = found <= limits.reach_ends + slack
    return big[keep], r[keep]


def combinations(
    plan: Plan,
    quilt: Quilt,
    meeting: MeetingKind | None,
    limits: Limits,
    pairs: tuple[Numbers, Numbers] | None = None,
    every: int = 1,
) -> Combos:
    """All combinations of one meeting (None: turning corners) that land and keep every hard limit.

    pairs: the circles within reach, where they are worked out already; every: try only each so manieth middle.
    """
    big, r = pairs or within_reach(plan, quilt, limits, *circle_pairs(plan, quilt, limits))
    middles = _middles(plan, quilt, meeting)[::every]
    rows = (a.ravel() for a in np.broadcast_arrays(big[:, None], r[:, None], middles[None, :]))
    return landing(plan, quilt, meeting, limits, *rows)


def landing(
    plan: Plan,
    quilt: Quilt,
    meeting: MeetingKind | None,
    limits: Limits,
    big: Numbers,
    r: Numbers,
    middle: Numbers,
) -> Combos:
    """The combinations of given circles and middles (arrays of shape (n,)) that land and keep every limit."""
    landed = [_landings(quilt, pair, meeting, big, r, middle, limits) for pair in PAIRS]
    combos = _join(quilt, meeting, big, r, middle, landed, limits)
    combos = combos.where(of_kind(plan, combos))
    combos = combos.where(_clear_round_corners(quilt, combos))
    if any(quilt.bands[one].height != quilt.bands[other].height for one, other in PAIRS):
        combos = combos.where(_draws(quilt, meeting, combos, limits))
    combos = _with_reach(plan, quilt, meeting, combos)
    return combos.where((combos.reach_run <= limits.longest) & (combos.reach_ends <= limits.reach_ends))


def _middles(plan: Plan, quilt: Quilt, meeting: MeetingKind | None) -> Numbers:
    if meeting is None:
        return np.zeros(1)
    per_side = [meetings.MEETINGS[meeting].middles(plan, quilt.bands[s]) for s in SIDES]
    shared = per_side[0]
    for more in per_side[1:]:
        shared = np.intersect1d(shared, more)
    return np.asarray(shared, dtype=float)


@dataclass(frozen=True, slots=True)
class _Landing:
    """Where a pair of opposite sides lands: row of the circles, count; lift, gap, step of both sides (n, 2)."""

    row: NDArray[np.intp]
    k: Numbers
    lift: Numbers
    gap: Numbers
    step: Numbers

    def where(self, mask: Mask) -> _Landing:
        return _Landing(*(getattr(self, f.name)[mask] for f in fields(self)))


def _landings(
    quilt: Quilt,
    pair: tuple[SideName, SideName],
    meeting: MeetingKind | None,
    big: Numbers,
    r: Numbers,
    middle: Numbers,
    limits: Limits,
) -> _Landing:
    """All counts with which both sides of a pair land, for every row of circles and middle."""
    ranges = [_count_range(quilt.own[s], meeting, big, r, middle, limits) for s in pair]
    low = np.maximum(ranges[0][0], ranges[1][0])
    high = np.minimum(ranges[0][1], ranges[1][1])
    number = np.maximum(0, high - low + 1)
    row = np.repeat(np.arange(len(big)), number)
    ordinal = np.arange(len(row)) - np.repeat(np.cumsum(number) - number, number)
    k = low[row] + ordinal
    landing = _Landing(row, k.astype(float), *(np.empty((len(row), 2)) for _ in range(3)))
    lands = np.ones(len(row), dtype=bool)
    for i, side in enumerate(pair):
        height, half = np.asarray(quilt.own[side].height), np.asarray(quilt.own[side].span / 2)
        runs = run.Runs.of(meeting, height, big[row], r[row], k, middle[row], len(row))
        lift, gap = runs.ease(half, limits.lift, limits.gap)
        landing.lift[:, i], landing.gap[:, i] = lift, gap
        landing.step[:, i] = run.step(height, r[row], lift, gap)
        lands &= _clear_along(runs, lift, gap)
    return landing.where(lands)


def _count_range(
    band: Band, meeting: MeetingKind | None, big: Numbers, r: Numbers, middle: Numbers, limits: Limits
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Fewest and most curls a half side could hold: its length is linear in the count at either end of the ease.

    One more is allowed on either side for the runs that lifting shortens; planner.run.ease has the last word.
    """
    height, none = np.asarray(band.height), np.zeros(())
    lift = np.minimum(limits.lift, np.maximum(0.0, (height - 2 * r) / 2))
    half = band.span / 2
    bounds = []
    for lifted, gap in ((none, none), (lift, np.asarray(limits.gap))):
        p = run.step(height, r, lifted, gap)
        one = run.Runs.of(meeting, height, big, r, 1, middle, len(r)).length(lifted, gap)
        with np.errstate(divide="ignore", invalid="ignore"):
            bounds.append(1 + (half - one) / p)
    with np.errstate(invalid="ignore"):
        high = np.nan_to_num(np.floor(bounds[0] + 1e-6), nan=-1.0, posinf=-1.0, neginf=-1.0) + 1
        low = np.nan_to_num(np.ceil(bounds[1] - 1e-6), nan=0.0, posinf=0.0, neginf=0.0) - 1
    return np.maximum(1, low).astype(np.int64), np.minimum(high, 1000).astype(np.int64)


def _join(
    quilt: Quilt,
    meeting: MeetingKind | None,
    big: Numbers,
    r: Numbers,
    middle: Numbers,
    landed: list[_Landing],
    limits: Limits,
) -> Combos:
    """Landings of top and bottom with those of left and right on the same circles and middle, like in step."""
    ours, theirs = landed
    begin = np.searchsorted(theirs.row, ours.row, side="left")
    number = np.searchsorted(theirs.row, ours.row, side="right") - begin
    a = np.repeat(np.arange(len(ours.row)), number)
    b = np.repeat(begin - (np.cumsum(number) - number), number) + np.arange(len(a))
    longest = np.maximum(ours.step.max(axis=1, initial=0.0)[a], theirs.step.max(axis=1, initial=0.0)[b])
    shortest = np.minimum(
        ours.step.min(axis=1, initial=np.inf)[a], theirs.step.min(axis=1, initial=np.inf)[b]
    )
    alike = longest / shortest - 1 <= limits.mismatch
    a, b = a[alike], b[alike]
    row = ours.row[a]
    k, lift, gap, step = (np.empty((len(a), 4)) for _ in range(4))
    for pair, landing, index in ((PAIRS[0], ours, a), (PAIRS[1], theirs, b)):
        for column, side in enumerate(pair):
            at = SIDES.index(side)
            k[:, at] = landing.k[index]
            lift[:, at] = landing.lift[index, column]
            gap[:, at] = landing.gap[index, column]
            step[:, at] = landing.step[index, column]
    heights = np.array([quilt.bands[s].height for s in SIDES])
    radius = r[row, None]
    none = np.zeros(len(a))
    return Combos(
        big[row],
        r[row],
        middle[row],
        k,
        lift,
        gap,
        step,
        run.rise(heights, radius, lift),
        none,
        none,
        none,
    )


def of_kind(plan: Plan, combos: Combos) -> Mask:
    """Whether each run is of the kind she asked for."""
    level = is_level(combos)
    match plan.run:
        case "level":
            return level
        case "rolling":
            return ~level
        case _:
            return np.ones(len(combos), dtype=bool)


def choice_of(plan: Plan, meeting: MeetingKind | None, combos: Combos, i: int) -> Choice:
    """Row i as the choice it stands for."""
    k = combos.k[i].astype(int)
    counts = k if plan.corner == "mirrored" else 2 * k - 1
    return Choice(
        corner_diameter_in=float(2 * combos.big[i]),
        run_diameter_in=float(2 * combos.r[i]),
        meeting=meeting,
        middle_in=float(combos.middle[i]),
        counts=Counts(**{side: int(counts[j]) for j, side in enumerate(SIDES)}),
    )


def is_level(combos: Combos) -> Mask:
    return np.asarray(combos.rise.max(axis=1) <= LEVEL_RISE * combos.r)


def _clear_along(runs: run.Runs, lift: Numbers, gap: Numbers) -> Mask:
    """Whether each run keeps its circles apart: on one row, from the corner circle, and across the middle.

    Runs that do not land (lift and gap nan) do not.
    """
    height, big, r = runs.height, runs.big, runs.r
    step = run.step(height, r, lift, gap)
    second = np.hypot(run.first(height, big, r, lift, gap) + step - big, r + lift - big)
    clear = (step >= r - _OVERLAP_IN) & ((second >= big + r - _OVERLAP_IN) | (runs.k < 2))
    if runs.meeting is not None:
        clear &= run.half_middle(runs.meeting, height, r, runs.middle, lift, gap) >= r - _OVERLAP_IN
    return np.asarray(clear)


def _clear_round_corners(quilt: Quilt, combos: Combos) -> Mask:
    """Whether the first two circles of each side keep clear of those of the side before it."""
    r = combos.r
    least = (2 * r - _OVERLAP_IN) ** 2
    positions = {}
    for i, side in enumerate(SIDES):
        height, lift = np.asarray(quilt.bands[side].height), combos.lift[:, i]
        u = run.first(height, combos.big, r, lift, combos.gap[:, i])
        positions[side] = ((u, height - r - lift), (u + combos.step[:, i], r + lift))
    clear = np.ones(len(combos), dtype=bool)
    for side in SIDES:
        for u, h in positions[side]:
            for v, g in positions[previous_side(side)]:
                # the side before sees this corner mirrored in the miter
                clear &= (u - g) ** 2 + (h - v) ** 2 >= least
    return clear


def _draws(quilt: Quilt, meeting: MeetingKind | None, combos: Combos, limits: Limits) -> Mask:
    """Whether the picture, whose sides have the mean length of opposite sides, lands and keeps clear as well.

    Between two bands of one height it always does: its ease lies between theirs.
    """
    drawn = replace(combos, lift=combos.lift.copy(), gap=combos.gap.copy(), step=combos.step.copy())
    clear = np.ones(len(combos), dtype=bool)
    for i, side in enumerate(SIDES):
        band = quilt.bands[side]
        runs = run.Runs.of(
            meeting, band.height, combos.big, combos.r, combos.k[:, i], combos.middle, len(combos)
        )
        lift, gap = runs.ease(np.asarray(band.span / 2), limits.lift, limits.gap)
        drawn.lift[:, i], drawn.gap[:, i] = lift, gap
        drawn.step[:, i] = run.step(runs.height, combos.r, lift, gap)
        clear &= _clear_along(runs, lift, gap)
    return clear & _clear_round_corners(quilt, drawn)


def _with_reach(plan: Plan, quilt: Quilt, meeting: MeetingKind | None, combos: Combos) -> Combos:
    """The combinations with their reach worked out, worst side each."""
    room, tail, n = plan.fill.room_in, plan.tail_deg, len(combos)
    heights = np.repeat([quilt.bands[s].height for s in SIDES], n)
    beside = np.repeat([quilt.bands[previous_side(s)].height for s in SIDES], n)
    big, r, middle = (np.tile(a, 4) for a in (combos.big, combos.r, combos.middle))
    lift, gap = combos.lift.T.ravel(), combos.gap.T.ravel()
    about = np.round(lift * 16) / 16, np.round(gap * 16) / 16  # near enough where a run ends
    one = combos.k.T.ravel() < 2  # only then does the corner circle stand next to the last

    def worst(work: Callable[..., Numbers], *columns: Numbers) -> Numbers:
        return np.asarray(_once(work, columns).reshape(4, n).max(axis=0, initial=0.0))

    return replace(
        combos,
        reach_run=worst(lambda h, r, x, g: reach.of_runs(h, r, x, g, room, tail), heights, r, lift, gap),
        reach_corner=worst(
            lambda h, b, q, r, k, x, g: reach.of_corners(h, b, q, r, k, x, g, room, tail),
            heights,
            beside,
            big,
            r,
            np.where(one, 1.0, 2.0),
            *about,
        ),
        reach_middle=worst(
            lambda h, q, r, k, m, x, g: reach.of_middles(meeting, h, q, r, k, m, x, g, room, tail),
            heights,
            np.where(one, big, r),
            r,
            np.where(one, 1.0, 2.0),
            middle,
            *about,
        )
        if meeting
        else combos.reach_middle,
    )


def _once(work: Callable[..., Numbers], columns: tuple[Numbers, ...]) -> Numbers:
    """Work on each distinct row once (to a 64th of an inch, which moves a reach by less), spread over all."""
    key = np.zeros(len(columns[0]), dtype=np.int64)
    for column in columns:
        marks = np.round(column * 64).astype(np.int64)
        marks -= marks.min(initial=0)
        key = key * (marks.max(initial=0) + 1) + marks
    _, first, back = np.unique(key, return_index=True, return_inverse=True)
    return np.asarray(work(*(c[first] for c in columns))[back])
