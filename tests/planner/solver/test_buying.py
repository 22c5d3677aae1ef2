"""Which circle to buy next, against the plain way: put the size into the tin and solve again."""

from __future__ import annotations

from itertools import combinations

import pytest

from planner.demo import demo_plan
from planner.plan import Plan
from planner.solver import propose
from planner.solver.buying import LANDS, MOST, WORTH, NextCircle, missing_circles, next_circles, serving_most
from planner.solver.changes import apply_change

POOR = (3.0, 5.0)  # a tin with which the demo's quilt lands badly, or not at all


def plans() -> list[Plan]:
    demo = demo_plan()
    narrow = {"top": 6.0, "right": 6.0, "bottom": 6.0, "left": 6.0}
    return [
        apply_change(demo, {"tin_in": (2.0, 3.0, 4.5)}),
        apply_change(demo, {"tin_in": (2.5, 3.5), "border_in": narrow}),
        apply_change(demo, {"tin_in": POOR, "ease_limits": {"lift_in": 0.03, "gap_in": 0.0}}),
    ]


def asked(plan: Plan) -> tuple[NextCircle, ...]:
    return next_circles(plan, (propose(plan).proposals or (None,))[0])


@pytest.mark.parametrize("plan", plans(), ids=["8 in", "6 in", "hardly any"])
def test_a_size_is_worth_what_it_betters(plan: Plan) -> None:
    now = propose(plan).proposals
    found = asked(plan)
    assert found
    assert [one.worth for one in found] == sorted((one.worth for one in found), reverse=True)
    for one in found[:MOST]:
        assert missing_circles(plan, one.proposal.choice) == [one.diameter_in]
        with_it = apply_change(plan, {"tin_in": tuple(sorted((*plan.tin_in, one.diameter_in)))})
        best = propose(with_it).proposals[0]
        assert best.score == pytest.approx(one.proposal.score, abs=1e-9)
        assert one.worth == pytest.approx(now[0].score - best.score if now else LANDS, abs=1e-9)
        assert one.worth >= WORTH


def test_no_other_round_size_betters_a_plan_more() -> None:
    plan = plans()[0]
    first, now = asked(plan)[0], propose(plan).proposals[0].score
    for quarters in range(8, 32):
        size = quarters / 4
        if size in plan.tin_in:
            continue
        with_it = propose(apply_change(plan, {"tin_in": tuple(sorted((*plan.tin_in, size)))}))
        assert now - with_it.proposals[0].score <= first.worth + 1e-9


def test_who_cuts_her_own_is_told_none() -> None:
    assert asked(apply_change(plans()[0], {"cut_own": True})) == ()


@pytest.mark.parametrize(
    "worth",
    [
        [{4.0: 0.5}, {4.0: 0.2, 5.0: 0.9}, {5.0: 0.3}],
        [{4.0: 0.5}, {}, {5.0: 0.9, 6.0: 0.1}, {6.0: 0.4}],
        [{}, {}],
        [],
    ],
)
def test_the_sizes_for_a_shelf_serve_the_most_plans(worth: list[dict[float, float]]) -> None:
    """No single size betters more plans than the first; where the two are all there is, no pair betters more."""
    found = serving_most(worth)
    sizes = {size for one in worth for size in one}
    assert all(
        one.plans == tuple(n for n, has in enumerate(worth) if one.diameter_in in has) for one in found
    )
    if not sizes:
        assert found == ()
        return
    assert len(found[0].plans) == max(sum(size in has for has in worth) for size in sizes)
    both = len({n for one in found for n in one.plans})
    assert both == max(
        sum(bool({*pair} & {*has}) for has in worth) for pair in combinations((*sizes, 0.0), 2)
    )
