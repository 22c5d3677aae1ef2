"""Searching: the cheapest of all that lands, each layout once, without landing what cannot be among them.

Circles are tried in the order of what a layout of them costs at least. So the search may stop, and is still
complete: what is left out costs more than everything it found.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.border.meetings import MEETINGS, half_of
from planner.border.meetings.record import Takes
from planner.border.room import comfortable_room
from planner.border.run import Runs, first
from planner.border.tin import diameters
from planner.errors import PlanError
from planner.geometry.arrays import ROUNDING_IN, Mask, Numbers
from planner.plan import SIDES, MeetingKind, Plan
from planner.solver.combos import Combos, Tries, meetings_of, of_kind
from planner.solver.effort import Patience
from planner.solver.grounds import Grounds, grounds, with_strip
from planner.solver.landing import landing
from planner.solver.limits import LEVEL_RISE, Limits
from planner.solver.reaching import with_corners, with_reach, within_reach
from planner.solver.score import least_score, score
from planner.solver.weights import UNLIKE_IN

MOST_FOUND = 24  # more to choose from help nobody
_MOST_TRIES = 2500  # of circles, along a usual side: what is left out of more looks like its neighbours
_MORE_OF_HERS = 4  # times as many: a tin of forty is tried whole; who cuts any has others as good
_COARSER_IN = (1 / 4, 1 / 4, 1 / 2, 1.0, 2.0)  # diameters nearer than that count as alike, one after another
_AT_ONCE, _FEWEST_AT_ONCE = 600, 40  # circles landed in one go
_FIRST = 100  # circles, the cheapest: by what they land is told what the others may cost
_FEW_TRIES = 200  # that are landed at once
_QUICKEST: tuple[Takes, ...] = ("what is left", "nothing", "a ring")  # to land
USUAL_FEET, _USUAL_EASE_IN = 10.0, 0.25  # of a side, of lift and gap: up to there, _AT_ONCE
_FEW = 8  # ways to land of a pair of sides on the same circles
_KEPT = 4  # combinations of one pair of circles and one meeting: the cheapest; the others only ask more ease
_MORE_LIKELY = 6  # looks, where few are wanted
_LOOKED_INTO = 3  # combinations for each likely look: so many get their corners estimated
_MORE_MEASURED = 6  # combinations more than are wanted, whose reach is worked out in one go
_ESTIMATE = 0.05  # of a cost: how far it may be off before the reach is measured
PATIENCE = 50_000  # of curls, for one plan: more than a real quilt takes, with whatever circles
_LOOKING = 100  # what it takes, in curls: the grounds of one seam strip, whatever lands there
_OF_A_PAIR, _OF_A_TRY = 0.004, 0.5  # and each pair of circles that fits there, each that is tried
_OF_A_CORNER = 1  # and to estimate each corner
_MEASURING, _OF_A_MEASURE = 130, 8  # to measure any, and each


@dataclass(frozen=True, slots=True)
class Found:
    """What was found on some grounds, cheapest first."""

    grounds: Grounds
    combos: Combos
    scores: Numbers

    def __len__(self) -> int:
        return len(self.combos)


def search(
    plan: Plan,
    limits: Limits | None = None,
    most: int = MOST_FOUND,
    more: Sequence[float] = (),
    patience: Patience | None = None,
) -> Found:
    """The cheapest layouts on one ground: without a seam strip while the middles of the best are siblings there;
    where nothing lands so, or where they are not, with the strip that costs least.

    more: diameters that are not hers; then exactly one of them is in every layout. Raises PlanError for an
    impossible plan.
    """
    if not more:
        check_tin(plan)
    limits = limits or Limits.of(plan)
    patience = Patience(PATIENCE) if patience is None else patience
    plain = grounds(plan)
    found = search_on(plan, plain, limits, most, more, patience=patience)
    for some in with_strip(plan):
        if not patience:
            break
        if len(found) and found.combos.unlike[0] <= UNLIKE_IN:
            break
        below = found.scores[0] if len(found) else np.inf
        better = search_on(plan, some, limits, 1, more, below=below, patience=patience)
        if len(better):
            found = better
    if (
        len(found) and found.grounds is not plain and most > 1
    ):  # of all strips only the best is looked at whole
        every = search_on(plan, found.grounds, limits, most, more, patience=patience)
        found = every if len(every) else found
    return found


def check_tin(plan: Plan) -> None:
    """Raises PlanError where there is no circle in it and none to be cut."""
    if not plan.tin_in and not plan.cut_own:
        raise PlanError(
            "The tin is empty, so there is no circle to draw round.",
            field="tin_in",
            cure="Enter the circles you own, or say that you will cut your own.",
        )


def search_on(
    plan: Plan,
    some: Grounds,
    limits: Limits,
    most: int = MOST_FOUND,
    more: Sequence[float] = (),
    keep: Callable[[Tries], Mask] | None = None,
    below: float = np.inf,
    patience: Patience | None = None,
) -> Found:
    """The cheapest layouts on some grounds.

    keep: which circles to try, of those that are hers; below: only layouts that score less.
    """
    patience = Patience(PATIENCE) if patience is None else patience
    patience.spend(_LOOKING)
    tries = circles(plan, some, limits, more)
    patience.spend(_OF_A_PAIR * len(tries))
    if keep:
        tries = tries.where(keep(tries))
    # from the middle of a curl to its spine it is its radius
    tries = tries.where(tries.r <= limits.reach * some.longest.max(axis=1)[tries.ground])
    tries = tries.where(_clear_at_corner(some, tries, limits))
    at_once = _at_once(plan, limits)
    tries = _thinned(plan, some, tries, _most_tries(plan, at_once))
    patience.spend(_OF_A_TRY * len(tries))
    tries = within_reach(plan, some, limits, tries)
    bound = least_score(plan, some, tries, limits)
    order = np.argsort(bound, kind="stable")
    tries, bound = tries.where(order), bound[order]
    if not len(tries):
        return Found(some, Combos.none(), np.zeros(0))
    parts, ceiling = [_Landed.none()], below
    for meetings, rows in _turns(plan, len(tries)):
        if not patience:
            break
        parts.append(_landed(plan, some, tries, limits, meetings, bound, rows, ceiling, most, patience))
        ceiling = min(ceiling, _likely_last(_Landed.stacked(parts), most))
    found = _cheapest(plan, some, limits, _Landed.stacked(parts), most, patience)
    needed = found.scores[-1] if len(found) == most else below
    if needed > ceiling and patience:  # too many of those reach too far
        every = slice(len(tries))
        landed = _landed(plan, some, tries, limits, meetings_of(plan), bound, every, needed, most, patience)
        found = _cheapest(plan, some, limits, landed, most, patience)
    return Found(some, found.combos.where(found.scores < below), found.scores[found.scores < below])


def level_on(plan: Plan, some: Grounds, patience: Patience | None = None) -> Found:
    """The cheapest level layout on some grounds, if any."""
    limits = Limits.of(plan)

    def nearly(tries: Tries) -> Mask:
        rise = some.height[tries.ground] - 2 * tries.r - 2 * limits.lift
        return np.asarray(rise <= LEVEL_RISE * tries.r)

    level = plan.model_copy(update={"run": "level"})
    return search_on(level, some, limits, most=1, keep=nearly, patience=patience)


def _at_once(plan: Plan, limits: Limits) -> int:
    """How many circles to land in one go: fewer along a side and with an ease that hold many counts of each."""
    feet = max(plan.sides_in.of(side) for side in SIDES) / 12
    counts = feet * max(_USUAL_EASE_IN, limits.lift + limits.gap) / _USUAL_EASE_IN
    return int(min(_AT_ONCE, max(_FEWEST_AT_ONCE, _AT_ONCE * USUAL_FEET / counts)))


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


def _clear_at_corner(some: Grounds, tries: Tries, limits: Limits) -> Mask:
    """Whether the first circles of two sides could keep clear of each other round a corner: with no ease, all the
    lift, or all there is. They stand alike on either side of the miter, and the more ease the farther from it.
    """
    height, r = some.height[tries.ground], tries.r
    none, clear = np.zeros(len(tries)), np.zeros(len(tries), dtype=bool)
    for lift, gap in ((0.0, 0.0), (limits.lift, 0.0), (limits.lift, limits.gap)):
        along = first(height, tries.corner_radius, r, none + lift, none + gap)
        clear |= ~(along - (height - r - lift) < np.sqrt(2) * r - ROUNDING_IN)  # nan: that is told later
    return clear


def _most_tries(plan: Plan, at_once: int) -> int:
    """How many circles to try: along a side that holds many counts of each, fewer give her as many ways."""
    share = at_once / _AT_ONCE
    return int(_MOST_TRIES * share * (1 if plan.cut_own else max(1.0, _MORE_OF_HERS * share)))


def _thinned(plan: Plan, some: Grounds, tries: Tries, most: int) -> Tries:
    """Fewer of very many circles: every other room, then coarser corner circles, then both coarser and coarser.

    A room or a circle between two others looks like either of them; and who owns sixty circles, or would cut any,
    has others that come out right as well. Of those that count as alike, the one nearest to a whole mark is tried.
    """
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


@dataclass(frozen=True, slots=True)
class _Landed:
    """Combinations, and about what each costs: its reach is an estimate."""

    combos: Combos
    cost: Numbers

    @classmethod
    def none(cls) -> _Landed:
        """Nothing."""
        return cls(Combos.none(), np.zeros(0))

    @classmethod
    def stacked(cls, some: Sequence[_Landed]) -> _Landed:
        """All of several."""
        return cls(Combos.stacked([one.combos for one in some]), np.concatenate([one.cost for one in some]))


Meetings = Sequence[MeetingKind | None]


def _turns(plan: Plan, tries: int) -> Iterator[tuple[Meetings, slice]]:
    """The meetings she allows with the rows of tries to land, the quickest first: open middles take no root, and
    wreaths have many sizes. By what lands first is told what the others may cost."""
    if tries <= _FEW_TRIES:
        yield meetings_of(plan), slice(tries)
        return
    groups: dict[Takes, list[MeetingKind | None]] = {takes: [] for takes in _QUICKEST}
    for meeting in meetings_of(plan):
        groups[MEETINGS[meeting].takes if meeting else "nothing"].append(meeting)
    quick, *others = [(takes, meetings) for takes, meetings in groups.items() if meetings]
    begin = 0 if quick[0] == _QUICKEST[0] else _FIRST
    if begin:
        yield quick[1], slice(begin)
    yield quick[1], slice(begin, tries)
    for _, meetings in others:
        yield meetings, slice(tries)


def _landed(
    plan: Plan,
    some: Grounds,
    tries: Tries,
    limits: Limits,
    meetings: Meetings,
    bound: Numbers,
    rows: slice,
    ceiling: float,
    most: int,
    patience: Patience,
) -> _Landed:
    """What lands of some meetings with rows of the tries and costs no more than the ceiling: the cheapest few of
    each pair of circles and each meeting.

    bound: what each of the tries costs at least, rising.
    """
    rows = slice(rows.start, min(rows.stop, int(np.searchsorted(bound, ceiling, side="right"))))
    asked, spare = tries.where(rows), ceiling + _ESTIMATE - bound[rows]
    every = []
    for meeting in meetings:
        combos = landing(plan, some, asked, meeting, limits, _FEW, spare, patience)
        combos = combos.where(of_kind(plan, combos))
        costs = score(plan, some, combos, limits)
        order = np.lexsort((costs, combos.tried))
        row = combos.tried[order]
        place = np.arange(len(row)) - np.searchsorted(row, row, side="left")
        every.append(combos.where(order[place < _KEPT]))
    found = Combos.stacked(every)
    found = found.where(np.argsort(score(plan, some, found, limits), kind="stable"))
    front = slice(_LOOKED_INTO * _likely(most))
    looked = with_corners(plan, some, limits, found.where(front))
    patience.spend(_OF_A_CORNER * len(looked))
    found = Combos.stacked((looked, found.where(slice(front.stop, None))))
    return _Landed(found, score(plan, some, found, limits))


def _likely(most: int) -> int:
    """Of how many looks are as many layouts as are wanted likely to keep the limits: half of them may not."""
    return 2 * most + _MORE_LIKELY


def _likely_last(landed: _Landed, most: int) -> float:
    """What the dearest layout that is wanted is likely to cost; infinite where too few land to say."""
    order = np.argsort(landed.cost, kind="stable")
    first = np.sort(np.unique(_looks(landed.combos)[order], return_index=True)[1])
    wanted = _likely(most)
    return float(landed.cost[order[first[wanted - 1]]]) + 2 * _ESTIMATE if len(first) >= wanted else np.inf


def _cheapest(
    plan: Plan, some: Grounds, limits: Limits, landed: _Landed, most: int, patience: Patience
) -> Found:
    """The cheapest that keep the limits of reach. Of layouts alike in circles, meeting and counts only the one with
    the best room."""
    cost, look = landed.cost, _looks(landed.combos)
    queue = np.argsort(cost, kind="stable")
    combos, costs = [Combos.none()], np.zeros(0)
    while queue.size and patience:
        first = np.sort(np.unique(look[queue], return_index=True)[1])[: most + _MORE_MEASURED]
        rows = queue[first]
        if len(costs) >= most and cost[rows[0]] > np.sort(costs)[most - 1] + _ESTIMATE:
            break
        patience.spend(_MEASURING + _OF_A_MEASURE * len(rows))
        measured, within = with_reach(plan, some, limits, landed.combos.where(rows))
        combos.append(measured.where(within))
        costs = np.concatenate((costs, score(plan, some, combos[-1], limits)))
        settled = np.isin(look[queue], look[rows[within]])
        settled[first] = True
        queue = queue[~settled]
    every = Combos.stacked(combos)
    order = np.argsort(costs, kind="stable")
    kept = order[np.sort(np.unique(_looks(every)[order], return_index=True)[1])][:most]
    return Found(some, every.where(kept), costs[kept])


def _looks(combos: Combos) -> NDArray[np.int64]:
    """The same number for rows of the same meeting, circles and counts."""
    key = np.zeros(len(combos), dtype=np.int64)
    for column in (combos.meeting, combos.corner_radius, combos.r, *combos.k.T[[0, 1]]):
        values, place = np.unique(column, return_inverse=True)
        key = np.unique(key * len(values) + place, return_inverse=True)[1]
    return key
