"""Every combination of counts and middles with which given circles land: complete enumeration on arrays.

Of each pair of opposite sides the counts that both could hold are enumerated with the middles that suit them,
then the ease of each side is one root (planner.border.run); a meeting with an open middle takes what is left and
needs no ease. Both pairs are joined where they stand on the same circles. Nothing is ranked here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from math import inf

import numpy as np
from numpy.typing import NDArray

from planner.border.band import previous_side
from planner.border.meetings import MEETINGS, half_of
from planner.border.run import TURNING, Runs, first, rise, step
from planner.border.tin import diameters
from planner.geometry.arrays import ROUNDING, ROUNDING_IN, Indices, Mask, Numbers, largest, smallest
from planner.plan import SIDES, MeetingKind, Plan
from planner.solver.combos import Combos, Table, Tries, code_of, unlike_times
from planner.solver.effort import Patience
from planner.solver.grounds import Grounds
from planner.solver.limits import Limits
from planner.solver.reaching import estimated_run
from planner.solver.score import sides_score
from planner.solver.weights import WEIGHTS, eased, margin_cost, side_cost, slipping

PAIRS = ((0, 2), (3, 1))  # top and bottom, left and right, as places in SIDES
MOST_CURLS = 100  # of a half side: each is drawn round by hand, and eight hundred are a day of chalk
_RINGS_TO_A_WAY = 4  # so many that may land are asked for each way that is kept: the easiest, by their bounds
_LANDING, _OF_A_WAY = 100, 0.04  # what it takes to land anything, and each way, in curls
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


@dataclass(frozen=True, slots=True)
class _Figures(Table):
    """What some sides cost by: their worst ease and margin; their middles in all, the widest, the narrowest."""

    ease: Numbers
    margin: Numbers
    middle: Numbers
    widest: Numbers
    narrowest: Numbers

    @classmethod
    def of(cls, found: _Landing, limits: Limits) -> _Figures:
        """Of both sides of each landing."""
        middle = found.middle
        return cls(
            eased(found.lift, found.gap, limits),
            smallest(np.minimum(found.short, found.long)),
            middle[:, 0] + middle[:, 1],
            largest(middle),
            smallest(middle),
        )

    @classmethod
    def of_middles(cls, one: Numbers, other: Numbers) -> _Figures:
        """Of two pairs of which nothing is known but their middles."""
        none = np.zeros_like(one)
        return cls(none, none + np.inf, 2 * (one + other), none, none)

    def best_of(self, begin: Indices) -> _Figures:
        """The best of each figure among the rows from each beginning to the next."""
        least, most = np.minimum.reduceat, np.maximum.reduceat
        return _Figures(
            least(self.ease, begin),
            most(self.margin, begin),
            least(self.middle, begin),
            least(self.widest, begin),
            most(self.narrowest, begin),
        )

    def joined(self, other: _Figures) -> _Figures:
        """Of these sides and those."""
        return _Figures(
            np.maximum(self.ease, other.ease),
            np.minimum(self.margin, other.margin),
            self.middle + other.middle,
            np.maximum(self.widest, other.widest),
            np.minimum(self.narrowest, other.narrowest),
        )


@dataclass(frozen=True, slots=True)
class _Ways(Table):
    """Runs that may land on both sides of a pair: row of the tries, count, middle.

    ease: the least that either side asks of it; margin: the most that it can be.
    """

    row: Indices
    k: Numbers
    middle: Numbers
    ease: Numbers
    margin: Numbers

    def __len__(self) -> int:
        return len(self.row)

    @property
    def least_cost(self) -> Numbers:
        """What ease and margin cost at least."""
        return np.asarray(WEIGHTS["ease"] * self.ease + WEIGHTS["margin"] * slipping(self.margin))

    @property
    def figures(self) -> _Figures:
        """What they cost at least."""
        return _Figures(self.ease, self.margin, 2 * self.middle, self.middle, self.middle)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is to land, how many counts of it, and what the sides on each of the tries may cost."""

    plan: Plan
    grounds: Grounds
    tries: Tries
    meeting: MeetingKind | None
    limits: Limits
    few: float
    spare: Numbers | None
    patience: Patience

    def runs(self, row: Indices, k: Numbers, middle: Numbers) -> Runs:
        """Runs of rows of the tries."""
        tries, height = self.tries, self.grounds.height[self.tries.ground[row]]
        return Runs(half_of(self.meeting), height, tries.corner_radius[row], tries.r[row], k, middle)

    def halves(self, pair: tuple[int, int]) -> Numbers:
        """Half spans of two sides, of every try: (n, 2)."""
        return self.grounds.half[self.tries.ground][:, pair]

    def middles(self, pair: tuple[int, int]) -> Numbers:
        """Smallest and largest middle of two sides, of every ground: (g, 2, 2)."""
        return self.grounds.middles(self.plan, self.meeting)[:, pair, :] if self.meeting else np.zeros(0)

    def affordable(self, row: Indices, found: _Figures, **more: Numbers) -> Mask:
        """Which sides on rows of the tries do not cost too much, by these figures and what else is known."""
        if self.spare is None:
            return np.ones(len(row), dtype=bool)
        cost = sides_score(
            self.plan,
            self.limits,
            ease=found.ease,
            margin=found.margin,
            middle=found.middle / len(SIDES),
            unlike=unlike_times(self.meeting) * (found.widest - found.narrowest),
            **more,
        )
        return np.asarray(cost <= self.spare[row])


