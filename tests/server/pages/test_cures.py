"""A cure cures: for whatever is refused, pressing its button in the form gives a page where it landed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count, islice

import numpy as np
import pytest

from planner.demo import demo_plan
from planner.errors import PlanError
from planner.fills.styles import FILLS
from planner.plan import EaseLimits, Fill, Plan, SideLengths
from planner.solver import propose
from planner.solver.changes import apply_change
from server.pages.forms import read, values_of
from server.pages.workbench import pressed
from server.pages.workbench_view import MOST_CURES, OFFER, view_of


def dead(first: int) -> Iterator[Plan]:
    """Plans as typed in the form on which nothing lands: few circles, fixed needs, little ease, narrow borders."""
    for seed in count(first):
        rng = np.random.default_rng([seed, 11])
        width = float(rng.choice([2.5, 3.0, 3.5, 4.0, 6.0, 8.0]))
        across, down = (round(float(side) * 8) / 8 for side in rng.uniform(36, 110, size=2))
        needs = {
            "room_in": float(rng.choice([0.5, 1.0, 1.5])),
            "longest_in": float(rng.choice([1.0, 1.5, 2.0])),
            "smallest_curl_in": float(rng.choice([0.75, 1.0, 2.0])),
        }
        fixed = {name: value for name, value in needs.items() if rng.random() < 0.4}
        plan = Plan(
            sides_in=SideLengths(top=across, bottom=across, left=down, right=down),
            border_in=SideLengths(top=width, bottom=width, left=width, right=width),
            units="mm" if rng.random() < 0.3 else "in",
            fill=Fill(kind=rng.choice(sorted(FILLS)), **fixed),
            tin_in=tuple(float(d) for d in rng.choice([1.0, 2.0, 3.0, 5.0, 7.0], size=rng.integers(1, 3))),
            meeting=str(rng.choice(["any", "butted", "wreath"])),
            run=str(rng.choice(["any", "level", "rolling"])),
            ease_limits=EaseLimits(lift_in=0.0, gap_in=float(rng.choice([0.0, 0.0625]))),
            typed={"border": f"{width:g} in"},
        )
        try:
            if not propose(plan).proposals:
                yield plan
        except PlanError:
            continue


def press(plan: Plan, button: str) -> dict[str, str]:
    """The form's texts after a button, through the page's own door."""
    return pressed({**values_of(plan), "apply": button})


@pytest.mark.parametrize(
    "plans", [8, pytest.param(500, marks=pytest.mark.long)], ids=["a few", "five hundred"]
)
def test_every_cure_of_every_refusal_lands_when_it_is_pressed(plans: int) -> None:
    pressed = 0
    for plan in islice(dead(0), plans):
        refusals = propose(plan).refusals[:MOST_CURES]
        assert refusals
        for i, refusal in enumerate(refusals):
            assert refusal.change, refusal.message
            view = view_of(press(plan, str(i)))
            assert view.headline, f"{refusal.cure}: {plan!r}"
            assert not view.cures
            pressed += 1
    assert pressed >= plans


def test_a_width_that_is_offered_is_what_the_form_then_says() -> None:
    """She typed one width for all four borders; a change of two of them lets her old wording go."""
    plan = next(dead(0)).model_copy(update={"typed": {"border": "3 in", "sides_in.top": "60 in"}})
    changed = apply_change(plan, {"border_in.top": 5.0, "border_in.bottom": 5.0})
    again = read(values_of(changed)).plan
    assert again is not None
    assert again.border_in == changed.border_in
    assert changed.typed == {"sides_in.top": "60 in"}


def test_the_circle_that_is_offered_is_taken_into_the_tin() -> None:
    offered = 0
    for seed in range(40):
        rng = np.random.default_rng([seed, 12])
        across, down = (round(float(side) * 8) / 8 for side in rng.uniform(40, 100, size=2))
        plan = Plan(
            sides_in=SideLengths(top=across, bottom=across, left=down, right=down),
            border_in=SideLengths(top=6.0, bottom=6.0, left=6.0, right=6.0),
            tin_in=(3.0, 4.5),
            meeting="butted",
        )
        offer = propose(plan).offer
        if offer is None or offer.needs_circle is None:
            continue
        offered += 1
        assert view_of(pressed(values_of(plan))).offer
        again = read(press(plan, OFFER)).plan
        assert again is not None
        assert set(again.tin_in) == {3.0, 4.5, offer.needs_circle}
        first = propose(again).proposals[0]
        assert first.score <= offer.score + 1e-6
        if offered == 2:
            return
    pytest.fail("nothing was offered in forty quilts")


def test_room_that_leaves_no_band_is_told_with_a_cure() -> None:
    """She typed more room than the border has: that is said, and a button leaves it open again."""
    view = view_of({**values_of(demo_plan()), "fill.room_in": "5", "choice": ""})
    assert "no band is left for the curls" in view.cures[0].refusal.message
    assert view_of(pressed({**view.reading.values, "apply": "0"})).headline
