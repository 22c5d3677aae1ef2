"""What each thread takes: its own needle thread with tails, bobbins, spools and minutes at the machine."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from planner.plan import Plan, Units
from planner.stitching.segments import ThreadPath
from planner.supplies import yarn
from planner.supplies.basis import Basis
from planner.supplies.called import length_on
from planner.supplies.hours import Hours, Span, Timed, hours
from planner.supplies.thread import Thread, count, thread
from planner.supplies.work import Work

SLOW = 1.5  # a slow day takes half as long again for what she gave one figure for: common practice, no source


@dataclass(frozen=True, slots=True)
class ThreadTakes:
    """One thread's part. path: how it goes; sewn: the thread it takes, tails among it; minutes: at the machine;
    tying: how many of these go into starts, stops, and clipping what was carried.

    sewn.bobbins: those begun with this thread; where one bobbin thread serves all, it runs on.
    """

    path: ThreadPath
    sewn: Thread
    minutes: Span
    tying: Span


def takes_by_thread(
    threads: Iterable[ThreadPath], basis: Basis, units: Units, plan: Plan | None = None
) -> tuple[ThreadTakes, ...]:
    """What each of some threads takes, in the order in which they are stitched. plan: whose labels say what a spool
    of each holds; without it the basis does."""
    paths = tuple(threads)
    works = [_stitching(one.length, one.starts, one.carries) for one in paths]
    spools = [spool_of(plan, one.thread, basis) if plan else basis.spool_in for one in paths]
    sewn = [
        thread_of(work, replace(basis, spool_in=holds)) for work, holds in zip(works, spools, strict=True)
    ]
    if not own_bobbins(basis):
        sewn = [replace(one, bobbins=begun) for one, begun in zip(sewn, _running_on(sewn), strict=True)]
    found = []
    for number, (path, work, takes) in enumerate(zip(paths, works, sewn, strict=True)):
        changed = takes.bobbins + (
            number > 0
        )  # the first is in when she begins; each that follows is a change
        tying = _stitching(0.0, path.starts, path.carries)
        found.append(
            ThreadTakes(
                path,
                takes,
                hours_of(work, basis, changed, units).minutes,
                hours_of(tying, basis, 0, units).minutes,
            )
        )
    return tuple(found)


def spool_of(plan: Plan, number: int, basis: Basis) -> float:
    """What a spool of one of a plan's threads holds (inches): as its label says, else as the basis does."""
    return length_on(plan.every_thread[number].spool) or basis.spool_in


def own_bobbins(basis: Basis) -> bool:
    """Whether each thread has bobbins of itself: where the bobbin's thread is no other."""
    needle, bobbin = both_tex(basis)
    return needle == bobbin and basis.bobbins == "wound"


def _running_on(sewn: Iterable[Thread]) -> list[int]:
    """Bobbins begun with each thread where the next goes on with what is left on the last one."""
    whole, used = [0], 0.0
    for one in sewn:
        used += one.bobbin_in
        whole.append(count(used, one.bobbin_holds_in))
    return [after - before for before, after in pairwise(whole)]


def _stitching(length_in: float, starts: int, carries: int) -> Work:
    return Work(length_in, starts, circles=0, guide_lines=0, spine_in=0.0, open_in=0.0, carries=carries)


def thread_of(work: Work, basis: Basis) -> Thread:
    """The thread that some stitching takes."""
    bought = basis.bobbins == "bought"
    needle_tex, bobbin_tex = both_tex(basis)
    return thread(
        stitching_in=work.stitching_in,
        starts=work.starts,
        stitches_per_inch=basis.stitches_per_inch,
        thickness_in=basis.thickness_in,
        tail_in=basis.tail_in,
        waste=basis.waste,
        bobbin=basis.bobbin,
        bobbin_tex=bobbin_tex,
        bulk_g_cm3=basis.bulk_g_cm3,
        winding=1.0 if bought else basis.winding,
        bobbins_bought=bought,
        same_thread=needle_tex == bobbin_tex,
        spool_in=basis.spool_in,
    )


def hours_of(work: Work, basis: Basis, bobbins: int, units: Units) -> Hours:
    """The hours that some work takes, with so many bobbins."""
    timed = (Timed(basis.timed_in, basis.timed_minutes),) if basis.timed_in and basis.timed_minutes else ()
    quick, slow = sorted((basis.hand_quick_in, basis.hand_slow_in), reverse=True)
    return hours(
        stitching_in=work.stitching_in,
        starts=work.starts,
        carries=work.carries,
        bobbins=bobbins,
        circles=work.circles,
        guide_lines=work.guide_lines,
        spine_in=work.spine_in,
        stitches_per_inch=basis.stitches_per_inch,
        stitches_per_minute=basis.stitches_per_minute,
        hand=Span(quick, slow),
        minutes_a_start=_about(basis.start_minutes),
        minutes_a_carry=_about(basis.carry_minutes),
        minutes_a_bobbin=_about(basis.bobbin_minutes),
        minutes_a_circle=_about(basis.circle_minutes),
        minutes_a_guide_line=_about(basis.guide_minutes),
        marking=Span(basis.marking_in, basis.marking_in / SLOW),
        timed=timed,
        units=units,
    )


def _about(minutes: float) -> Span:
    return Span(minutes, minutes * SLOW)


def both_tex(basis: Basis) -> tuple[float, float]:
    """The needle's thread and the bobbin's, in tex."""
    needle = yarn.to_tex(basis.needle_number, basis.needle_system)
    return needle, yarn.to_tex(basis.bobbin_number, basis.bobbin_system)