def landing(
    plan: Plan,
    grounds: Grounds,
    tries: Tries,
    meeting: MeetingKind | None,
    limits: Limits,
    few: int | None = None,
    spare: Numbers | None = None,
    patience: Patience | None = None,
) -> Combos:
    """The combinations of one meeting (None: the run turns on) that land and keep clear, whatever their reach.

    few: of each pair of opposite sides only so many ways to land on the same circles, the cheapest; and only so
    many counts, the highest: still fewer curls on the same circles only ask for more ease.
    spare: what the sides on each of the tries may cost: dearer ones are left out as soon as that is known.
    patience: is told what it took.
    """
    patience = Patience(inf) if patience is None else patience
    patience.spend(_LANDING)
    asked = _Asked(plan, grounds, tries, meeting, limits, inf if few is None else few, spare, patience)
    takes = MEETINGS[meeting].takes if meeting else "nothing"
    pairs = {"nothing": _eased, "a ring": _ringed, "what is left": _left_open}[takes](asked)
    if few and takes == "a ring":  # else there are no more than so many counts
        pairs = [_cheapest(found, tries, limits, few) for found in pairs]
    combos = _join(asked, pairs)
    return combos.where(clear_round_corners(grounds.height[combos.ground], combos))


def _eased(asked: _Asked) -> list[_Landing]:
    """Landings by lift and gap, with every count that both sides of a pair could hold."""
    none = np.zeros(len(asked.tries))
    ends, ways = _Ends(asked, (none, none)), []
    for pair in PAIRS:
        row, k = _counts(asked, ends, asked.halves(pair))
        ways.append(ends.priced(asked, pair, row, k, np.zeros(len(row))))
    return _by_ease(asked, ways)


def _by_ease(asked: _Asked, ways: list[_Ways]) -> list[_Landing]:
    """Where ways of both pairs land: the ease of each side is one root."""
    asked.patience.spend(_OF_A_WAY * sum(map(len, ways)))
    ours, theirs = (_affordable(asked, some, others) for some, others in (ways, ways[::-1]))
    both = _Ways.stacked((ours, theirs))
    half = np.concatenate([asked.halves(pair) for pair in PAIRS])
    pair = np.arange(len(both)) >= len(ours)
    runs, half = asked.runs(both.row, both.k, both.middle), half[both.row + len(asked.tries) * pair].T
    give = runs.give(asked.limits.lift, asked.limits.gap)
    lift, gap = give.ease(half)
    kept = np.flatnonzero(_clear_along(runs, lift, gap).all(axis=0))
    lift, gap, half, runs, pair = lift[:, kept], gap[:, kept], half[:, kept], runs[kept], pair[kept]
    found = _Landing(
        both.row[kept],
        runs.k,
        np.stack((runs.middle, runs.middle), axis=1),
        lift.T,
        gap.T,
        step(runs.height, runs.r, lift, gap).T,
        (half - give.shortest[kept]).T,
        (give.longest[kept] - half).T,
    )
    cheap = asked.affordable(found.row, _Figures.of(found, asked.limits))
    return [found.where(cheap & ~pair), found.where(cheap & pair)]


def _affordable(asked: _Asked, ways: _Ways, others: _Ways) -> _Ways:
    """The ways of a pair that do not cost too much even with the best of the other pair on the same circles."""
    begin = np.flatnonzero(np.diff(others.row, prepend=-1))
    place = np.full(len(asked.tries), -1)
    place[others.row[begin]] = np.arange(len(begin))
    ways = ways.where(place[ways.row] >= 0)
    if asked.spare is None or not len(ways):
        return ways
    best = others.figures.best_of(begin).where(place[ways.row])
    return ways.where(asked.affordable(ways.row, ways.figures.joined(best)))


