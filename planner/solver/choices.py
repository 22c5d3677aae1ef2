"""Every combination of circles, counts and meeting that lands: complete enumeration on arrays.

A combination is a pair of circles (R, r), a meeting with its middle, and one count for top and bottom and
one for left and right. For each side the ease it needs is one root (planner.border.run.ease); a combination lives
while no hard limit is passed. Nothing is ranked or dropped here.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from planner.border import meetings, run
from planner.border.band import Band, Quilt, largest_corner, previous_side
from planner.border.tin import coarser, diameters
from planner.geometry.arrays import ROUNDING_IN, Indices, Mask, Numbers
from planner.plan import SIDES, MeetingKind, Plan, SideName
from planner.solver.combos import Combos, Tries, of_kind
from planner.solver.limits import Limits
from planner.solver.reaching import slack, with_reach, within_reach

PAIRS: tuple[tuple[SideName, SideName], ...] = (("top", "bottom"), ("left", "right"))
_MOST_CUT_PAIRS = 2000  # more sizes than that to choose from help nobody, and take seconds


def circle_pairs(plan: Plan, quilt: Quilt, limits: Limits) -> tuple[Numbers, Numbers]:
    """Radii (R, r) of all pairs of circles that fit corners and bands at all. Two arrays of shape (n,).

    Sizes she would cut herself go by every ruler mark while that makes few pairs, else by every other or fourth.
    """
    lowest = min(quilt.bands[s].height for s in SIDES)
    highest = max(quilt.bands[s].height for s in SIDES)
    least = max(limits.smallest_curl, highest / 4)  # below H/4 two touching circles do not span the band
    r = diameters(plan, 2 * least, lowest) / 2
    corner_radius = diameters(plan, 2 * least, 2 * largest_corner(quilt)) / 2
    for marks in (2, 4):
        if plan.cut_own and len(corner_radius) * len(r) > _MOST_CUT_PAIRS:
            corner_radius, r = (coarser(plan, 2 * radii, marks) / 2 for radii in (corner_radius, r))
    i, j = np.nonzero(corner_radius[:, None] >= r[None, :])
    return corner_radius[i], r[j]


def combinations(
    plan: Plan,
    quilt: Quilt,
    meeting: MeetingKind | None,
    limits: Limits,
    pairs: Tries | None = None,
) -> Combos:
    """All combinations of one meeting (None: turning corners) that land and keep every hard limit.

    pairs: the circles within reach, where they are worked out already.
    """
    pairs = pairs or within_reach(plan, quilt, limits, *circle_pairs(plan, quilt, limits))
    return feasible(plan, quilt, meeting, limits, pairs.with_middles(middles(plan, quilt, meeting)))


def feasible(plan: Plan, quilt: Quilt, meeting: MeetingKind | None, limits: Limits, tries: Tries) -> Combos:
    """The combinations of given circles and middles that land and keep every hard limit."""
    return with_reach(plan, quilt, meeting, limits, landing(plan, quilt, meeting, limits, tries))


def landing(plan: Plan, quilt: Quilt, meeting: MeetingKind | None, limits: Limits, tries: Tries) -> Combos:
    """The combinations of given circles and middles that land and keep every limit but that of reach."""
    landed = _landings(quilt, meeting, tries, limits)
    combos = _join(quilt, tries, landed, limits)
    combos = combos.where(of_kind(plan, combos))
    combos = combos.where(_clear_round_corners(quilt, combos))
    if any(quilt.bands[one].height != quilt.bands[other].height for one, other in PAIRS):
        combos = combos.where(_draws(quilt, meeting, combos, limits))
    return combos


def middles(plan: Plan, quilt: Quilt, meeting: MeetingKind | None) -> Numbers:
    """The middles (inches, rising) that all four sides may have with a meeting."""
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

    row: Indices
    k: Numbers
    lift: Numbers
    gap: Numbers
    step: Numbers

    def where(self, mask: Mask) -> _Landing:
        return _Landing(*(getattr(self, f.name)[mask] for f in fields(self)))


def _landings(quilt: Quilt, meeting: MeetingKind | None, tries: Tries, limits: Limits) -> list[_Landing]:
    """For each pair of opposite sides, all counts with which both of them land, for every row of tries."""
    counts = [_counts(quilt, pair, meeting, tries, limits) for pair in PAIRS]
    asked = [(side, *count) for pair, count in zip(PAIRS, counts, strict=True) for side in pair]
    # all four sides in one: most of the time goes into beginning an array, not into its length
    row = np.concatenate([row for _, row, _ in asked])
    height = np.concatenate([np.full(len(row), quilt.own[side].height) for side, row, _ in asked])
    half = np.concatenate([np.full(len(row), quilt.own[side].span / 2) for side, row, _ in asked])
    k = np.concatenate([k for *_, k in asked])
    runs = run.Runs.of(
        meetings.half_of(meeting),
        height,
        tries.corner_radius[row],
        tries.r[row],
        k,
        tries.middle[row],
        len(row),
    )
    lift, gap = runs.ease(half, limits.lift, limits.gap)
    step = run.step(height, runs.r, lift, gap)
    clear = _clear_along(runs, lift, gap)
    found, begin = [], 0
    for row, k in counts:
        n = len(row)
        one, other = slice(begin, begin + n), slice(begin + n, begin + 2 * n)
        both = (np.stack([a[one], a[other]], axis=1) for a in (lift, gap, step))
        found.append(_Landing(row, k, *both).where(clear[one] & clear[other]))
        begin += 2 * n
    return found


def _counts(
    quilt: Quilt,
    pair: tuple[SideName, SideName],
    meeting: MeetingKind | None,
    tries: Tries,
    limits: Limits,
) -> tuple[Indices, Numbers]:
    """Every row of tries with every count that both sides of a pair could hold: the row, the count."""
    ranges = [_count_range(quilt.own[s], meeting, tries, limits) for s in pair]
    low = np.maximum(ranges[0][0], ranges[1][0])
    high = np.minimum(ranges[0][1], ranges[1][1])
    number = np.maximum(0, high - low + 1)
    row = np.repeat(np.arange(len(tries)), number)
    ordinal = np.arange(len(row)) - np.repeat(np.cumsum(number) - number, number)
    return row, (low[row] + ordinal).astype(float)


def _count_range(
    band: Band, meeting: MeetingKind | None, tries: Tries, limits: Limits
) -> tuple[Indices, Indices]:
    """Fewest and most curls a half side could hold: its length is linear in the count at either end of the ease.

    One more is allowed on either side for the runs that lifting shortens; run.ease has the last word.
    """
    height, none, r = np.asarray(band.height), np.zeros(()), tries.r
    lift = np.minimum(limits.lift, np.maximum(0.0, (height - 2 * r) / 2))
    half = band.span / 2
    ones = run.Runs.of(meetings.half_of(meeting), height, tries.corner_radius, r, 1, tries.middle, len(r))
    bounds = []
    for lifted, gap in ((none, none), (lift, np.asarray(limits.gap))):
        p = run.step(height, r, lifted, gap)
        one = ones.length(lifted, gap)
        with np.errstate(divide="ignore", invalid="ignore"):
            bounds.append(1 + (half - one) / p)
    with np.errstate(invalid="ignore"):
        high = np.nan_to_num(np.floor(bounds[0] + 1e-6), nan=-1.0, posinf=-1.0, neginf=-1.0) + 1
        low = np.nan_to_num(np.ceil(bounds[1] - 1e-6), nan=0.0, posinf=0.0, neginf=0.0) - 1
    return np.maximum(1, low).astype(np.int64), np.minimum(high, 1000).astype(np.int64)


def _join(quilt: Quilt, tries: Tries, landed: list[_Landing], limits: Limits) -> Combos:
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
    tried = tries.where(row)
    less = slack(lift, gap).max(axis=1, initial=0.0)
    return Combos(
        tried.corner_radius,
        tried.r,
        tried.middle,
        k,
        lift,
        gap,
        step,
        run.rise(heights, tried.r[:, None], lift),
        tried.reach_run - less,
        tried.reach_corner - less,
        np.zeros(len(a)),
    )


def _clear_along(runs: run.Runs, lift: Numbers, gap: Numbers) -> Mask:
    """Whether each run keeps its circles apart: on one row, from the corner circle, and across the middle.

    Runs that do not land (lift and gap nan) do not.
    """
    height, corner_radius, r = runs.height, runs.corner_radius, runs.r
    step = run.step(height, r, lift, gap)
    second = np.hypot(
        run.first(height, corner_radius, r, lift, gap) + step - corner_radius, r + lift - corner_radius
    )
    clear = (step >= r - ROUNDING_IN) & ((second >= corner_radius + r - ROUNDING_IN) | (runs.k < 2))
    if not runs.meeting.on_middle:
        clear &= runs.meeting.length(height, r, runs.middle, lift, gap) >= r - ROUNDING_IN
    return np.asarray(clear)


def _clear_round_corners(quilt: Quilt, combos: Combos) -> Mask:
    """Whether the first two circles of each side keep clear of those of the side before it."""
    r = combos.r
    least = (2 * r - ROUNDING_IN) ** 2
    positions = {}
    for i, side in enumerate(SIDES):
        height, lift = np.asarray(quilt.bands[side].height), combos.lift[:, i]
        u = run.first(height, combos.corner_radius, r, lift, combos.gap[:, i])
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
    clear, taken = np.ones(len(combos), dtype=bool), meetings.half_of(meeting)
    for i, side in enumerate(SIDES):
        band = quilt.bands[side]
        k, middle = combos.k[:, i], combos.middle
        runs = run.Runs.of(taken, band.height, combos.corner_radius, combos.r, k, middle, len(combos))
        lift, gap = runs.ease(np.asarray(band.span / 2), limits.lift, limits.gap)
        drawn.lift[:, i], drawn.gap[:, i] = lift, gap
        drawn.step[:, i] = run.step(runs.height, combos.r, lift, gap)
        clear &= _clear_along(runs, lift, gap)
    return clear & _clear_round_corners(quilt, drawn)
