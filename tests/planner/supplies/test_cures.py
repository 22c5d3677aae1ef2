"""What her threads cost in starts, and the cures: each is stitched through, and said as it is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.fills import fill as filled
from planner.plan import Fill, Plan
from planner.stitching.order import path_of
from planner.supplies.basis import DEFAULTS
from planner.supplies.by_thread import takes_by_thread
from planner.supplies.cures import both_orders, cures
from planner.supplies.thread import ratio_rule, thickness_rule
from planner.threads import PARTS, STARTING_POINTS, Working
from tests.planner.landed import SPINE_LAST, example, wall_hanging

SMALL = {"sides": (40.0, 40.0, 40.0, 40.0)}


def test_every_cure_costs_what_it_says() -> None:
    """Starts and minutes of each are those of the plan so changed; none has as many starts as the plan had."""
    layout = example(4, fill=Fill(kind="flowers"), **SMALL)
    point = next(one for one in STARTING_POINTS if one.key == "red_berries")
    plan = layout.plan.model_copy(
        update={"threads": point.threads, "stitched_with": dict(point.stitched_with)}
    )
    layout = replace(layout, plan=plan)
    fill = filled(layout)
    path = path_of(layout, fill)
    chosen, *fewer = cures(layout, fill, path)
    assert (chosen.name, chosen.starts, chosen.length) == ("as_chosen", path.starts, path.length)
    assert {"main_thread", "carried"} <= {one.name for one in fewer}
    for one in fewer:
        changed = Plan.model_validate(plan.model_dump() | dict(one.change))
        again = path_of(replace(layout, plan=changed), fill)
        assert one.starts == again.starts < chosen.starts
        assert one.carries == len(again.carried)
        assert one.minutes.quick < chosen.minutes.quick
    assert min(fewer, key=lambda one: one.starts) is fewer[0]


def test_a_spine_that_may_come_last_is_offered_so() -> None:
    """Green spine first, leaves begun anew again and again; with the spine last a start a thread."""
    rust, gold, green = SPINE_LAST["threads"]
    stitched_with = {"main": 1, "stems": 1, "accents": 1, "corners": 2}
    layout = wall_hanging(threads=(green, rust, gold), stitched_with=stitched_with)
    fill = filled(layout)
    path = path_of(layout, fill)
    found = {one.name: one for one in cures(layout, fill, path)}
    assert found["spine_last"].starts == 3 < path.starts
    plan = Plan.model_validate(layout.plan.model_dump() | dict(found["spine_last"].change))
    assert [one.name for one in plan.threads] == ["rust", "gold", "green"]
    assert (plan.stitched_with["spine"], plan.stitched_with["corners"]) == (2, 1)
    assert path_of(replace(layout, plan=plan), fill).starts == found["spine_last"].starts


def test_what_a_thread_takes_in_closed_form() -> None:
    """Needle thread: half the rule for each inch, and a tail at both ends of every start, with the waste."""
    layout = example(4, fill=Fill(kind="flowers"), **SMALL)
    layout = replace(layout, plan=layout.plan.model_copy(update={"threads": STARTING_POINTS[3].threads}))
    layout = replace(layout, plan=layout.plan.model_copy(update={"stitched_with": {"accents": 1}}))
    path = path_of(layout, filled(layout))
    rule = max(ratio_rule(), thickness_rule(DEFAULTS.thickness_in, DEFAULTS.stitches_per_inch))
    takes = takes_by_thread(path.threads, DEFAULTS, "in")
    assert len(takes) == 2
    for one in takes:
        tails = 2 * DEFAULTS.tail_in * one.path.starts
        assert one.sewn.needle_in == pytest.approx(
            (one.path.length * rule / 2 + tails) * (1 + DEFAULTS.waste)
        )
        assert one.tying.quick == pytest.approx(DEFAULTS.start_minutes * one.path.starts)
        assert one.minutes.quick > one.tying.quick


@pytest.mark.parametrize("point", STARTING_POINTS, ids=lambda point: point.key)
def test_a_starting_point_is_a_plan(point: object) -> None:
    assert point in STARTING_POINTS
    plan = example(4).plan.model_dump() | {
        "threads": point.threads,  # type: ignore[attr-defined]
        "stitched_with": dict(point.stitched_with),  # type: ignore[attr-defined]
        "travels": point.travels,  # type: ignore[attr-defined]
    }
    assert len(Plan.model_validate(plan).threads) == len(point.threads)  # type: ignore[attr-defined]
    assert set(point.stitched_with) <= {*PARTS.values(), "main"}  # type: ignore[attr-defined]


@pytest.mark.parametrize("accents", ["where_led", "grouped"])
def test_fewer_accents_are_fewer_starts(accents: str) -> None:
    layout = example(4, fill=Fill(kind="needles"), **SMALL)
    fill = filled(layout)
    plan = layout.plan.model_copy(
        update={"threads": STARTING_POINTS[4].threads, "stitched_with": {"accents": 1}}
    )
    starts = [
        path_of(replace(layout, plan=plan.model_copy(update={"accents": which})), fill).starts
        for which in ("all", accents)
    ]
    assert starts[1] < starts[0]


def test_both_orders_of_strips_and_threads_are_counted() -> None:
    """All threads in a strip, or one through all strips; with one thread or one strip there is but one order."""
    layout = example(4, fill=Fill(kind="flowers"), **SMALL)
    plan = layout.plan.model_copy(
        update={"threads": SPINE_LAST["threads"][:2], "stitched_with": {"flowers": 1, "eyes": 1}}
    )
    fill = filled(layout)
    frame = plan.model_copy(update={"working": Working(way="frame", reach_in=20.0)})
    path = path_of(framed := replace(layout, plan=frame), fill)
    strips = len(path.strips)
    by_strip, by_thread = both_orders(framed, fill, path)
    assert (by_strip.threads_by, by_strip.changes, by_strip.advances) == ("strip", 2 * strips - 1, strips - 1)
    assert (by_thread.threads_by, by_thread.changes, by_thread.advances) == ("thread", 1, 2 * strips - 1)
    whole = replace(layout, plan=plan)
    assert both_orders(whole, fill, path_of(whole, fill)) == ()
    one = replace(layout, plan=frame.model_copy(update={"threads": (), "stitched_with": {}}))
    assert both_orders(one, fill, path_of(one, fill)) == ()
