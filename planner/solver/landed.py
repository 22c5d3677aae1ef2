"""What lands with some circles, the cheapest few of each, and by it what the others may cost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.border.meetings import takes_of
from planner.border.meetings.record import Takes
from planner.geometry.arrays import Indices, Mask, Numbers
from planner.plan import MeetingKind, Plan
from planner.solver.combos import Combos, Tries, is_level, meetings_of, of_kind
from planner.solver.effort import Patience
from planner.solver.grounds import Grounds
from planner.solver.landing import landing
from planner.solver.limits import Limits
from planner.solver.reaching import with_corners
from planner.solver.score import score

_FIRST = 100  # circles, the cheapest: by what they land is told what the others may cost
_FEW_TRIES = 200  # that are landed at once
_QUICKEST: tuple[Takes, ...] = ("what is left", "nothing", "a ring")  # to land
_FEW = 8  # ways to land of a pair of sides on the same circles
_KEPT = 4  # combinations of one pair of circles and one meeting: the cheapest; the others only ask more ease
_MORE_LIKELY = 6  # looks, where few are wanted
_LOOKED_INTO = 3  # combinations for each likely look: so many get their corners estimated
ESTIMATE = 0.05  # of a cost: how far it may be off before the reach is measured
_OF_A_CORNER = 1  # what it takes, in curls, to estimate each corner

Meetings = Sequence[MeetingKind | None]


@dataclass(frozen=True, slots=True)
class Landed:
    """Combinations, and about what each costs: its reach is an estimate."""

    combos: Combos
    cost: Numbers

    @classmethod
    def none(cls) -> Landed:
        """Nothing."""
        return cls(Combos.none(), np.zeros(0))

    @classmethod
    def stacked(cls, some: Sequence[Landed]) -> Landed:
        """All of several."""
        return cls(Combos.stacked([one.combos for one in some]), np.concatenate([one.cost for one in some]))

    def where(self, rows: Indices | Mask) -> Landed:
        """Only these rows."""
        return Landed(self.combos.where(rows), self.cost[rows])


def turns(plan: Plan, tries: int) -> Iterator[tuple[Meetings, slice]]:
    """The meetings she allows with the rows of tries to land, the quickest first: open middles take no root, and
    wreaths have many sizes. By what lands first is told what the others may cost."""
    if tries <= _FEW_TRIES:
        yield meetings_of(plan), slice(tries)
        return
    quick, *others = _by_what_they_take(meetings_of(plan))
    begin = 0 if takes_of(quick[0]) == _QUICKEST[0] else _FIRST
    if begin:
        yield quick, slice(begin)
    yield quick, slice(begin, tries)
    for meetings in others:
        yield meetings, slice(tries)


def _by_what_they_take(meetings: Meetings) -> list[Meetings]:
    """Meetings that take the same, the quickest to land first."""
    groups = ([one for one in meetings if takes_of(one) == takes] for takes in _QUICKEST)
    return [group for group in groups if group]


def what_lands(
    plan: Plan,
    some: Grounds,
    tries: Tries,
    limits: Limits,
    meetings: Meetings,
    bound: Numbers,
    rows: slice,
    ceiling: Numbers,
    most: int,
    patience: Patience,
) -> Landed:
    """What lands of some meetings with rows of the tries: of each pair of circles and each meeting the cheapest few
    rolling and level ones.

    bound: what each of the tries costs at least; ceiling: what a layout on it may cost.
    """
    at = np.arange(len(tries))[rows]
    at = at[bound[at] <= ceiling[at]]
    asked, spare = tries.where(at), ceiling[at] + ESTIMATE - bound[at]
    every = []
    for alike in _by_what_they_take(meetings):
        combos = landing(plan, some, asked, alike, limits, _FEW, spare, patience)
        combos = combos.where(of_kind(plan, combos))
        cost = score(plan, some, combos, limits)
        kind = 2 * (combos.tried + len(asked) * combos.meeting) + is_level(combos)
        order = np.lexsort((cost, kind))
        row = kind[order]
        place = np.arange(len(row)) - np.searchsorted(row, row, side="left")
        every.append(Landed(combos, cost).where(order[place < _KEPT]))
    found = Landed.stacked(every)
    front, others = np.split(np.argsort(found.cost, kind="stable"), [_LOOKED_INTO * _likely(most)])
    looked = with_corners(plan, some, limits, found.combos.where(front))
    patience.spend(_OF_A_CORNER * len(looked))
    return Landed.stacked(
        (
            Landed(looked, score(plan, some, looked, limits)),
            found.where(others),
        )
    )


def _likely(most: int) -> int:
    """Of how many looks are as many layouts as are wanted likely to keep the limits: half of them may not."""
    return 2 * most + _MORE_LIKELY


def likely_last(landed: Landed, most: int) -> float:
    """What the dearest layout that is wanted is likely to cost; infinite where too few land to say."""
    order = np.argsort(landed.cost, kind="stable")
    first = np.sort(np.unique(looks_of(landed.combos)[order], return_index=True)[1])
    wanted = _likely(most)
    return float(landed.cost[order[first[wanted - 1]]]) + 2 * ESTIMATE if len(first) >= wanted else np.inf


def looks_of(combos: Combos) -> NDArray[np.int64]:
    """The same number for rows of the same meeting, circles and counts."""
    key = np.zeros(len(combos), dtype=np.int64)
    for column in (combos.meeting, combos.corner_radius, combos.r, *combos.k.T[[0, 1]]):
        values, place = np.unique(column, return_inverse=True)
        key = key * len(values) + place
    return key
