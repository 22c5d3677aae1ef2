"""A counted comparison is solved once: for what is counted, and for what is told of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from planner import compare
from planner.compare import Obstacle, by_width
from planner.demo import demo_plan
from planner.plan import Plan
from planner.solver import Chosen, choose
from server import counting
from server.drawn import counted_work


def test_a_counted_comparison_is_solved_once(monkeypatch: pytest.MonkeyPatch) -> None:
    solved: list[float] = []
    kept: dict[str, object] = {}

    def counted(plan: Plan) -> Chosen:
        solved.append(plan.border_in.top)
        return choose(plan)

    def shared(key: str, make: Callable[[], object]) -> object:
        if key not in kept:
            kept[key] = make()
        return kept[key]

    compare._solved.cache_clear()  # as another worker knows nothing of it
    monkeypatch.setattr(compare, "choose", counted)
    monkeypatch.setattr(counting, "shared", shared)
    variants = by_width(demo_plan(), [7.0, 8.5], "centre")
    first, _ = counting.chosen_plans(variants)
    assert first
    works = (counted_work(first), Obstacle("It cannot be stitched so.", "Take another."))
    told = tuple(replace(one, work=work) for one, work in zip(variants, works, strict=True))
    compare._solved.cache_clear()
    found = counting.side_by_side(told)
    assert solved == [7.0, 8.5]
    assert found == compare.compare(told)
    assert [bool(column.solved) for column in found.columns] == [True, False]
    assert "Starts" in {row.name for row in found.rows}
