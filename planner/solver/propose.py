"""From a plan to its proposals, or to what stands in the way."""

from __future__ import annotations

from dataclasses import dataclass, replace

from planner.lengths import format_length
from planner.plan import Plan, SideName
from planner.solver.buying import better_circle
from planner.solver.cures import Refusal
from planner.solver.effort import Patience
from planner.solver.floors import check_floors
from planner.solver.memo import Memo
from planner.solver.proposal import Proposal
from planner.solver.rank import proposals_of, ranked
from planner.solver.refusals import refusals_of
from planner.solver.search import PATIENCE

PAIRS: tuple[tuple[SideName, SideName], ...] = (("top", "bottom"), ("left", "right"))
# Whatever these are, the same layouts land: they are no part of the question.
NO_MATTER = {"name", "look", "tags", "typed"} | {
    *("threads", "stitched_with", "accents", "travels", "carry_in", "spine", "working")
}
# A usual plan's take some 70,000: she looks at one after another, and saves, prints and shares what is solved.
KEPT_BYTES = 3_000_000
SQUARE_UP_SHARE = 0.01  # opposite sides that differ by more: square up first (common practice, no source)


@dataclass(frozen=True, slots=True)
class Proposals:
    """What came of a plan: proposals, best first; without any, refusals; and advice that stops nothing.

    offer: what one circle more would do, where hers do not touch all round, or leave middles that look unlike.
    """

    proposals: tuple[Proposal, ...]
    refusals: tuple[Refusal, ...]
    advice: tuple[str, ...]
    offer: Proposal | None = None

    @property
    def every(self) -> tuple[Proposal, ...]:
        """Those with her own circles, and last the one with a circle that she lacks."""
        return self.proposals if self.offer is None else (*self.proposals, self.offer)


def propose(plan: Plan) -> Proposals:
    """Solve a plan. Raises PlanError when there is nothing to solve (no circles, no band and no cure)."""
    return kept(question_of(plan))


def question_of(plan: Plan) -> str:
    """All of a plan that its proposals depend on."""
    return plan.model_dump_json(exclude={*NO_MATTER, "choice"})


def _solve(plan_json: str) -> Proposals:
    plan = Plan.model_validate_json(plan_json)
    check_floors(plan)
    patience = Patience(PATIENCE)
    found = tuple(ranked(plan, patience))
    if not found:
        return Proposals((), tuple(refusals_of(plan, patience)), advice_on(plan))
    return Proposals(found, (), advice_on(plan), _offer(plan, found[0], patience))


def _offer(plan: Plan, first: Proposal, patience: Patience) -> Proposal | None:
    """A layout that touches all round, its middles alike, with one circle more, where the best of hers does not."""
    if first.touches and first.alike:
        return None
    better = better_circle(plan, patience)
    if better is None:
        return None
    found, diameter = better
    (offer,) = proposals_of(plan, found.where(slice(1)))
    mends = offer.touches and offer.alike and offer.score < first.score
    return replace(offer, needs_circle=diameter) if mends else None


kept = Memo(_solve, KEPT_BYTES)


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
