"""From a plan to its proposals, or to what stands in the way."""

from __future__ import annotations

from dataclasses import dataclass

from planner.lengths import format_length
from planner.plan import Plan
from planner.solver.choices import PAIRS
from planner.solver.memo import Memo
from planner.solver.rank import Proposal, ranked
from planner.solver.refusals import Refusal, refusals_of

SQUARE_UP_SHARE = 0.01  # opposite sides that differ by more: square up first (common practice, no source)


@dataclass(frozen=True, slots=True)
class Proposals:
    """What came of a plan: proposals, best first; without any, refusals; and advice that stops nothing."""

    proposals: tuple[Proposal, ...]
    refusals: tuple[Refusal, ...]
    advice: tuple[str, ...]


def propose(plan: Plan) -> Proposals:
    """Solve a plan. Raises PlanError when there is nothing to solve (no band, no circles)."""
    return kept(question_of(plan))


def question_of(plan: Plan) -> str:
    """All of a plan that its proposals depend on."""
    return plan.model_dump_json(exclude={"name", "look", "tags", "typed", "choice"})


def _solve(plan_json: str) -> Proposals:
    plan = Plan.model_validate_json(plan_json)
    found = tuple(ranked(plan))
    return Proposals(found, () if found else tuple(refusals_of(plan)), advice_on(plan))


kept = Memo(
    _solve, 32
)  # she looks at one proposal after another, and saves, prints and shares what is solved


def advice_on(plan: Plan) -> tuple[str, ...]:
    """What she should know before she chalks, though it stops nothing."""
    found = []
    for one, other in PAIRS:
        a, b = plan.sides_in.of(one), plan.sides_in.of(other)
        if abs(a - b) > SQUARE_UP_SHARE * max(a, b):
            apart = format_length(abs(a - b), plan.units)
            found.append(
                f"The {one} and {other} sides differ by {apart}, more than 1 in 100. Square up the quilt top "
                f"before chalking, or the border will show it. The figures here keep both as measured."
            )
    return tuple(found)
