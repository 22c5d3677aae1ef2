"""What is refused is cured: whatever a narrow border lacks, a change is offered, and with it the plan lands."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from planner.border.corners.styles import CORNER_STYLES
from planner.errors import PlanError
from planner.fills.styles import FILLS
from planner.plan import SIDES, Plan
from planner.solver import choose, propose
from planner.solver.changes import apply_change
from planner.solver.effort import Patience
from planner.solver.together import together

USUAL_TIN = [k / 8 for k in range(8, 60, 2)]  # every quarter inch from 1 in to 7 1/4 in


def quilt(width: float, **more: object) -> Plan:
    """A lap quilt with four borders alike."""
    lengths = {"top": 54.0, "right": 64.0, "bottom": 54.0, "left": 64.0}
    plan: dict[str, object] = {
        "sides_in": lengths,
        "border_in": dict.fromkeys(SIDES, width),
        "tin_in": USUAL_TIN,
    }
    return Plan.model_validate(plan | more)


@st.composite
def narrow(draw: st.DrawFn) -> Plan:
    """Quilts with borders of 1 1/2 to 4 in, with few circles or many, some needs fixed, every taste."""
    width = draw(st.integers(6, 16)) / 4
    across, down = draw(st.integers(240, 800)) / 8, draw(st.integers(240, 800)) / 8
    kind, density = draw(st.sampled_from(sorted(FILLS))), draw(st.sampled_from(["usual", "usual", "opener"]))
    fill: dict[str, object] = {"kind": kind, "density": density}
    fixed = {"room_in": (0.5, 0.75, 1.0), "longest_in": (1.0, 1.5, 2.0), "smallest_curl_in": (0.75, 1.0, 2.0)}
    for need in draw(st.sets(st.sampled_from(sorted(fixed)), max_size=2)):
        fill[need] = draw(st.sampled_from(fixed[need]))
    return quilt(
        width,
        sides_in={"top": across, "bottom": across, "right": down, "left": down},
        fill=fill,
        tin_in=sorted(draw(st.sets(st.integers(4, 29).map(lambda n: n / 4), min_size=1, max_size=8))),
        meeting=draw(st.sampled_from(["any", "butted", "wreath"])),
        run=draw(st.sampled_from(["any", "level", "rolling"])),
        corner=draw(st.sampled_from(sorted(CORNER_STYLES))),
        units=draw(st.sampled_from(["in", "mm"])),
    )


@pytest.mark.parametrize(
    "examples", [25, pytest.param(1000, marks=pytest.mark.long)], ids=["a few", "a thousand"]
)
def test_each_refusal_of_a_narrow_border_has_a_cure_that_lands(examples: int) -> None:
    cured = set[str]()

    @settings(max_examples=examples, deadline=None, suppress_health_check=list(HealthCheck))
    @given(plan=narrow())
    def check(plan: Plan) -> None:
        found = propose(plan)
        assume(not found.proposals)
        assert found.refusals
        for refusal in found.refusals:
            assert refusal.change, refusal.message
            assert propose(apply_change(plan, refusal.change)).proposals, refusal.cure
            cured.add(refusal.limit)

    check()
    assert len(cured) > 2


@pytest.mark.parametrize(("kind", "width"), [("fern", 3.0), ("fern", 2.5), ("ribbon", 3.25), ("holly", 3.0)])
def test_a_fill_that_wants_more_room_than_the_border_has_is_named(kind: str, width: float) -> None:
    """One cure leaves her the fill in less room, the other names every fill that lands."""
    plan = quilt(width, fill={"kind": kind})
    room, other = propose(plan).refusals
    assert (room.limit, other.limit) == ("room", "fill")
    assert FILLS[kind].spoken in room.message
    given = room.change and room.change["fill.room_in"]
    assert given < FILLS[kind].needs.least_room
    lands = [one for one in FILLS if one != kind and propose(quilt(width, fill={"kind": one})).proposals]
    assert lands
    assert all(FILLS[one].spoken in other.cure for one in lands)
    assert not any(FILLS[one].spoken in other.cure for one in FILLS if one not in lands)
    with pytest.raises(PlanError) as told:  # sheets and comparisons say the first
        choose(plan)
    assert (told.value.message, told.value.cure) == (room.message, room.cure)


def test_of_several_changes_none_can_be_left_out() -> None:
    plan = quilt(2.75, tin_in=[5.0], run="rolling", fill={"kind": "ribbon", "smallest_curl_in": 1.0})
    (found,) = together(plan, Patience(20_000))
    assert found.change
    assert len(found.change) > 1
    assert propose(apply_change(plan, found.change)).proposals
    for fewer in combinations(found.change.items(), len(found.change) - 1):
        assert not propose(apply_change(plan, dict(fewer))).proposals, fewer


@pytest.mark.parametrize("width", [5e-324, 1e-300, 1e-9, 1 / 64])
def test_a_border_of_no_width_at_all_is_refused_in_words(width: float) -> None:
    """A share of the least number there is was nought, and was divided by."""
    with pytest.raises(PlanError) as told:
        choose(quilt(width))
    assert told.value.cure