class _Ends:
    """Every try with a single curl at either end of its ease: with the least of it and the smallest middle, with
    the most and the largest. Its length, and the step to another curl; how fast they grow by lift with the least of
    it, and by gap with all the lift."""

    def __init__(self, asked: _Asked, middles: tuple[Numbers, Numbers]) -> None:
        every, one = np.arange(len(asked.tries)), np.ones(len(asked.tries))
        least, most = (asked.runs(every, one, middle) for middle in middles)
        lift, gap = least.least_ease(asked.limits.lift)
        top = most.top(asked.limits.lift)
        self.runs = least
        self.eases = ((lift, gap), (top, np.full(len(every), asked.limits.gap)))
        self.lengths = least.length(lift, gap), most.length(*self.eases[1])
        self.steps = [step(least.height, least.r, *ease) for ease in self.eases]
        self.apart = gap <= asked.limits.gap
        # under a large corner circle the longest is not where the lift ends
        self.bends = least.height - least.r < least.corner_radius + asked.limits.lift
        h, r, big, raises = least.height, least.r, least.corner_radius, top > lift
        self.begin = first(h, big, r, lift, gap)
        with np.errstate(invalid="ignore", divide="ignore"):
            self.by_lift = [
                np.where(raises, np.maximum(growth, 0.0), 0.0)
                for growth in (
                    (h - r - lift - big) / (self.begin - big),
                    2 * rise(h, r, lift) / self.steps[0],
                )
            ]
            self.by_gap = (
                (big + r + gap) / (first(h, big, r, top, gap) - big),
                (2 * r + gap) / step(h, r, top, gap),
            )

    def priced(
        self, asked: _Asked, pair: tuple[int, int], row: Indices, k: Numbers, middle: Numbers
    ) -> _Ways:
        """Counts and middles on rows of the tries with what they cost at least.

        A length is concave in lift and in gap, so it grows nowhere faster than with the least of them.
        """
        more, meeting, halves = k - 1, self.runs.meeting, asked.halves(pair)[row]
        h, r, least = self.runs.height[row], self.runs.r[row], self.eases[0]
        lift, gap, top = least[0][row], least[1][row], self.eases[1][0][row]
        with np.errstate(invalid="ignore", divide="ignore"):
            half_middle = meeting.length(h, r, middle, lift, gap)
            length = self.begin[row] + more * self.steps[0][row] + half_middle
            by_lift, by_gap = (
                one[row] + more * each[row] + of_middle
                for (one, each), of_middle in zip(
                    (self.by_lift, self.by_gap), meeting.growth(h, r, lift, half_middle), strict=True
                )
            )
            short = largest(halves) - length
            raised = np.fmin(top - lift, short / by_lift)
            opened = np.maximum(short - by_lift * (top - lift), 0.0) / by_gap
        raised, opened = (np.where(self.bends[row], 0.0, some) for some in (raised, opened))
        ease = eased((lift + raised)[:, None], (gap + opened)[:, None], asked.limits)
        return _Ways(row, k, middle, ease, smallest(halves) - length)


