"""The order of islands, against every order there is."""

from __future__ import annotations

from itertools import pairwise, permutations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from planner.stitching.islands import tour

CARRY_IN = 0.5
PLACES = st.lists(arrays(float, (3, 2), elements=st.floats(0, 2, width=32)), min_size=1, max_size=6)


def starts(order: tuple[int, ...], islands: list[np.ndarray], here: np.ndarray) -> int:
    """How often the thread is begun anew along some order."""
    ends = [here[None], *(islands[i] for i in order)]
    return sum(np.linalg.norm(a[:, None] - b[None], axis=2).min() > CARRY_IN for a, b in pairwise(ends))


@settings(max_examples=60, deadline=None)
@given(PLACES)
def test_hardly_ever_a_start_more_than_the_best_order_has(islands: list[np.ndarray]) -> None:
    here = np.zeros(2)
    legs = tour(islands, here, np.zeros((0, 2)), CARRY_IN)
    assert sorted(leg.island for leg in legs) == list(range(len(islands)))
    best = min(starts(order, islands, here) for order in permutations(range(len(islands))))
    assert starts(tuple(leg.island for leg in legs), islands, here) <= best + 1
    for leg, following in pairwise(legs):
        gap = np.linalg.norm(islands[leg.island][leg.end] - islands[following.island][following.begin])
        assert leg.carried == (gap <= CARRY_IN)
    assert not legs[-1].carried


def test_a_row_is_gone_along_from_end_to_end() -> None:
    """Begun in the middle it is gone back over once, not at every island."""
    row = [np.array([[0.4 * n, 0.0]]) for n in (0, 3, 1, 4, 2)]
    legs = tour(row, None, np.zeros((0, 2)), CARRY_IN)
    assert [leg.carried for leg in legs] == [True] * 4 + [False]
