"""Every combination of counts and middles with which given circles land: complete enumeration on arrays.

Of each pair of opposite sides the counts that both could hold are enumerated with the middles that suit them,
then the ease of each side is one root (planner.border.run); a meeting with an open middle takes what is left and
needs no ease. Both pairs are joined where they stand on the same circles. Nothing is ranked here.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

import numpy as np

from planner.border.meetings import takes_of
from planner.border.run import TURNING, Runs, first, rise, step
from planner.border.tin import diameters
from planner.geometry.arrays import ROUNDING, ROUNDING_IN, Indices, Numbers, largest, smallest
from planner.plan import MeetingKind, Plan
from planner.solver.apart import clear_along, clear_round_corners
from planner.solver.combos import Combos, Tries
from planner.solver.counts import Ends, counts_of, every_count, spread
from planner.solver.effort import Patience
from planner.solver.grounds import Grounds
from planner.solver.joining import join
from planner.solver.limits import Limits
from planner.solver.ways import OF_A_WAY, PAIRS, Asked, Figures, Landing, Ways
from planner.solver.weights import margin_cost, side_cost

_RINGS_TO_A_WAY = 4  # so many that may land are asked for each way that is kept: the easiest, by their bounds
_LANDING = 100  # what it takes to land anything, in curls
_RING_STEPS = 2  # rings she would cut go by quarter inches: the ease takes up what is finer


def landing(
    plan: Plan,
    grounds: Grounds,
    tries: Tries,
    meetings: Sequence[MeetingKind | None],
    limits: Limits,
    few: int | None = None,
    spare: Numbers | None = None,
    patience: Patience | None = None,
) -> Combos:
    """The combinations of meetings that take the same (None: the run turns on) that land and keep clear, whatever
    their reach.

    few: of each pair of opposite sides only so many ways to land on the same circles, the cheapest; and only so
    many counts, the highest: still fewer curls on the same circles only ask for more ease.
    spare: what the sides on each of the tries may cost: dearer ones are left out as soon as that is known.
    patience: is told what it took.
    """
    patience = Patience(inf) if patience is None else patience
    patience.spend(_LANDING * len(meetings))
    asked = Asked(plan, grounds, tries, meetings, limits, inf if few is None else few, spare, patience)
    (takes,) = {takes_of(meeting) for meeting in meetings}
    pairs = {"nothing": _eased, "a ring": _ringed, "what is left": _left_open}[takes](asked)
    if few and takes == "a ring":  # else there are no more than so many counts
        pairs = [_cheapest(found, asked.tries, limits, few) for found in pairs]
    combos = join(asked, pairs)
    return combos.where(clear_round_corners(grounds.height[combos.ground], combos))


def _eased(asked: Asked) -> list[Landing]:
    """Landings by lift and gap, with every count that both sides of a pair could hold."""
    none = np.zeros(len(asked.tries))
    ends, ways = Ends(asked, (none, none)), []
    for pair in PAIRS:
        row, k = counts_of(asked, ends, asked.halves(pair))
        ways.append(ends.priced(asked, pair, row, k, np.zeros(len(row))))
    return _by_ease(asked, ways)


def _by_ease(asked: Asked, ways: list[Ways]) -> list[Landing]:
    """Where ways of both pairs land: the ease of each side is one root."""
    asked.patience.spend(OF_A_WAY * sum(map(len, ways)))
    ours, theirs = (_affordable(asked, some, others) for some, others in (ways, ways[::-1]))
    both = Ways.stacked((ours, theirs))
    half = np.concatenate([asked.halves(pair) for pair in PAIRS])
    pair = np.arange(len(both)) >= len(ours)
    runs, half = asked.runs(both.row, both.k, both.middle), half[both.row + len(asked.tries) * pair].T
    give = runs.give(asked.limits.lift, asked.limits.gap)
    lift, gap = give.ease(half)
    kept = np.flatnonzero(clear_along(runs, lift, gap).all(axis=0))
    lift, gap, half, runs, pair = lift[:, kept], gap[:, kept], half[:, kept], runs[kept], pair[kept]
    found = Landing(
        both.row[kept],
        runs.k,
        np.stack((runs.middle, runs.middle), axis=1),
        lift.T,
        gap.T,
        step(runs.height, runs.r, lift, gap).T,
        (half - give.shortest[kept]).T,
        (give.longest[kept] - half).T,
    )
    cheap = asked.affordable(found.row, Figures.of(found, asked.limits))
    return [found.where(cheap & ~pair), found.where(cheap & pair)]


def _affordable(asked: Asked, ways: Ways, others: Ways) -> Ways:
    """The ways of a pair that do not cost too much even with the best of the other pair on the same circles."""
    begin = np.flatnonzero(np.diff(others.row, prepend=-1))
    place = np.full(len(asked.tries), -1)
    place[others.row[begin]] = np.arange(len(begin))
    ways = ways.where(place[ways.row] >= 0)
    if asked.spare is None or not len(ways):
        return ways
    best = others.figures.best_of(begin).where(place[ways.row])
    return ways.where(asked.affordable(ways.row, ways.figures.joined(best)))


def _ringed(asked: Asked) -> list[Landing]:
    """Landings by lift and gap, with every count and every ring that both sides of a pair could hold.

    A ring may be as wide as what a run leaves without ease, down to what it leaves with all of it.
    """
    ways, middles = list[Ways](), [asked.middles(pair) for pair in PAIRS]
    narrowest = [largest(sizes[..., 0]) for sizes in middles]
    cheap = asked.affordable(np.arange(len(asked.tries)), Figures.of_middles(*narrowest))
    for pair, sizes, least in zip(PAIRS, middles, narrowest, strict=True):
        halves = asked.halves(pair)
        most = smallest(sizes[..., 1])
        widest = float(most.max(initial=0.0))
        rings = diameters(asked.plan, float(least.min(initial=widest)), widest, _RING_STEPS)
        ends = Ends(asked, (least, most))
        row, k = counts_of(asked, ends, halves, cheap)
        left = [
            _left_for_ring(ends.runs[row], k, half[row], lift[row], gap[row])
            for (lift, gap), half in zip(ends.eases, (smallest(halves), largest(halves)), strict=True)
        ]
        lowest = np.where(ends.bends[row], least[row], np.maximum(left[1], least[row]))
        begin = np.searchsorted(rings, lowest - ROUNDING_IN, side="left")
        end = np.searchsorted(rings, np.minimum(left[0], most[row]) + ROUNDING_IN, side="right")
        which, ring = spread(begin, end - 1)
        priced = ends.priced(asked, pair, row[which], k[which], rings[ring])
        asked.patience.spend(OF_A_WAY / 2 * len(priced))
        ways.append(priced.where(_few_of_each(priced.row, priced.least_cost, _RINGS_TO_A_WAY * asked.few)))
    return _by_ease(asked, ways)


def _left_for_ring(runs: Runs, k: Numbers, half: Numbers, lift: Numbers, gap: Numbers) -> Numbers:
    """Diameter of the ring that touches the k-th circle of a run and stands on the middle of its side."""
    h, r = runs.height, runs.r
    last = first(h, runs.corner_radius, r, lift, gap) + (k - 1) * step(h, r, lift, gap)
    return np.asarray(2 * (np.hypot(np.maximum(half - last, 0.0), rise(h, r, lift) / 2) - r))


def _left_open(asked: Asked) -> list[Landing]:
    """Landings without ease: the circles touch, and the middle of each side takes what is left."""
    tries, at = asked.tries, asked.tries.ground
    none = np.zeros(len(tries))
    runs = Runs(TURNING, asked.grounds.height[at], tries.corner_radius, tries.r, none + 1, none)
    lift, gap = runs.least_ease(asked.limits.lift)
    touching = (lift == 0) & (gap == 0)
    p, one = step(runs.height, runs.r, lift, gap), runs.length(lift, gap)
    found = []
    for pair in PAIRS:
        sizes = asked.middles(pair)
        left = asked.halves(pair) - (one + runs.r)[:, None]  # half a middle, with a single curl
        with np.errstate(invalid="ignore", divide="ignore"):
            high = np.floor(1 + smallest((left - sizes[..., 0] / 2) / p[:, None]) + ROUNDING)
            low = np.ceil(1 + largest((left - sizes[..., 1] / 2) / p[:, None]) - ROUNDING)
        row, k = every_count(low, high, touching, asked.few)
        half_middle = left[row] - ((k - 1) * p[row])[:, None]
        flat = np.zeros_like(half_middle)
        landed = Landing(
            row,
            k,
            2 * half_middle,
            flat,
            flat,
            np.repeat(p[row][:, None], 2, axis=1),
            half_middle - sizes[row, :, 0] / 2,
            sizes[row, :, 1] / 2 - half_middle,
        )
        clear = clear_along(runs[row], lift[row], gap[row], k)
        found.append(landed.where(clear & asked.affordable(row, Figures.of(landed, asked.limits))))
    return found


def _cheapest(found: Landing, tries: Tries, limits: Limits, few: int) -> Landing:
    """Of each row of tries the landings that cost least in what one pair of sides decides alone."""
    cost = side_cost(found.lift, found.gap, found.step, tries.r[found.row], limits)
    cost += margin_cost(np.minimum(found.short, found.long))
    return found.where(_few_of_each(found.row, cost, few))


def _few_of_each(row: Indices, cost: Numbers, few: float) -> Indices:
    """Places of the cheapest few of each row, the rows rising."""
    order = np.lexsort((cost, row))
    rows = row[order]
    return np.asarray(order[np.arange(len(rows)) - np.searchsorted(rows, rows, side="left") < few])
