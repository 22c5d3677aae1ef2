"""Drift: after it the run lands exactly again, what is chalked stays, and every curl still leads into the next."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from planner.border.layout import Layout, place
from planner.demo import demo_plan
from planner.errors import ChoiceError
from planner.plan import SIDES, Choice, Drift, EaseLimits, Plan, SideName
from planner.solver import propose
from planner.solver.drifting import DriftError, spread_anew
from tests.laws import in_quilt, landing_error, of_bands, of_spine

GIVING = EaseLimits(lift_in=0.25, gap_in=0.25)  # a run that can take something up


def plan_of(corner: str = "mirrored", meeting: str = "any") -> Plan:
    update = {"choice": None, "corner": corner, "meeting": meeting, "ease_limits": GIVING}
    return demo_plan().model_copy(update=update)


def ways() -> list[tuple[Plan, Choice]]:
    """Of each meeting, and turning, the way with the most give before and behind it."""
    found = []
    for corner, meeting in (
        *(("mirrored", kind) for kind in ("butted", "full_circle", "wreath", "little_spines", "lattice")),
        ("turning", "any"),
    ):
        plan = plan_of(corner, meeting)
        proposals = propose(plan).proposals
        best = max(proposals, key=lambda one: min(e.lift + e.gap for e in one.ease.values()), default=None)
        if best:
            found.append((plan, best.choice))
    return found


WAYS = ways()


def row(layout: Layout, side: SideName) -> list[tuple[float, float]]:
    chain = layout.own[side]
    return [
        c.centre for c in (*chain.circles, *([chain.ring] if chain.ring and chain.ring.row != "ring" else []))
    ]


def test_the_ways_are_of_every_kind() -> None:
    kinds = {(plan.corner, choice.meeting) for plan, choice in WAYS}
    assert len(kinds) >= 5


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_landing_exact_again_and_the_first_circles_untouched(data: st.DataObject) -> None:
    plan, choice = data.draw(st.sampled_from(WAYS))
    side = data.draw(st.sampled_from(SIDES))
    before = place(plan, choice)
    curl = data.draw(st.integers(1, len(before.own[side].circles) - 1))
    by_in = data.draw(st.floats(-0.2, 0.4))
    far = plan.corner == "turning" and data.draw(st.booleans())
    try:
        layout = spread_anew(plan, choice, Drift(side=side, curl=curl, by_in=by_in, from_far_end=far))
    except DriftError:
        assume(False)
    lawful(layout)
    was, now = row(before, side), row(layout, side)
    if far:
        span = layout.quilt.own[side].span
        was, now = ([(span - u, h) for u, h in reversed(one)] for one in (was, now))
    assert len(was) == len(now)
    for i, (planned, chalked) in enumerate(zip(was[:curl], now[:curl], strict=True)):
        assert chalked[1] == planned[1]
        assert chalked[0] == pytest.approx(planned[0] + by_in * (i + 1) / curl, abs=1e-12)
    two_r = choice.run_diameter_in
    gaps = [hypot(a[0] - b[0], a[1] - b[1]) - two_r for a, b in pairwise(now)]
    assert min(gaps) > -1e-9, "circles never overlap, so every tangent is there"
    assert max(gaps[curl - 1 :]) <= GIVING.gap_in + 1e-9
    ease = layout.own[side].ease
    assert 0 <= ease.lift <= GIVING.lift_in + 1e-9
    for other in set(SIDES) - {side}:
        assert row(layout, other) == row(before, other)


def lawful(layout: Layout) -> None:
    """Landing, tangents, clearances of every side, by the judge of all layouts."""
    plan, choice = layout.plan, layout.choice
    assert [*of_bands(layout), *in_quilt(layout)] == []
    for bands, chains in ((layout.quilt.bands, layout.chains), (layout.quilt.own, layout.own)):
        for side in SIDES:
            drawn = bands is layout.quilt.bands
            assert abs(landing_error(plan, choice, bands[side], chains[side], drawn=drawn)) < 1e-9
            assert [*of_spine(plan, choice, bands[side], chains[side])] == []


def test_two_drifts_one_after_another() -> None:
    plan, choice = WAYS[0]
    first = spread_anew(plan, choice, Drift(side="top", curl=3, by_in=0.05))
    second = spread_anew(plan, first.choice, Drift(side="top", curl=6, by_in=0.05))
    assert row(second, "top")[:3] == row(first, "top")[:3]
    lawful(second)


@pytest.mark.parametrize("curl", [4, 6])
def test_a_report_at_or_before_an_earlier_one_takes_its_place(curl: int) -> None:
    """Off the places she reads now: the share of the earlier one that her curl has is in them already."""
    plan, choice = WAYS[0]
    first = spread_anew(plan, choice, Drift(side="top", curl=6, by_in=0.06))
    second = spread_anew(plan, first.choice, Drift(side="top", curl=curl, by_in=0.01))
    alone = spread_anew(plan, choice, Drift(side="top", curl=curl, by_in=0.06 * curl / 6 + 0.01))
    for one, other in zip(row(second, "top"), row(alone, "top"), strict=True):
        assert one == pytest.approx(other, abs=1e-9)
    lawful(second)
    back = spread_anew(plan, second.choice, Drift(side="top", curl=curl, by_in=-0.06 * curl / 6 - 0.01))
    for one, other in zip(row(back, "top"), row(place(plan, choice), "top"), strict=True):
        assert one == pytest.approx(other, abs=1e-9)  # it was a slip: as planned again


def test_what_cannot_be_spread_names_the_nearest_curl_from_which_it_can() -> None:
    plan, choice = WAYS[0]
    curl = len(place(plan, choice).own["top"].circles) - 2
    with pytest.raises(DriftError) as refused:
        spread_anew(plan, choice, Drift(side="top", curl=curl, by_in=1.5))
    back = refused.value.back
    assert back is not None
    assert back.curl < curl
    assert f"go on from curl {back.curl}" in refused.value.cure
    assert back.by_in == pytest.approx(1.5 * back.curl / curl)
    spread_anew(plan, choice, back)
    nearer = Drift(side="top", curl=back.curl + 1, by_in=1.5 * (back.curl + 1) / curl)
    with pytest.raises(DriftError):
        spread_anew(plan, choice, nearer)


@pytest.mark.parametrize(("curl", "by_in"), [(1000, 0.1), (3, 0.0), (3, -3.0)])
def test_what_is_no_drift_is_refused_in_words(curl: int, by_in: float) -> None:
    plan, choice = WAYS[0]
    with pytest.raises(DriftError) as refused:
        spread_anew(plan, choice, Drift(side="top", curl=curl, by_in=by_in))
    assert refused.value.cure


def test_a_drift_is_part_of_the_stamp_and_of_nothing_older() -> None:
    plan, choice = WAYS[0]
    before = place(plan, choice)
    after = spread_anew(plan, choice, Drift(side="top", curl=3, by_in=0.05))
    assert after.stamp != before.stamp
    assert Choice.model_validate(choice.model_dump(exclude={"drifts"})) == choice


def test_another_way_drops_the_drift() -> None:
    plan, choice = WAYS[0]
    after = spread_anew(plan, choice, Drift(side="top", curl=3, by_in=0.05))
    wrong = after.choice.model_copy(update={"drifts": (Drift(side="top", curl=900, by_in=0.1),)})
    with pytest.raises(ChoiceError):
        place(plan, wrong)
    assert all(not one.choice.drifts for one in propose(after.plan).proposals)
