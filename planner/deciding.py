"""The figures that decide between variants of a plan: how each is said, and what makes one better than another."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.border.circles import diameters_of
from planner.border.layout import Layout
from planner.border.said import room_and_strip
from planner.geometry.arrays import CHALK_IN
from planner.lengths import finer_length, format_length
from planner.plan import Units
from planner.solver import Chosen
from planner.supplies.hours import time_in_words
from planner.supplies.supplies import Supplies
from planner.supplies.thread import thread_sum_words


@dataclass(frozen=True, slots=True)
class Solved:
    """A variant's layout with its figures and what it takes.

    reach, longest: of the side whose run leaves least to spare, how far it reaches and the longest plume for its
    room (inches).
    """

    chosen: Chosen
    reach: float
    longest: float
    supplies: Supplies

    @property
    def layout(self) -> Layout:
        """The layout that was chosen."""
        return self.chosen.layout

    @property
    def largest_ease(self) -> float:
        """Lift and gap together where they are most (inches)."""
        return max(chain.ease.lift + chain.ease.gap for chain in self.layout.own.values())


@dataclass(frozen=True, slots=True)
class Measure:
    """A figure of a column: how it is said, and what makes one better (less is better), if anything does.

    sorting: what is asked for by sorting by it. told: whether a column gives reason to tell it.
    """

    name: str
    words: Callable[[Solved, Units], str | None]
    cost: Callable[[Solved], float] | None = None
    why: str = ""
    sorting: str = ""
    told: Callable[[Solved], bool] = lambda one: True


def _circles(one: Solved, units: Units) -> str:
    *_, smallest = sizes = diameters_of(one.layout)
    if one.layout.corners:
        return _pair(one.chosen.choice.run_diameter_in, "and", 2 * one.chosen.choice.corner_radius, units)
    return _pair(smallest, "to", sizes[0], units)


def _ease(one: Solved, units: Units) -> str:
    ease = one.largest_ease
    if ease < CHALK_IN:
        return "none"
    return finer_length(ease, units)


def _reach(one: Solved, units: Units) -> str:
    return _pair(one.reach, "of", one.longest, units)


def _thread(one: Solved, units: Units) -> str:
    return thread_sum_words(one.supplies.needle_in + one.supplies.bobbin_in, units)


def _starts(one: Solved, units: Units) -> str | None:
    work = one.supplies.work
    if work.estimated:
        return None
    return f"{work.starts:,}" + (f", {work.carries:,} carried" if work.carries else "")


def _changes(one: Solved, units: Units) -> str | None:
    return _counted_words(one, one.supplies.work.changes)


def _advances(one: Solved, units: Units) -> str | None:
    return _counted_words(one, one.supplies.work.advances)


def _counted_words(one: Solved, count: int) -> str | None:
    return None if one.supplies.work.estimated else f"{count:,}" if count else "none"


def _size(one: Solved, units: Units) -> str:
    return _pair(one.layout.quilt.width, "×", one.layout.quilt.height, units)


def _pair(one_in: float, between: str, other_in: float, units: Units) -> str:
    """Two lengths, the unit said once where it is the same."""
    first, second = format_length(one_in, units), format_length(other_in, units)
    unit = second[second.rindex(" ") :]
    return f"{first.removesuffix(unit)} {between} {second}"


MEASURES = (
    Measure(
        "Curls",
        lambda one, _: str(len(one.layout.circles)),
        lambda one: len(one.layout.circles),
        "fewest",
        "fewest curls",
    ),
    Measure("Circle, corner", _circles),
    Measure("Room, strip", lambda one, _: room_and_strip(one.layout)),
    Measure("Ease", _ease, lambda one: max(0.0, one.largest_ease - CHALK_IN), "least", "least ease"),
    Measure("Reach", _reach, lambda one: one.reach / one.longest, "most to spare", "least to reach"),
    Measure("Thread", _thread, lambda one: one.supplies.thread.needle_in, "least", "least thread"),
    Measure(
        "Time",
        lambda one, _: time_in_words(one.supplies.hours.shown),
        lambda one: one.supplies.hours.minutes.slow,
        "soonest done",
        "soonest done",
    ),
    Measure(
        "Starts",
        _starts,
        lambda one: one.supplies.work.starts,
        "fewest",
        told=lambda one: not one.supplies.work.estimated,
    ),
    Measure(
        "Thread changes",
        _changes,
        lambda one: one.supplies.work.changes,
        "fewest",
        told=lambda one: one.supplies.work.changes > 0,
    ),
    Measure(
        "Advances",
        _advances,
        lambda one: one.supplies.work.advances,
        "fewest",
        told=lambda one: one.supplies.work.advances > 0,
    ),
    Measure(
        "Border cloth",
        lambda one, _: one.supplies.border_buy.words,
        lambda one: one.supplies.border_buy.bought_in,
        "least",
        "least cloth",
    ),
    Measure("Finished size", _size),
)
