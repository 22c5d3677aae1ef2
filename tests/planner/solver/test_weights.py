"""What a score weighs, asked of what comes first: middles that face each other round the quilt are siblings."""

from __future__ import annotations

import pytest

from planner.plan import SIDES, Fill, Plan, SideLengths
from planner.solver.rank import best
from planner.solver.weights import UNLIKE_IN, UNLIKE_RINGS
from tests.landing_shares import TINS


def middles(across: float, down: float, width: float, fill: str, tin: str, meeting: str) -> list[float]:
    """The middles of the first proposal (inches), smallest first."""
    plan = Plan(
        sides_in=SideLengths(top=across, bottom=across, left=down, right=down),
        border_in=SideLengths(top=width, bottom=width, left=width, right=width),
        fill=Fill(kind=fill),
        tin_in=TINS[tin],
        meeting=meeting,
    )
    first = best(plan)
    assert first is not None
    return sorted(first.choice.middle_of(side) for side in SIDES)


def test_open_middles_that_look_like_a_slip_do_not_come_first() -> None:
    """Middles of 1 3/4 and 4 in came first, though others land with two that are alike."""
    narrow, *_, wide = middles(50.5, 52.875, 6.0, "echo", "6 circles", "any")
    assert wide - narrow <= UNLIKE_IN


@pytest.mark.parametrize(
    ("across", "down", "width", "fill", "tin"),
    [(79.5, 86.25, 6.0, "needles", "6 circles"), (46.125, 47.625, 5.0, "feathers", "12 circles")],
)
def test_a_ring_is_no_smaller_than_its_sibling_by_what_is_seen(
    across: float, down: float, width: float, fill: str, tin: str
) -> None:
    """Rings of 2 and 3 in came first: a ring is seen as a circle beside its sibling."""
    small, *_, large = middles(across, down, width, fill, tin, "wreath")
    assert large - small <= UNLIKE_IN / UNLIKE_RINGS
