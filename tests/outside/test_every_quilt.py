"""Random quilts from the plan to the spine: what is proposed, or offered as a cure, keeps every law.

The laws (tests/laws.py) rebuild bands, circles and joints with plain geometry of their own, each side with its own
room.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain, cycle, product

import pytest

from planner.plan import Choice, Plan
from planner.solver import place_lawful, propose
from planner.solver.changes import apply_change
from tests.landing_shares import TINS, quilts
from tests.laws import broken

CORNERS = ("mirrored", "turning", "mirrored", "easy_going")
MANY = 2000
CLOTH = "border"  # the refusal whose cure changes the cloth


def plans(number: int, seed: int) -> Iterator[Plan]:
    """Quilts, two thirds of them with four widths alike, with every tin and corner in turn."""
    two_thirds = number * 2 // 3
    drawn = chain(
        quilts(two_thirds, unequal=False, seed=seed), quilts(number - two_thirds, unequal=True, seed=seed)
    )
    for plan, (corner, circles) in zip(drawn, cycle(product(CORNERS, TINS.values())), strict=False):
        yield plan.model_copy(update={"corner": corner, "tin_in": circles, "cut_own": not circles})


@pytest.mark.parametrize(
    "number", [12, pytest.param(MANY, marks=pytest.mark.long)], ids=["some", "two thousand"]
)
def test_what_is_proposed_keeps_every_law(number: int) -> None:
    uncured, judged = [], 0
    for plan in plans(number, seed=81):
        found = propose(plan)
        layouts: list[tuple[Plan, Choice]] = [(plan, one.choice) for one in found.proposals[:2]]
        cures = [cure for cure in found.refusals if cure.change and cure.choice]
        for cure in cures:
            assert cure.change and cure.choice
            layouts.append((apply_change(plan, cure.change), cure.choice))
        for own, choice in layouts:
            assert broken(place_lawful(own, choice)) == [], (own.model_dump_json(), choice)
            judged += 1
        if not found.proposals and all(cure.limit == CLOTH for cure in cures):
            uncured.append(plan)
    assert judged >= number
    assert not uncured, f"{len(uncured)} have no cure that leaves the cloth alone, {uncured[0]!r}"
