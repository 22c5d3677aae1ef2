"""The layout of a plan: her choice while it lands, and always something that the solver itself allows."""

from __future__ import annotations

from itertools import product

import pytest

from planner.border.corners.styles import CORNER_STYLES
from planner.demo import demo_choice, demo_plan
from planner.errors import ChoiceError, PlanError
from planner.plan import Choice, Plan
from planner.solver import choose, propose
from planner.solver.choose import still
from planner.solver.promises import place_lawful
from tests.solved import same_circles
from tests.strategies import EDITS, edited

SHORT = range(3 * len(EDITS))


def lawful(plan: Plan, choice: Choice) -> bool:
    try:
        return bool(place_lawful(plan, choice))
    except ChoiceError:
        return False


@pytest.mark.parametrize(
    "seeds",
    [*([seed] for seed in SHORT), pytest.param(range(len(SHORT), 200), marks=pytest.mark.long)],
    ids=str,
)
def test_her_choice_else_the_same_circles_else_the_most_alike(seeds: range) -> None:
    for plan in map(edited, seeds):
        wanted = plan.choice
        try:
            found = propose(plan).proposals
        except PlanError:
            found = ()
        if not found:
            with pytest.raises(PlanError):
                choose(plan)
            continue
        chosen = choose(plan)
        assert lawful(plan, chosen.choice)
        assert chosen.plan.choice == chosen.choice
        if wanted is None:
            assert (chosen.choice, chosen.standing) == (found[0].choice, "first")
        elif lawful(plan, wanted):
            assert (chosen.choice, chosen.standing) == (wanted, "hers")
        else:
            style = CORNER_STYLES[plan.corner]
            allowed = not style.meets or plan.meeting in ("any", wanted.meeting)
            may = style.strict and allowed and style.meets == (wanted.meeting is not None)
            same = same_circles(plan, wanted) if may else []
            assert chosen.standing == ("followed" if same else "alike")
            assert not same or chosen.choice in same


def test_a_measure_that_changes_keeps_her_circles_and_room_while_they_land() -> None:
    plan = demo_plan()
    longer = plan.model_copy(
        update={"sides_in": plan.sides_in.model_copy(update={"top": plan.sides_in.top + 1 / 16}), "typed": {}}
    )
    found = choose(longer)
    assert found.standing in ("hers", "followed")
    assert (found.choice.run_diameter_in, found.choice.counts) == (
        demo_choice().run_diameter_in,
        demo_choice().counts,
    )


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
            unchosen = plan.model_copy(update={"choice": None})
            assert choose(unchosen, found) == choose(unchosen)


def test_the_most_alike_has_her_meeting_then_the_nearest_circles() -> None:
    """Once none of her circles lands: what is drawn is nearest to what she chose, and stays so in any order."""
    plan = demo_plan()
    every = [proposal.choice for proposal in propose(plan).proposals]
    for near, (run, corner) in product(every, ((0.02, 0.02), (0.02, 1.5), (0.3, 0.02))):
        run, corner = near.run_diameter_in + run, near.corner_diameter_in + corner
        lost = near.model_copy(update={"run_diameter_in": run, "corner_diameter_in": corner})
        chosen = choose(plan.model_copy(update={"choice": lost}))
        assert chosen.standing == "alike"
        rivals = [choice for choice in every if choice.meeting == lost.meeting]
        off = min(abs(choice.run_diameter_in - lost.run_diameter_in) for choice in rivals)
        rivals = [c for c in rivals if abs(c.run_diameter_in - lost.run_diameter_in) == off]
        off = min(abs(choice.corner_diameter_in - lost.corner_diameter_in) for choice in rivals)
        rivals = [c for c in rivals if abs(c.corner_diameter_in - lost.corner_diameter_in) == off]
        off = min(abs(choice.counts.top - lost.counts.top) for choice in rivals)
        assert chosen.choice in [c for c in rivals if abs(c.counts.top - lost.counts.top) == off]
