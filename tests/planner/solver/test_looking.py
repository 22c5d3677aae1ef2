"""Like with like: what comes nearest in look, against all proposals of the other border looked at one by one."""

from __future__ import annotations

from math import hypot, log

import pytest

from planner.compare import by_width, compare, like, with_width
from planner.demo import demo_plan
from planner.plan import Plan
from planner.solver import choose, propose
from planner.solver.changes import apply_change
from planner.solver.groups import SEEN
from planner.solver.looking import Look, alike, look_of

PLAN = demo_plan()


def look(plan: Plan) -> Look:
    found = look_of(choose(plan).layout)
    assert found
    return found


def apart(one: Look, other: Look) -> float:
    """As the module's words say it: 1 where one figure differs by what an eye just sees."""
    figures = (
        ("run", one.run, other.run),
        ("step", one.step, other.step),
        ("corner", one.corner, other.corner),
    )
    return hypot(*(log(b / a) / log(1 + SEEN[name]) for name, a, b in figures))


def test_a_plan_is_nearest_to_itself() -> None:
    mine = look(PLAN)
    nearest = alike(PLAN, mine)
    assert apart(mine, look(PLAN.model_copy(update={"choice": nearest}))) < 1e-6


@pytest.mark.parametrize("width", [6.0, 7.0, 9.5])
def test_no_proposal_of_another_width_looks_more_like_it(width: float) -> None:
    other, mine = with_width(PLAN, width, "outer").model_copy(update={"choice": None}), look(PLAN)
    nearest = alike(other, mine)
    assert nearest
    found = look(other.model_copy(update={"choice": nearest}))
    assert (found.meeting, found.level) == (mine.meeting, mine.level)
    for proposal in propose(other).proposals:
        theirs = look(other.model_copy(update={"choice": proposal.choice}))
        if (theirs.meeting, theirs.level) == (mine.meeting, mine.level):
            assert apart(mine, found) <= apart(mine, theirs) + 1e-6


def test_widths_are_compared_in_one_look_and_the_best_stands_beside() -> None:
    variants = by_width(PLAN, [6.0, 8.0, 9.0], "outer")
    plain = compare(variants).columns
    columns = compare(like(variants, look(PLAN))).columns
    for column, alone in zip(columns, plain, strict=True):
        assert column.solved and alone.solved
        if column.best:
            assert column.best.chosen.choice == alone.solved.chosen.choice != column.solved.chosen.choice
    mine = look(PLAN)
    assert any(column.best for column in columns)
    far = [apart(mine, look(one.solved.chosen.plan)) for one in columns if one.solved]
    usual = [apart(mine, look(one.solved.chosen.plan)) for one in plain if one.solved]
    assert sum(far) < sum(usual)


def test_columns_stand_in_the_order_she_asks_for() -> None:
    variants = by_width(PLAN, [6.0, 8.0, 40.0, 9.0], "outer")
    found = compare(variants, sort="Thread").columns
    thread = [one.solved.supplies.thread.needle_in for one in found if one.solved]
    assert thread == sorted(thread) and len(thread) == 3
    assert found[-1].solved is None
    assert [one.variant.label for one in compare(variants, sort="nonesuch").columns] == [
        v.label for v in variants
    ]


def test_corners_without_a_large_circle_have_no_such_look() -> None:
    easy = apply_change(PLAN, {"corner": "easy_going", "cut_own": True})
    assert look_of(choose(easy).layout) is None
    assert alike(easy, look(PLAN)) is None
