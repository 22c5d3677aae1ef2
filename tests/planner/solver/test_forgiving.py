"""What a proposal says it forgives is true: its circles and counts land on sides that were measured that wrong."""

from __future__ import annotations

import pytest

from planner.border.layout import Layout
from planner.errors import ChoiceError
from planner.plan import SIDES, Choice, Fill, Middles, Plan, SideLengths
from planner.solver.promises import place_lawful
from planner.solver.proposal import Proposal
from planner.solver.rank import ranked
from tests.landing_shares import TINS, quilts


def with_sides(plan: Plan, off: dict[str, float]) -> Plan:
    sides = {side: plan.sides_in.of(side) + off.get(side, 0.0) for side in SIDES}
    return plan.model_copy(update={"sides_in": SideLengths(**sides)})


def remeasured(plan: Plan, choice: Choice, off: dict[str, float]) -> Layout | None:
    """The same circles and counts on other sides, an open middle taking up the difference; None where none land."""
    opened = choice
    if choice.meeting in ("little_spines", "lattice"):
        middles = {side: choice.middle_of(side) + off.get(side, 0.0) for side in SIDES}
        if min(middles.values()) < 0:
            return None
        opened = choice.model_copy(update={"middles_in": Middles(**middles)})
    try:
        return place_lawful(with_sides(plan, off), opened)
    except ChoiceError:
        return None


def some(number: int) -> list[tuple[Plan, Proposal]]:
    found = []
    for plan in quilts(number, unequal=False, seed=21):
        own = plan.model_copy(update={"tin_in": TINS["12 circles"], "fill": Fill(kind="feathers")})
        found += [(own, proposal) for proposal in ranked(own)[:3]]
    return found


@pytest.mark.parametrize("number", [3, pytest.param(40, marks=pytest.mark.long)])
def test_what_is_forgiven_lands_and_more_does_not(number: int) -> None:
    beyond = judged = 0
    for plan, proposal in some(number):
        for way, one, every in (
            (-1, proposal.one_side.short, proposal.all_sides.short),
            (1, proposal.one_side.long, proposal.all_sides.long),
        ):
            errors = [{side: 0.98 * way * one} for side in SIDES] + [dict.fromkeys(SIDES, 0.98 * way * every)]
            for off in errors:
                judged += 1
                assert remeasured(plan, proposal.choice, off), f"{proposal.choice}: {off}"
            more = [{side: way * (one + 0.02)} for side in SIDES]
            beyond += all(remeasured(plan, proposal.choice, off) for off in more)
    assert judged > 20
    assert beyond == 0


def test_the_first_proposals_forgive_a_quarter_of_an_inch() -> None:
    """Nearly all do: the score prices what a layout does not forgive."""
    found = [proposal for _, proposal in some(8)][::3]
    forgiving = [p for p in found if min(p.one_side.short, p.one_side.long) >= 0.25]
    assert len(forgiving) >= 0.8 * len(found)
