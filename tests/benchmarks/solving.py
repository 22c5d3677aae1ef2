"""Every proposal for a tin, and the best alone, against an outside optimiser that seeks only the best.

The optimiser is scipy's differential evolution with its own settings: one run to its own end, and runs begun again
until one finds the solver's best (within 1e-6) or a minute is over. It chooses a room and two circles; counts,
middles and ease come from the solver's own enumeration, since with those free as well it hardly ever finds a point
that lands. So its tries are quick because the solver is. Times are processor times.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from typing import TypeVar

from planner.demo import demo_plan
from planner.plan import SideLengths
from planner.solver.rank import best, ranked
from tests.benchmarks.table import Row
from tests.objective import SAME_SCORE, Objective, evolved

T = TypeVar("T")
_MOST_S = 60.0


def proposals() -> Iterator[Row]:
    """All proposals for a tin of 40 on four different sides; scipy's differential evolution seeks only the best."""
    plan = demo_plan().model_copy(
        update={
            "tin_in": tuple(2 + i / 8 for i in range(40)),
            "sides_in": SideLengths(top=90.125, right=105.75, bottom=90.0, left=106.0),
            "meeting": "butted",
        }
    )
    ours, found = _processor(lambda: ranked(plan))
    alone, _ = _processor(lambda: best(plan))
    least = min(p.score for p in found)
    yield Row(f"all {len(found)} proposals, tin of 40", ours, "1")
    yield Row("the best alone", alone, f"{alone / ours:.1f}")
    for what, theirs in (
        ("one run", evolved(Objective(plan), most_runs=1)),
        ("until it finds the best", evolved(Objective(plan), target=least, most_s=_MOST_S)),
    ):
        winner = (
            "the same"
            if abs(theirs.score - least) < SAME_SCORE
            else f"worse, {theirs.score:.3f} against {least:.3f}"
            if least < theirs.score
            else f"BETTER, {theirs.score:.3f} against {least:.3f}"
        )
        yield Row(
            f"differential evolution, {what} ({theirs.runs} runs, {theirs.tries} tries): {winner}",
            theirs.seconds,
            f"{theirs.seconds / ours:.0f}, {theirs.seconds / alone:.0f} times the best alone",
        )


def _processor(work: Callable[[], T], times: int = 5) -> tuple[float, T]:
    """Seconds of processor time, the least of a few, and what came of it."""
    took = []
    for _ in range(times):
        begin = time.process_time()
        found = work()
        took.append(time.process_time() - begin)
    return min(took), found
