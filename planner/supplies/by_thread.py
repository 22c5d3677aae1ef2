"""What each thread takes: its own needle thread with tails, bobbins, spools and minutes at the machine."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from planner.plan import Units
from planner.stitching.segments import ThreadPath
from planner.supplies.basis import Basis
from planner.supplies.hours import Span
from planner.supplies.supplies import hours_of, thread_of
from planner.supplies.thread import Thread
from planner.supplies.work import Work


@dataclass(frozen=True, slots=True)
class ThreadTakes:
    """One thread's part. path: how it goes; sewn: the thread it takes, tails among it; minutes: at the machine;
    tying: how many of these go into starts, stops, and clipping what was carried."""

    path: ThreadPath
    sewn: Thread
    minutes: Span
    tying: Span


def takes_of(one: ThreadPath, basis: Basis, units: Units) -> ThreadTakes:
    """What one thread takes."""
    work = _stitching(one.length, one.starts, one.carries)
    tying = _stitching(0.0, one.starts, one.carries)
    sewn = thread_of(work, basis)
    return ThreadTakes(
        one,
        sewn,
        hours_of(work, basis, sewn.bobbins, units).minutes,
        hours_of(tying, basis, 0, units).minutes,
    )


def takes_by_thread(threads: Iterable[ThreadPath], basis: Basis, units: Units) -> tuple[ThreadTakes, ...]:
    """What each of some threads takes, in the order in which they are stitched."""
    return tuple(takes_of(one, basis, units) for one in threads)


def _stitching(length_in: float, starts: int, carries: int) -> Work:
    return Work(length_in, starts, circles=0, guide_lines=0, spine_in=0.0, open_in=0.0, carries=carries)
