"""Everything the solver promises is asked where a choice is placed."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from planner.demo import demo_plan
from planner.errors import ChoiceError
from planner.plan import Choice, Counts, Fill, Plan
from planner.solver import place_lawful, propose


def quilt() -> tuple[Plan, Choice]:
    plan = demo_plan().model_copy(update={"choice": None, "meeting": "butted"})
    return plan, propose(plan).proposals[0].choice


def test_what_is_proposed_is_lawful() -> None:
    plan, _ = quilt()
    for proposal in propose(plan).proposals:
        assert place_lawful(plan, proposal.choice).choice == proposal.choice


def broken() -> Iterator[tuple[str, Plan, Choice]]:
    """Promises broken one by one, each with the field it should be blamed on."""
    plan, choice = quilt()

    def changed(**update: object) -> Choice:
        return choice.model_copy(update=update)

    counts = choice.counts.model_dump()
    yield "choice.counts.bottom", plan, changed(counts=Counts(**{**counts, "bottom": counts["bottom"] + 1}))
    yield "choice.corner_diameter_in", plan.model_copy(update={"tin_in": (choice.run_diameter_in,)}), choice
    yield "choice.room_in", plan, changed(room_in=3.0)
    yield "choice.room_in", plan.model_copy(update={"fill": Fill(room_in=0.5)}), changed(room_in=1.0)
    yield "choice.meeting", plan.model_copy(update={"meeting": "wreath"}), choice
    level = propose(plan).proposals[0].level
    yield "choice.run_diameter_in", plan.model_copy(update={"run": "rolling" if level else "level"}), choice
    yield "choice.run_diameter_in", plan.model_copy(update={"fill": Fill(longest_in=0.5)}), choice
    yield "choice.run_diameter_in", plan.model_copy(update={"fill": Fill(smallest_curl_in=5.0)}), choice


@pytest.mark.parametrize("case", list(broken()), ids=lambda case: case[0])
def test_a_broken_promise_is_told(case: tuple[str, Plan, Choice]) -> None:
    field, plan, choice = case
    with pytest.raises(ChoiceError) as told:
        place_lawful(plan, choice)
    if choice.corner_diameter_in == choice.run_diameter_in and field == "choice.corner_diameter_in":
        return
    assert told.value.field == field
    assert told.value.cure


def test_steps_that_differ_too_much_are_told() -> None:
    """Counts that land by other eases on two pairs of sides, so that their steps differ by more than 3 in 100."""
    plan, choice = quilt()
    loose = plan.model_copy(update={"ease_limits": plan.ease_limits.model_copy(update={"gap_in": 1.5})})
    counts = choice.counts.model_dump()
    fewer = Counts(**{**counts, "top": counts["top"] - 1, "bottom": counts["bottom"] - 1})
    with pytest.raises(ChoiceError) as told:
        place_lawful(loose, choice.model_copy(update={"counts": fewer}))
    assert told.value.field.startswith("choice.")
