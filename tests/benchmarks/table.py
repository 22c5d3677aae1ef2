"""The rows of the table, and how their figures are taken."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

from planner.errors import PlanError

LONGEST_S = 60.0  # a column is not followed farther than that
T = TypeVar("T")


@dataclass(frozen=True)
class Row:
    """One line of the table: seconds of processor time unless ``what`` says otherwise, and the ratio in words."""

    what: str
    seconds: float | None
    ratio: str


def timed(work: Callable[[], T]) -> tuple[float, T]:
    begun = time.process_time()
    result = work()
    return time.process_time() - begun, result


def quickest(*works: Callable[[], object], times: int) -> list[float]:
    """The quickest run of each work, run in turns: what else the machine does then hinders all alike."""
    rounds = []
    for _ in range(times):
        rounds.append([timed(work)[0] for work in works])
    return [min(figures) for figures in zip(*rounds, strict=True)]


def column(what: str, made: dict[int, T], work: Callable[[T], object]) -> Iterator[Row]:
    """The same work on growing things (by their number of curls): time for a curl against that in the smallest."""
    base = last = growth = 0.0
    before = 0
    for curls, thing in made.items():
        guess = last * (curls / before) * max(1.0, growth) if before else 0.0
        if guess > LONGEST_S:
            yield Row(f"{what}, {curls} curls", None, f"left out: about {guess:.0f} s")
            return
        try:
            (seconds,) = quickest(partial(work, thing), times=3 if last < 0.2 else 1)
        except PlanError as error:
            yield Row(f"{what}, {curls} curls", None, f"refused: {error.message}")
            return
        a_curl = seconds / curls
        growth = a_curl / (last / before) if before else 1.0
        base, last, before = base or a_curl, seconds, curls
        yield Row(f"{what}, {curls} curls", seconds, f"{a_curl / base:.2f} a curl")
