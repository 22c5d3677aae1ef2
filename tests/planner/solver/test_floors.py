"""What nobody could stitch is refused where it is typed, each with its reason; what is at the floor is not."""

from __future__ import annotations

import json
import tracemalloc
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.border.corners.styles import CORNER_STYLES
from planner.border.meetings import MEETINGS
from planner.demo import demo_plan
from planner.errors import PlanError
from planner.fills.styles import FILLS
from planner.plan import SIDES, Plan
from planner.solver import choose, counts, easy, landed, landing, propose, rank, refusals, search, tries
from planner.solver.changes import apply_change
from planner.solver.floors import FLOORS, check_floors
from planner.solver.propose import kept

# What one plan may take: counts that are landed, ways of a pair of sides whose ease is sought (a count has as many
# as there are rings), reaches that are worked out, curls that are sized (easy-going: twice each, as measured and as
# drawn, in the search and where nothing lands in the questions after it). The usual demo takes 6,000 and 100; each
# of the four, alone, is less than a second.
MOST_WORK = {
    "landed": 120_000,
    "eased": 400_000,
    "reached": 6_000,
    "sized": round(
        2.1 * (easy.PATIENCE + sum(most for _, most in refusals._QUESTIONS))
    ),  # a pair of counts is tried to its end
}
MOST_BYTES = 200_000_000
NEAR = {"tin_in": [1 + n / 20 for n in range(60)]}
WREATHS = {"meeting": "wreath", "fill": {"kind": "leaves"}, "cut_own": True}


def demo_with(part: str, name: str, value: float) -> Plan:
    plan: dict[str, Any] = demo_plan().model_dump(mode="json")
    plan[part] = {**plan[part], name: value}
    return Plan.model_validate_json(json.dumps({**plan, "choice": None}))


@pytest.mark.parametrize("name", FLOORS)
def test_a_need_under_its_floor_is_refused_beside_its_field(name: str) -> None:
    least = FLOORS[name][0]
    for ask in (propose, choose):
        with pytest.raises(PlanError) as told:
            ask(demo_with("fill", name, least * 0.99))
        assert told.value.field == f"fill.{name}"
        assert told.value.cure
    check_floors(demo_with("fill", name, least))


@pytest.mark.parametrize("name", ["lift_in", "gap_in"])
def test_more_ease_than_a_run_may_show_is_refused(name: str) -> None:
    with pytest.raises(PlanError) as told:
        propose(demo_with("ease_limits", name, 0.3))
    assert told.value.field == f"ease_limits.{name}"
    check_floors(demo_with("ease_limits", name, 0.25))


def test_a_narrow_band_takes_a_quarter_of_itself_at_most() -> None:
    plan = demo_with("ease_limits", "lift_in", 0.25)
    narrow = plan.model_copy(
        update={
            "border_in": plan.border_in.model_copy(
                update=dict.fromkeys(("top", "right", "bottom", "left"), 1.5 + plan.binding_allowance_in)
            )
        }
    )
    with pytest.raises(PlanError) as told:
        check_floors(narrow)
    assert told.value.field == "ease_limits.lift_in"


def extreme(border: float, **more: Any) -> Plan:
    """A square of twenty feet, sixty circles, the widest ease: the most that passes the floors."""
    plan: dict[str, Any] = demo_plan().model_dump(mode="json")
    plan |= {
        "sides_in": dict.fromkeys(SIDES, 240.0),
        "border_in": dict.fromkeys(SIDES, border),
        "choice": None,
    }
    plan |= {"tin_in": [1 + n / 8 for n in range(60)], "ease_limits": {"lift_in": 0.25, "gap_in": 0.25}}
    return Plan.model_validate_json(json.dumps(plan | more))


@pytest.mark.parametrize(
    ("border", "more"),
    [(4.0, {}), (8.0, {}), (20.0, {}), (12.0, {"cut_own": True}), (6.0, NEAR), (8.0, NEAR), (23.25, WREATHS)],
    ids=["4", "8", "20", "12, she cuts", "6, near sizes", "8, near sizes", "23 1/4, rings she cuts"],
)
def test_what_passes_is_solved_with_bounded_work(border: float, more: dict[str, Any]) -> None:
    done = work_of(extreme(border, **more))
    assert all(done[what] <= most for what, most in MOST_WORK.items()), done