def _counts(asked: _Asked, ends: _Ends, halves: Numbers, some: Mask | bool = True) -> tuple[Indices, Numbers]:
    """Every row of some of the tries with every count that both of two half sides (n, 2) could hold.

    A length is linear in the count at either end of the ease; Runs.ease has the last word.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        high = np.floor(1 + (smallest(halves) - ends.lengths[0]) / ends.steps[0] + ROUNDING)
        low = np.ceil(1 + (largest(halves) - ends.lengths[1]) / ends.steps[1] - ROUNDING) - ends.bends
    return _every_count(np.maximum(low, ends.runs.meeting.least), high, ends.apart & some, asked.few)


def _every_count(low: Numbers, high: Numbers, some: Mask, few: float) -> tuple[Indices, Numbers]:
    """Every row of some with every whole count from its low to its high, the highest few of them."""
    some, high = some & np.isfinite(low) & np.isfinite(high), np.minimum(high, MOST_CURLS)
    low = np.where(some, np.maximum(np.maximum(low, high - few + 1), 1), 1)
    high = np.where(some, high, 0)
    row, k = _spread(low.astype(np.int64), high.astype(np.int64))
    return row, k.astype(float)


def _ringed(asked: _Asked) -> list[_Landing]:
    """Landings by lift and gap, with every count and every ring that both sides of a pair could hold.

    A ring may be as wide as what a run leaves without ease, down to what it leaves with all of it.
    """
    at, ways = asked.tries.ground, []
    narrowest = [largest(asked.middles(pair)[..., 0])[at] for pair in PAIRS]
    cheap = asked.affordable(np.arange(len(at)), _Figures.of_middles(*narrowest))
    for pair, least in zip(PAIRS, narrowest, strict=True):
        sizes, halves = asked.middles(pair), asked.halves(pair)
        most = smallest(sizes[..., 1])[at]
        widest = float(most.max(initial=0.0))
        rings = diameters(asked.plan, float(least.min(initial=widest)), widest, _RING_STEPS)
        ends = _Ends(asked, (least, most))
        row, k = _counts(asked, ends, halves, cheap)
        left = [
            _left_for_ring(ends.runs[row], k, half[row], lift[row], gap[row])
            for (lift, gap), half in zip(ends.eases, (smallest(halves), largest(halves)), strict=True)
        ]
        lowest = np.where(ends.bends[row], least[row], np.maximum(left[1], least[row]))
        begin = np.searchsorted(rings, lowest - ROUNDING_IN, side="left")
        end = np.searchsorted(rings, np.minimum(left[0], most[row]) + ROUNDING_IN, side="right")
        which, ring = _spread(begin, end - 1)
        priced = ends.priced(asked, pair, row[which], k[which], rings[ring])
        asked.patience.spend(_OF_A_WAY / 2 * len(priced))
        ways.append(priced.where(_few_of_each(priced.row, priced.least_cost, _RINGS_TO_A_WAY * asked.few)))
    return _by_ease(asked, ways)


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


def _left_open(asked: _Asked) -> list[_Landing]:
    """Landings without ease: the circles touch, and the middle of each side takes what is left."""
    tries, at = asked.tries, asked.tries.ground
    none = np.zeros(len(tries))
    runs = Runs(TURNING, asked.grounds.height[at], tries.corner_radius, tries.r, none + 1, none)
    lift, gap = runs.least_ease(asked.limits.lift)
    touching = (lift == 0) & (gap == 0)
    p, one = step(runs.height, runs.r, lift, gap), runs.length(lift, gap)
    found = []
    for pair in PAIRS:
        sizes = asked.middles(pair)[at]
        left = asked.halves(pair) - (one + runs.r)[:, None]  # half a middle, with a single curl
        with np.errstate(invalid="ignore", divide="ignore"):
            high = np.floor(1 + smallest((left - sizes[..., 0] / 2) / p[:, None]) + ROUNDING)
            low = np.ceil(1 + largest((left - sizes[..., 1] / 2) / p[:, None]) - ROUNDING)
        row, k = _every_count(low, high, touching, asked.few)
        half_middle = left[row] - ((k - 1) * p[row])[:, None]
        flat = np.zeros_like(half_middle)
        landed = _Landing(
            row,
            k,
            2 * half_middle,
            flat,
            flat,
            np.repeat(p[row][:, None], 2, axis=1),
            half_middle - sizes[row, :, 0] / 2,
            sizes[row, :, 1] / 2 - half_middle,
        )
        clear = _clear_along(runs[row], lift[row], gap[row], k)
        found.append(landed.where(clear & asked.affordable(row, _Figures.of(landed, asked.limits))))
    return found


def _cheapest(found: _Landing, tries: Tries, limits: Limits, few: int) -> _Landing:
    """Of each row of tries the landings that cost least in what one pair of sides decides alone."""
    cost = side_cost(found.lift, found.gap, found.step, tries.r[found.row], limits)
    cost += margin_cost(np.minimum(found.short, found.long))
    return found.where(_few_of_each(found.row, cost, few))


def _few_of_each(row: Indices, cost: Numbers, few: float) -> Indices:
    """Places of the cheapest few of each row, the rows rising."""
    order = np.lexsort((cost, row))
    rows = row[order]
    return np.asarray(order[np.arange(len(rows)) - np.searchsorted(rows, rows, side="left") < few])


def _join(asked: _Asked, pairs: list[_Landing]) -> Combos:
    """Landings of top and bottom with those of left and right on the same circles, like in step."""
    (ours, theirs), limits, tries, grounds = pairs, asked.limits, asked.tries, asked.grounds
    begin = np.searchsorted(theirs.row, ours.row, side="left")
    a, b = _spread(begin, np.searchsorted(theirs.row, ours.row, side="right") - 1)
    asked.patience.spend(_OF_A_WAY * len(a))
    longest = np.maximum(largest(ours.step)[a], largest(theirs.step)[b])
    mismatch = longest / np.minimum(smallest(ours.step)[a], smallest(theirs.step)[b]) - 1
    figures, others = (_Figures.of(found, limits) for found in pairs)
    joined = figures.where(a).joined(others.where(b))
    parity = (ours.k[a] - theirs.k[b]) % 2
    cheap = asked.affordable(ours.row[a], joined, mismatch=mismatch, parity=parity)
    kept = (mismatch <= limits.mismatch) & cheap
    a, b = a[kept], b[kept]
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
        meeting=np.full(n, code_of(asked.meeting), dtype=np.intp),
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
