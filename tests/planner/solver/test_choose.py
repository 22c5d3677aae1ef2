"""The layout of a plan: her choice while it lands, and always something that the solver itself allows."""

from __future__ import annotations

import pytest

from planner.demo import demo_choice, demo_plan
from planner.errors import PlanError
from planner.plan import Choice, Plan
from planner.solver import choose, propose
from planner.solver.choose import still
from planner.solver.combos import choice_of
from planner.solver.search import feasible
from tests.strategies import EDITS, edited

SHORT = range(3 * len(EDITS))


def all_that_lands(plan: Plan) -> set[Choice]:
    return {
        choice_of(plan, meeting, combos, i) for meeting, combos in feasible(plan) for i in range(len(combos))
    }


@pytest.mark.parametrize(
    "seeds",
    [*([seed] for seed in SHORT), pytest.param(range(len(SHORT), 200), marks=pytest.mark.long)],
    ids=str,
)
def test_her_choice_else_the_same_circles_else_the_most_alike(seeds: range) -> None:
    for plan in map(edited, seeds):
        try:
            lands = all_that_lands(plan)
        except PlanError:
            with pytest.raises(PlanError):
                choose(plan)
            continue
        if not lands:
            with pytest.raises(PlanError):
                choose(plan)
            continue
        chosen, wanted = choose(plan), plan.choice
        assert chosen.choice in lands
        assert chosen.plan.choice == chosen.choice
        if wanted in lands:
            assert (chosen.choice, chosen.standing) == (wanted, "hers")
        elif wanted is None:
            assert (chosen.choice, chosen.standing) == (propose(plan).proposals[0].choice, "first")
        else:
            same = {choice for choice in lands if circles(choice) == circles(wanted)}
            assert chosen.standing == ("followed" if same else "alike")
            assert not same or chosen.choice in same


def circles(choice: Choice) -> tuple[object, ...]:
    return choice.corner_diameter_in, choice.run_diameter_in, choice.meeting, choice.middle_in


def test_name_and_colours_are_her_own() -> None:
    first = choose(demo_plan())
    again = choose(demo_plan().model_copy(update={"name": "Another"}))
    assert again.plan.name == "Another"
    assert again.choice == first.choice == demo_choice()


def test_solved_or_not_the_answer_is_the_same() -> None:
    for seed in range(len(EDITS)):
        plan = edited(seed)
        found = propose(plan) if plan.tin_in else None
        if found and found.proposals:
            assert choose(plan, found) == choose(plan)
            assert still(plan) in (None, choose(plan))
