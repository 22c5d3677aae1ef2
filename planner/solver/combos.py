"""What a combination is: n of them as arrays, and what can be said of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from planner.border.corners.styles import CORNER_STYLES
from planner.border.meetings import MEETINGS, half_of, takes_of
from planner.border.run import HalfMiddle
from planner.geometry.arrays import Indices, Mask, Numbers, largest, smallest
from planner.plan import SIDES, Choice, Counts, MeetingKind, Middles, Plan
from planner.solver.grounds import Grounds
from planner.solver.limits import LEVEL_RISE
from planner.solver.weights import UNLIKE_RINGS

T = TypeVar("T", bound="Table")


class Table:
    """Base of a data class of arrays, all of one length: one row a thing."""

    __slots__: tuple[str, ...] = ()  # in a data class, its fields

    def where(self: T, mask: Mask | Indices | slice) -> T:
        """Only these rows: those where a mask holds, or by their numbers."""
        if isinstance(mask, slice):
            return type(self)(*(getattr(self, name)[mask] for name in self.__slots__))
        rows = np.flatnonzero(mask) if mask.dtype == bool else mask  # counted once, not by every array
        return type(self)(*(getattr(self, name).take(rows, axis=0) for name in self.__slots__))

    @classmethod
    def stacked(cls: type[T], some: Sequence[T]) -> T:
        """All rows of several, one after another."""
        return cls(*(np.concatenate([getattr(one, name) for one in some]) for name in cls.__slots__))


@dataclass(frozen=True, slots=True)
class Tries(Table):
    """n pairs of circles (radii, inches), each on a ground: its row in Grounds.

    reach: what the run asks for on its worst side, with the least ease, with all the lift, with all the gap too
    (n, 3).
    """

    ground: Indices
    corner_radius: Numbers
    r: Numbers
    reach: Numbers

    def __len__(self) -> int:
        return len(self.r)


@dataclass(frozen=True, slots=True)
class Combos(Table):
    """n combinations, one row each. Lengths in inches; per-side arrays have shape (n, 4) in the order of SIDES.

    tried: the row of Tries it came from; k: curls of a half side (a turning side holds 2k − 1); short, long: by how
    much each half side might be shorter or longer, as far as its ease or its middle can take it up. reach_run and
    reach_ends are estimates until they are measured.
    """

    ground: Indices
    tried: Indices
    meeting: Indices
    corner_radius: Numbers
    r: Numbers
    middle: Numbers
    k: Numbers
    lift: Numbers
    gap: Numbers
    step: Numbers
    rise: Numbers
    short: Numbers
    long: Numbers
    reach_run: Numbers
    reach_ends: Numbers

    @classmethod
    def none(cls) -> Combos:
        """No combination at all."""
        row, count, side = np.zeros(0, dtype=np.intp), np.zeros(0), np.zeros((0, len(SIDES)))
        sides = (side, side, side, side, side, side, side, side)
        return cls(row, row, row, count, count, *sides, count, count)

    def __len__(self) -> int:
        return len(self.r)

    @property
    def mismatch(self) -> Numbers:
        """Share by which the largest step of the four sides exceeds the smallest."""
        return np.asarray(largest(self.step) / smallest(self.step) - 1)

    @property
    def margin(self) -> Numbers:
        """By how much any half side may be wrong, either way (inches)."""
        return np.asarray(smallest(np.minimum(self.short, self.long)))

    @property
    def unlike(self) -> Numbers:
        """By how much the middles differ (inches), as an eye sees it."""
        return unlike_of(self.meeting) * (largest(self.middle) - smallest(self.middle))


def unlike_times(meeting: MeetingKind | None) -> float:
    """How many times as far apart an eye sees middles of a meeting as open ones."""
    return UNLIKE_RINGS if takes_of(meeting) == "a ring" else 1.0


def unlike_of(meeting: Indices) -> Numbers:
    """The same of what stands for meetings in an array."""
    return np.array([unlike_times(each) for each in (*MEETINGS, None)])[meeting]


def halves_of(meeting: Indices) -> HalfMiddle:
    """What the meetings that some numbers stand for take of their runs."""
    every = [half_of(each) for each in (*MEETINGS, None)]
    return HalfMiddle(*(np.array([getattr(half, name) for half in every]) for name in HalfMiddle.__slots__))[
        meeting
    ]


def meetings_of(plan: Plan) -> tuple[MeetingKind | None, ...]:
    """The meetings she allows; None where no runs meet."""
    if not CORNER_STYLES[plan.corner].meets:
        return (None,)
    return tuple(MEETINGS) if plan.meeting == "any" else (plan.meeting,)


def code_of(meeting: MeetingKind | None) -> int:
    """The number that stands for a meeting in an array."""
    return -1 if meeting is None else list(MEETINGS).index(meeting)


def meeting_of(code: int) -> MeetingKind | None:
    """The meeting that a number in a table stands for; None below nought."""
    return None if code < 0 else list(MEETINGS)[code]


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


def is_level(combos: Combos) -> Mask:
    """Whether the run counts as level on every side. Shape (n,)."""
    return np.asarray(largest(combos.rise) <= LEVEL_RISE * combos.r)


def choice_of(plan: Plan, grounds: Grounds, combos: Combos, i: int) -> Choice:
    """Row i as the choice it stands for."""
    k = combos.k[i].astype(int)
    style = CORNER_STYLES[plan.corner]
    counts = k if style.meets else 2 * k - 1
    ground, middles = combos.ground[i], combos.middle[i].tolist()
    alike = len(set(middles)) == 1
    return Choice(
        corner_diameter_in=float(2 * combos.corner_radius[i]) if style.large_circle else None,
        run_diameter_in=float(2 * combos.r[i]),
        meeting=meeting_of(int(combos.meeting[i])),
        middle_in=middles[0] if alike else 0.0,
        middles_in=None if alike else Middles(**dict(zip(SIDES, middles, strict=True))),
        counts=Counts(**{side: int(counts[j]) for j, side in enumerate(SIDES)}),
        room_in=float(grounds.room[ground]),
        strip_in=float(grounds.strip[ground]),
    )
