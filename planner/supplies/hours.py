"""How long it takes: a range, never one false number.

Quick and slow stand for a good day and a slow one of the same hand. What she has timed herself replaces the
guesses about her hand. Putting the quilt together and loading or basting it is not counted.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import floor

from planner.errors import PlanError
from planner.lengths import format_length
from planner.plan import Units

DAY_TO_DAY = 1.15  # how much one hand varies either way: common practice, no source
LONG_PART = 100  # minutes: from there a part of the work is told in hours


@dataclass(frozen=True, slots=True)
class Span:
    """From quick to slow, in one unit."""

    quick: float
    slow: float


@dataclass(frozen=True, slots=True)
class Timed:
    """A piece she timed: the length she stitched and the minutes it took her, pauses included."""

    length_in: float
    minutes: float


@dataclass(frozen=True, slots=True)
class Task:
    """One part of the work, minutes."""

    what: str
    minutes: Span


@dataclass(frozen=True, slots=True)
class Hours:
    """All tasks. speed: how fast the cloth moves, inches a second. own: from pieces she timed."""

    tasks: tuple[Task, ...]
    speed: Span
    own: bool

    @property
    def minutes(self) -> Span:
        """All tasks together."""
        return Span(sum(t.minutes.quick for t in self.tasks), sum(t.minutes.slow for t in self.tasks))

    @property
    def shown(self) -> Span:
        """All tasks together as each of them is shown: what she adds up is what she is told, minutes."""
        each = [part_shown(task.minutes) for task in self.tasks if task.minutes.slow]
        return Span(sum(part.quick for part in each), sum(part.slow for part in each))


def machine_speed(stitches_per_minute: float, stitches_per_inch: float) -> float:
    """Inches a second at which the machine makes stitches of this length: spm / (60 · SPI)."""
    return stitches_per_minute / (60 * stitches_per_inch)


def own_speed(timed: tuple[Timed, ...], fastest: float, units: Units) -> Span:
    """Her hand from what she timed: the fastest piece a little faster, the slowest a little slower.

    fastest: what the machine can do, inches a second. Raises PlanError, worded in ``units``, where a piece
    was faster than that.
    """
    speeds = [piece.length_in / (60 * piece.minutes) for piece in timed]
    if max(speeds) > fastest * DAY_TO_DAY:
        raise PlanError(
            f"The timed piece came to {_speed(max(speeds), units)}, but the machine makes at most "
            f"{_speed(fastest, units)} at this stitch length.",
            field="timed_in",
            cure="Check the length and the minutes, or the stitches a minute and an inch.",
        )
    return Span(min(max(speeds) * DAY_TO_DAY, fastest), min(speeds) / DAY_TO_DAY)


def _speed(inches: float, units: Units) -> str:
    return f"{format_length(inches, units)} a second"


def hours(
    *,
    stitching_in: float,
    starts: int,
    carries: int,
    bobbins: int,
    circles: int,
    guide_lines: int,
    spine_in: float,
    stitches_per_inch: float,
    stitches_per_minute: float,
    hand: Span,
    minutes_a_start: Span,
    minutes_a_carry: Span,
    minutes_a_bobbin: Span,
    minutes_a_circle: Span,
    minutes_a_guide_line: Span,
    marking: Span,
    timed: tuple[Timed, ...],
    units: Units,
) -> Hours:
    """Minutes of each task. hand and marking are speeds, inches a second (the quick one first).

    The cloth never moves faster than the machine makes stitches. The timed pieces, if any, replace ``hand``.
    """
    fastest = machine_speed(stitches_per_minute, stitches_per_inch)
    speed = (
        own_speed(timed, fastest, units) if timed else Span(min(hand.quick, fastest), min(hand.slow, fastest))
    )
    tasks = (
        Task("Chalk the guide lines", _times(guide_lines, minutes_a_guide_line)),
        Task("Chalk the circles", _times(circles, minutes_a_circle)),
        Task("Chalk the spine", _at_speed(spine_in, marking)),
        Task("Stitch", _at_speed(stitching_in, speed)),
        Task("Start, stop and bury the ends", _times(starts, minutes_a_start)),
        *([Task("Clip what was carried", _times(carries, minutes_a_carry))] if carries else []),
        Task("Change bobbins", _times(max(0, bobbins - 1), minutes_a_bobbin)),
    )
    return Hours(tasks, speed, bool(timed))


def time_in_words(minutes: Span) -> str:
    """A range as one would say it: "40 to 55 minutes", "5 to 8 hours", "2 1/2 to 4 hours"."""
    if minutes.slow < 100:
        low, high = _rounded(minutes, 5)
        return f"{low} minutes" if low == high else f"{low} to {high} minutes"
    if minutes.slow < 600:
        low, high = _rounded(minutes, 30)
        return f"{_hours(low)} to {_hours(high)} hours" if low < high else f"{_hours(low)} hours"
    low, high = _rounded(minutes, 60)
    return f"{low // 60} to {high // 60} hours" if low < high else f"{low // 60} hours"


def part_shown(minutes: Span) -> Span:
    """One part of a longer time to the nearest 5 minutes, quarter or half of an hour; at least 5 minutes."""
    step = 5 if minutes.slow < LONG_PART else 15 if minutes.slow < 600 else 30
    low, high = (max(step, floor(one / step + 0.5) * step) for one in (minutes.quick, minutes.slow))
    return Span(low, high)


def part_in_words(minutes: Span) -> str:
    """One part of a longer time, as :func:`part_shown` has it: "25 to 40 minutes", "1 1/4 to 3 hours"."""
    shown = part_shown(minutes)
    hours_ = minutes.slow >= LONG_PART
    low, high = (_hours(int(one)) if hours_ else f"{one:g}" for one in (shown.quick, shown.slow))
    return f"{low if low == high else f'{low} to {high}'} {'hours' if hours_ else 'minutes'}"


def _rounded(minutes: Span, step: int) -> tuple[int, int]:
    """Outwards to whole steps, at least one."""
    low = max(step, int(minutes.quick // step) * step)
    high = max(low, -int(-minutes.slow // step) * step)
    return low, high


def _hours(minutes: int) -> str:
    whole, rest = divmod(minutes, 60)
    return " ".join(str(part) for part in (whole, Fraction(rest, 60)) if part)


def _times(count: int, each: Span) -> Span:
    return Span(count * each.quick, count * each.slow)


def _at_speed(length_in: float, speed: Span) -> Span:
    return Span(length_in / speed.quick / 60, length_in / speed.slow / 60)
