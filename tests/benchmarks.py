"""Benchmarks as ratios of one run: ``python3 -m tests.benchmarks``. Each row is one function; nothing is asserted.

A row gives what it measures, a figure in seconds of processor time, and its ratio to the row's yardstick.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from scipy.optimize import differential_evolution

from planner.band import Band, Quilt
from planner.demo import demo_plan
from planner.fills import fill
from planner.layout import Layout, chains_of, place, placed
from planner.plan import SIDES, Choice, Counts, Plan, SideLengths
from planner.solver.rank import ranked
from planner.stitching import path_of
from tests.objective import Objective
from tests.strategies import chain_length


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    what: str
    seconds: float
    ratio: str


def timed(work: Callable[[], object]) -> tuple[float, object]:
    begun = time.process_time()
    result = work()
    return time.process_time() - begun, result


def proposals() -> Iterator[Row]:
    """All proposals for a tin of 40 on four different sides; scipy's differential evolution seeks only the best."""
    plan = demo_plan().model_copy(
        update={
            "tin_in": tuple(2 + i / 8 for i in range(40)),
            "sides_in": SideLengths(top=90.125, right=105.75, bottom=90.0, left=106.0),
            "meeting": "butted",
        }
    )
    ours, found = timed(lambda: ranked(plan))
    assert isinstance(found, list)
    best = min(p.score for p in found)
    objective = Objective(plan, "butted")
    theirs, answer = timed(
        lambda: differential_evolution(
            objective,
            objective.bounds,
            integrality=[True] * 2,
            seed=1,
            maxiter=15,
            popsize=40,
            tol=0,
            polish=False,
        )
    )
    score = float(answer.fun)  # type: ignore[attr-defined]
    winner = (
        "neither" if abs(score - best) < 0.02 else "the solver" if best < score else "differential evolution"
    )
    yield Row(f"all {len(found)} proposals, 40 sizes", ours, "1")
    yield Row(f"differential evolution, {objective.asked} tries", theirs, f"{theirs / ours:.1f}")
    yield Row(f"   better: {winner} ({best:.3f} against {score:.3f})", 0.0, "")


def layouts() -> Iterator[Row]:
    """Placing 10 to 10,000 curls; a side holds at most 1,000, so the two longest quilts are no real ones.

    The quilt is measured backwards from the curls, past the 240 in that a plan allows, and 10,000 curls are
    five such quilts of 2,000.
    """
    base = 0.0
    for curls, repeats in ((8, 1), (96, 1), (1000, 1), (2000, 5)):
        work = long_layout(curls // 8)
        work()
        seconds = min(sum(timed(work)[0] for _ in range(repeats)) for _ in range(2))
        per_curl = seconds / (curls * repeats)
        base = base or per_curl
        yield Row(f"layout of {curls * repeats} curls", seconds, f"{per_curl / base:.2f} a curl")


def long_layout(k: int) -> Callable[[], object]:
    """Places a quilt with k curls in each of its eight runs, however long its sides become."""
    height, big, r = 3.75, 2.2, 1.6
    span = 2 * chain_length("butted", height, big, r, k, 0.0, 0.0, 0.02)
    plan = Plan(
        sides_in=SideLengths(top=100.0, right=100.0, bottom=100.0, left=100.0),
        border_in=SideLengths(top=6.0, right=6.0, bottom=6.0, left=6.0),
        tin_in=(2 * r, 2 * big),
    )
    choice = Choice(
        corner_diameter_in=2 * big,
        run_diameter_in=2 * r,
        meeting="butted",
        counts=Counts(top=k, right=k, bottom=k, left=k),
    )
    bands = {side: Band(side, span, height, 1.0, 0.25) for side in SIDES}
    quilt = Quilt(span + 2.5, span + 2.5, bands, bands)
    if span + 2.5 <= 240:
        sides = dict.fromkeys(SIDES, span + 2.5)
        real = plan.model_copy(update={"sides_in": SideLengths(**sides)})
        return lambda: place(real, choice)

    def work() -> object:
        chains = chains_of(plan, choice, bands)
        return placed(plan, choice, quilt, chains, chains)

    return work


def fills() -> Iterator[Row]:
    """Growing a feather fill, and ordering its stitches, as the quilt grows (cells repeat, stitches do not)."""
    for name, work in (
        ("fill", fill),
        ("fill and stitching path", lambda layout: path_of(layout, fill(layout))),
    ):
        base = 0.0
        for curls in (8, 96, 1000):
            layout = long_layout(curls // 8)()
            assert isinstance(layout, Layout)
            seconds, _ = timed(lambda work=work, layout=layout: work(layout))
            base = base or seconds / curls
            yield Row(f"{name} of {curls} curls", seconds, f"{seconds / curls / base:.2f} a curl")


ROWS: tuple[Callable[[], Iterator[Row]], ...] = (proposals, layouts, fills)


def main() -> None:
    print(f"{'what':<58}{'seconds':>9}  ratio")
    for rows in ROWS:
        for row in rows():
            print(f"{row.what:<58}{row.seconds:>9.3f}  {row.ratio}", flush=True)


if __name__ == "__main__":
    main()
