"""What was solved is kept: so many bytes of memory, least recently asked for first."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest

from planner.solver.choose import choose
from planner.solver.choose import kept as layouts
from planner.solver.memo import Memo, bytes_of
from tests.planner.solver.test_floors import extreme


def test_what_was_asked_for_longest_ago_goes_first() -> None:
    solved: list[str] = []

    def solve(question: str) -> tuple[float, ...]:
        solved.append(question)
        return (float(len(solved)),) * 1000

    memo = Memo(solve, 3 * bytes_of(solve("")))
    for question in ("one", "two", "three", "one", "four", "one", "two"):
        memo(question)
        assert memo.size <= memo.most_bytes
    assert solved == ["", "one", "two", "three", "four", "two"]


def test_the_very_last_is_kept_whatever_its_size() -> None:
    """It was put here to be asked for at once."""
    memo = Memo(str, 0)
    memo.put("one", "answer")
    memo.put("two", "another")
    assert "one" not in memo
    assert "two" in memo
    assert memo("two") == "another"
    memo.clear()
    assert memo.size == 0


@pytest.mark.parametrize("make", [lambda: [float(n) for n in range(5000)], lambda: np.zeros(50_000)])
def test_bytes_are_those_that_the_allocator_gave(make: object) -> None:
    """tracemalloc is the judge."""
    assert callable(make)
    tracemalloc.start()
    try:
        kept = make()
        given = tracemalloc.get_traced_memory()[0]
    finally:
        tracemalloc.stop()
    assert bytes_of(kept) == pytest.approx(given, rel=0.1)


def test_large_layouts_take_no_more_than_small_ones() -> None:
    """Sixty-four of them, as many as were kept of any size before, would take forty megabytes."""
    one = choose(extreme(4.0))
    layouts.clear()
    for n in range(200):
        layouts.put(f"layout {n}", one)
    assert 100_000 < bytes_of(one) < layouts.most_bytes
    assert layouts.size <= layouts.most_bytes
    layouts.clear()
