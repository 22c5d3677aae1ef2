"""One circle more is offered where the best of hers leaves gaps, or middles that look unlike, and mends them."""

from __future__ import annotations

import pytest

from planner.plan import SIDES, Fill, Plan, SideLengths
from planner.solver.changes import apply_change
from planner.solver.proposal import Proposal
from planner.solver.propose import propose

# across, down, border across, border down, fill; the circle that mends it, and whether middles stay open then
UNLIKE = [
    (47.875, 68.875, 5.0, 5.0, "echo", 2.75, True),
    (72.0, 98.625, 4.0, 4.25, "echo", 1.75, False),
]


def apart(one: Proposal) -> float:
    middles = [one.choice.middle_of(side) for side in SIDES]
    return max(middles) - min(middles)


@pytest.mark.parametrize(("across", "down", "border", "other", "fill", "circle", "opened"), UNLIKE)
def test_middles_that_look_unlike_are_mended_by_a_circle(
    across: float, down: float, border: float, other: float, fill: str, circle: float, opened: bool
) -> None:
    plan = Plan(
        sides_in=SideLengths(top=across, bottom=across, left=down, right=down),
        border_in=SideLengths(top=border, bottom=border, left=other, right=other),
        tin_in=(3.0, 4.0, 5.0),
        fill=Fill(kind=fill),
    )
    found = propose(plan)
    first, offer = found.proposals[0], found.offer
    assert first.touches and apart(first) > 1.5
    assert offer is not None and offer.needs_circle is not None
    assert offer.touches and apart(offer) <= 1.5 and offer.score < first.score
    assert offer.needs_circle == circle
    assert any(offer.choice.middle_of(side) for side in SIDES) == opened
    again = propose(apply_change(plan, {"tin_in": (*plan.tin_in, offer.needs_circle)}))
    assert again.proposals[0].touches and apart(again.proposals[0]) <= 1.5
    assert again.offer is None
