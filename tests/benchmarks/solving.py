"""Every proposal for a tin, against an outside optimiser that seeks only the best."""

from __future__ import annotations

from collections.abc import Iterator

from scipy.optimize import differential_evolution

from planner.demo import demo_plan
from planner.plan import SideLengths
from planner.solver.rank import ranked
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
    best = min(p.score for p in found)
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
        "neither" if abs(score - best) < 1e-6 else "the solver" if best < score else "differential evolution"
    )
    yield Row(f"all {len(found)} proposals, tin of 40", ours, "1")
    yield Row(f"differential evolution, {objective.asked} tries", theirs, f"{theirs / ours:.1f}")
    yield Row(f"   better: {winner} ({best:.3f} against {score:.3f})", None, "")
