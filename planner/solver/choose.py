"""THE layout of a plan: the one answer that every page, sheet, picture and figure takes.

Her choice while it lands; else the same circles followed; else the most alike of what lands; else, when she has
chosen none, the first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from planner.border.layout import Layout, place
from planner.errors import PlanError
from planner.plan import Choice, Plan
from planner.solver.effort import Patience
from planner.solver.floors import check_floors
from planner.solver.follow import followed
from planner.solver.memo import Memo
from planner.solver.propose import NO_MATTER, Proposals, propose
from planner.solver.rank import best
from planner.solver.refusals import quickly
from planner.solver.search import PATIENCE

Standing = Literal["hers", "followed", "alike", "first"]
KEPT_BYTES = 10_000_000  # a usual layout takes some 150,000: she looks at one page of a plan after another


@dataclass(frozen=True, slots=True)
class Chosen:
    """The layout, of a plan that has its choice; and how it stands to the choice she made.

    hers: it is that; followed: the same circles in other numbers; alike: other circles, the most alike; first:
    she made none, and this is the first of all that land.
    """

    layout: Layout
    standing: Standing

    @property
    def plan(self) -> Plan:
        """The plan, settled: with the choice that is drawn."""
        return self.layout.plan

    @property
    def choice(self) -> Choice:
        """The choice that the layout was placed with."""
        return self.layout.choice


def choose(plan: Plan, solved: Proposals | None = None) -> Chosen:
    """The layout of a plan. solved: its proposals, where they are there already.

    Raises PlanError where nothing lands, with what stands in the way.
    """
    return _of(plan, _solved(plan, solved) if solved else kept(question_of(plan)))


def question_of(plan: Plan) -> str:
    """All of a plan that its layout depends on."""
    return plan.model_dump_json(exclude=NO_MATTER)


def settled(plan: Plan) -> Plan:
    """The plan with the choice that is drawn; without one where nothing lands yet."""
    try:
        return choose(plan).plan
    except PlanError:
        return plan.model_copy(update={"choice": None})


def still(plan: Plan) -> Chosen | None:
    """The layout of a plan as far as it is found without solving: hers or followed; None without these.

    Raises PlanError for an impossible plan.
    """
    layout = followed(plan, plan.choice) if plan.choice else None
    if layout is None:
        return None
    return _of(plan, Chosen(layout, "hers" if layout.choice == plan.choice else "followed"))


def _of(plan: Plan, chosen: Chosen) -> Chosen:
    """The answer for this very plan: name, colours and threads are no part of the question."""
    settled = plan.model_copy(update={"choice": chosen.choice})
    return replace(chosen, layout=replace(chosen.layout, plan=settled))


def _choose(plan_json: str) -> Chosen:
    return _solved(Plan.model_validate_json(plan_json), None)


def _solved(plan: Plan, solved: Proposals | None) -> Chosen:
    found = still(plan)
    if found:
        return found
    check_floors(plan)
    patience = Patience(PATIENCE)
    if plan.choice is None:
        first = solved.proposals[0] if solved and solved.proposals else best(plan, patience)
        choice = first.choice if first else None
    else:
        choice = _most_alike(plan.choice, solved or propose(plan))
    if choice is None:
        refusal = quickly(plan, patience)
        raise PlanError(refusal.message, field=refusal.field, cure=refusal.cure)
    return Chosen(place(plan, choice), "alike" if plan.choice else "first")


def _most_alike(wanted: Choice, solved: Proposals) -> Choice | None:
    every = (proposal.choice for proposal in solved.proposals)
    return min(every, key=lambda choice: _unlike(choice, wanted), default=None)


def _unlike(choice: Choice, wanted: Choice) -> tuple[float, ...]:
    return (
        choice.meeting != wanted.meeting,
        abs(choice.run_diameter_in - wanted.run_diameter_in),
        abs(choice.corner_radius - wanted.corner_radius),
        abs(choice.counts.top - wanted.counts.top),
    )


kept = Memo(_choose, KEPT_BYTES)
