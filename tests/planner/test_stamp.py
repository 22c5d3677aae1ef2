"""The stamp: the same for the same drawing, another for any other, readable off a sheet."""

from __future__ import annotations

from typing import Any

import pytest

from planner.border.layout import Layout, place
from planner.demo import demo_choice, demo_plan
from planner.plan import Choice, Plan
from planner.stamp import NOT_COUNTED, SIGNS, stamp_of
from tests.planner.landed import example

OTHER: dict[str, Any] = {
    "name": "Another", "units": "mm", "look": {"cloth": "#000000"}, "tags": ["red"], "typed": {"border": "8 in"},
    "tin_in": [3.5, 7.0, 2.0], "cut_own": True, "meeting": "wreath", "run": "rolling", "choice": None,
    "ease_limits": {"gap_in": 0.25}, "centre_apart_in": 0.5, "answers": {"bobbin": "L"},
}  # fmt: skip


def changed(plan: Plan, field: str, value: Any) -> Plan:
    data = plan.model_dump(mode="json")
    data[field] = {**data[field], **value} if isinstance(value, dict) else value
    return Plan.model_validate_json(Plan.model_construct(**data).model_dump_json(warnings=False))


def drawn(layout: Layout) -> list[object]:
    return [layout.corners, layout.circles, layout.rings, layout.spines, layout.own]


def test_six_signs_that_are_taken_for_no_others() -> None:
    stamp = example().stamp
    assert len(stamp) == 6
    assert set(stamp) <= set(SIGNS)
    assert not set(SIGNS) & set("0O1IL5S2Z8BUV")


@pytest.mark.parametrize("field", OTHER)
def test_what_does_not_count_does_not_draw(field: str) -> None:
    plan = changed(demo_plan(), field, OTHER[field])
    assert plan != demo_plan()
    one, other = place(demo_plan(), demo_choice()), place(plan, demo_choice())
    assert one.stamp == other.stamp
    assert drawn(one) == drawn(other)


def test_threads_count_by_what_they_stitch_and_not_by_how_they_are_described() -> None:
    def threaded(*colours: str, **stitched_with: int) -> str:
        threads = [{"name": colour, "colours": [colour], "spool": "40 wt"} for colour in colours]
        plan = changed(demo_plan(), "threads", threads)
        return stamp_of(changed(plan, "stitched_with", stitched_with), demo_choice())

    assert threaded("#ffffff") == stamp_of(demo_plan(), demo_choice()), "one thread that she only describes"
    assert threaded("#ffffff", "#000000", tips=1) == threaded("#112233", "#445566", tips=1)
    assert threaded("#ffffff", "#000000", tips=1) != threaded("#ffffff", "#000000")
    assert set(NOT_COUNTED) == {*OTHER, "threads"}


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("sides_in", {"top": 90.0}), ("border_in", {"top": 8.25}), ("binding_allowance_in", 0.0),
        ("fill", {"kind": "leaves"}), ("fill", {"longest_in": 2.75}), ("corner", "turning"), ("tail_deg", 80.0),
        ("ease_limits", {"lift_in": 0.0625}), ("seed", 2), ("strip_spacing_in", 0.625),
    ],
)  # fmt: skip
def test_whatever_may_draw_counts(field: str, value: Any) -> None:
    plan = changed(demo_plan(), field, value)
    assert stamp_of(plan, demo_choice()) != stamp_of(demo_plan(), demo_choice())


def test_every_field_of_a_plan_and_of_a_choice_counts_unless_it_is_listed() -> None:
    """A field that is added one day counts by itself: the list names what does not, and nothing else."""
    assert set(NOT_COUNTED) <= set(Plan.model_fields)

    class Later(Plan):
        beads: int = 1

    plan = demo_plan().model_dump()
    assert stamp_of(Later(**plan), demo_choice()) == stamp_of(demo_plan(), demo_choice())
    assert stamp_of(Later(**plan, beads=2), demo_choice()) != stamp_of(demo_plan(), demo_choice())


@pytest.mark.parametrize("field", Choice.model_fields)
def test_every_part_of_a_choice_counts(field: str) -> None:
    other = {
        "meeting": "lattice",
        "middles_in": {"top": 2.0, "right": 2.0, "bottom": 2.5, "left": 2.0},
        "counts": {**demo_choice().counts.model_dump(), "top": 12},
        "room_in": 0.9375,
        "drifts": ({"side": "top", "curl": 3, "by_in": 0.25},),
    }
    value = other.get(field) or getattr(demo_choice(), field) + 1.0
    choice = Choice(**{**demo_choice().model_dump(), field: value})
    assert stamp_of(demo_plan(), choice) != stamp_of(demo_plan(), demo_choice())


def test_circles_that_wander_count_by_their_sizes() -> None:
    """An easy-going run takes its sizes from the tin: another tin may draw another border."""
    layout = example(5, tin_in=(3.4, 3.5, 3.6))
    same = example(5, tin_in=(3.4, 3.5, 3.6, 9.0))
    assert {layout.stamp == example(5, seed=seed).stamp for seed in (2, 3)} == {False}
    assert layout.stamp == same.stamp