def work_of(plan: Plan) -> Counter[str]:
    """How much is done until a plan is solved or refused, counted where it is done."""
    done: Counter[str] = Counter()

    def counted(where: Any, name: str, what: str, size: Callable[[Any, Any], int]) -> None:
        work = getattr(where, name)

        def counting(*given: Any, **more: Any) -> Any:
            found = work(*given, **more)
            done[what] += size(given, found)
            return found

        patch.setattr(where, name, counting)

    kept.clear()
    with pytest.MonkeyPatch.context() as patch:
        for where in (counts, landing):
            counted(where, "every_count", "landed", lambda given, found: len(found[0]))
        counted(landing, "_by_ease", "eased", lambda given, found: sum(map(len, given[1])))
        counted(search, "with_reach", "reached", lambda given, found: len(given[3]))
        counted(easy.easygoing, "chains", "sized", lambda given, found: sum(map(given[2].counts.of, SIDES)))
        found = propose(plan)
    assert found.proposals or found.refusals
    return done


@st.composite
def extremes(draw: st.DrawFn) -> Plan:
    """Large quilts with many circles and much ease, of every kind of corner, meeting, fill and width."""
    length = st.floats(150, 240)
    size, width = draw(length), draw(st.floats(3, 31.5))
    fill: dict[str, Any] = {"kind": draw(st.sampled_from(sorted(FILLS)))}
    for need, most in (("longest_in", 30.0), ("room_in", 3.0), ("smallest_curl_in", 3.0)):
        fill[need] = draw(st.none() | st.floats(FLOORS[need][0], most))
    sizes = st.floats(0.5, 12).map(lambda d: round(d, 2))
    return extreme(
        width,
        sides_in={side: draw(st.just(size) | length) for side in SIDES},
        border_in={side: draw(st.just(width) | st.floats(0.9 * width, width)) for side in SIDES},
        tin_in=sorted(
            draw(st.just([1 + n / 8 for n in range(60)]) | st.lists(sizes, min_size=1, max_size=60))
        ),
        cut_own=draw(st.booleans()),
        corner=draw(st.sampled_from(sorted(CORNER_STYLES))),
        meeting=draw(st.sampled_from(["any", *sorted(MEETINGS)])),
        run=draw(st.sampled_from(["any", "level", "rolling"])),
        tail_deg=draw(st.sampled_from([30.0, 90.0, 150.0])),
        fill=fill,
    )


@pytest.mark.long
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plan=extremes())
def test_whatever_passes_is_solved_with_bounded_work(plan: Plan) -> None:
    try:
        done = work_of(plan)
    except PlanError as refused:
        assert refused.field, "it says where"
        return
    assert all(done[what] <= most for what, most in MOST_WORK.items()), done


@pytest.mark.long
@pytest.mark.parametrize("border", [6.0, 16.0, 28.0, 31.0])
@pytest.mark.parametrize("corner", sorted(CORNER_STYLES))
def test_whatever_passes_is_solved_with_bounded_memory(border: float, corner: str) -> None:
    kept.clear()
    tracemalloc.start()
    try:
        propose(extreme(border, corner=corner, cut_own=True))
        assert tracemalloc.get_traced_memory()[1] <= MOST_BYTES
    finally:
        tracemalloc.stop()


def test_what_was_not_tried_is_not_denied(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the search ends before everything was tried, the refusal says so."""
    plan = extreme(31.0)
    monkeypatch.setattr("planner.solver.refusals._OF_ONE", 1)
    kept.clear()
    (refusal,) = propose(plan).refusals
    assert "that were tried" in refusal.message
    assert "none of the changes" not in refusal.message


@pytest.mark.long
def test_fewer_circles_find_what_all_of_them_would(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is left out looks like what is tried: the best costs no more than a little more."""
    for border in (4.0, 12.0):
        some = propose(extreme(border)).proposals[0].score
        with monkeypatch.context() as all_of_them:
            all_of_them.setattr(tries, "_MOST_TRIES", 10**9)
            all_of_them.setattr(landed, "_FEW", 1000)
            all_of_them.setattr(search, "PATIENCE", 10**9)
            every = rank.best(extreme(border))
        assert every is not None
        assert some <= every.score + 0.25


@pytest.mark.parametrize("border", [32.0, 60.0, 119.0])
def test_a_border_that_no_curl_reaches_across_is_refused(border: float) -> None:
    with pytest.raises(PlanError) as told:
        propose(extreme(border))
    assert told.value.field == "border_in.top"
    assert "31 3/4 in" in told.value.cure
    check_floors(extreme(31.75))
    longer = extreme(border, fill={"kind": "feathers", "longest_in": border})
    check_floors(longer)  # she says that she can stitch them


def test_no_cure_is_offered_that_would_be_refused() -> None:
    """More ease than a run may show is no cure: the same plan with it must land."""
    plan = demo_with("ease_limits", "gap_in", 0.25).model_copy(update={"tin_in": (2.0,)})
    for refusal in propose(plan).refusals:
        if refusal.change:
            assert propose(apply_change(plan, refusal.change)).proposals, refusal
