"""Every proposal for a tin, and the best alone, against an outside optimiser that seeks only the best.

The optimiser chooses a room and two circles; counts, middles and ease come from the solver's own enumeration, since
with those free as well it hardly ever finds a point that lands. So its tries are quick because the solver is.
"""

from __future__ import annotations

from collections.abc import Iterator

from scipy.optimize import differential_evolution

from planner.demo import demo_plan
from planner.plan import SideLengths
from planner.solver.rank import best, ranked
from tests.benchmarks.table import Row, timed
from tests.objective import Objective


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
    alone, _ = timed(lambda: best(plan))
    least = min(p.score for p in found)
    objective = Objective(plan)
    theirs, answer = timed(
        lambda: differential_evolution(
            objective,
            objective.bounds,
            integrality=[True] * 3,
            seed=1,
            maxiter=15,
            popsize=40,
            tol=0,
            polish=False,
        )
    )
    score = float(answer.fun)
    winner = (
        "neither"
        if abs(score - least) < 1e-6
        else "the solver"
        if least < score
        else "differential evolution"
    )
    yield Row(f"all {len(found)} proposals, tin of 40", ours, "1")
    yield Row("the best alone", alone, f"{alone / ours:.1f}")
    yield Row(
        f"differential evolution, {objective.asked} tries",
        theirs,
        f"{theirs / ours:.0f}, {theirs / alone:.0f} times the best alone",
    )
    yield Row(f"   better: {winner} ({least:.3f} against {score:.3f})", None, "")
