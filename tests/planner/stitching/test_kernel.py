"""What trees and chains leave of a drawing, and that nothing is lost with them: against networkx's matching."""

from __future__ import annotations

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.stitching.kernel import changed, kernel_of
from planner.stitching.postman import Edge, connected_components, minimum_t_join, odd_nodes


@pytest.mark.parametrize(
    ("edges", "doubled"),
    [
        ([(0, 1, 1.0), (1, 2, 2.0), (1, 3, 3.0), (3, 4, 4.0)], {0, 1, 2, 3}),  # a tree: all of it
        ([(0, 1, 1.0), (1, 2, 2.0), (2, 0, 4.0)], set()),  # a ring: nothing
        ([(0, 1, 1.0), (1, 2, 2.0), (2, 0, 4.0), (0, 3, 1.5)], {3}),  # and a stem on it
        ([(0, 1, 1.0), (0, 1, 2.0), (0, 1, 3.0)], {0}),  # three side by side: the shortest
        ([(0, 0, 5.0), (0, 1, 2.0)], {1}),  # a loop leads nowhere
    ],
)
def test_trees_and_rings_leave_nothing(edges: list[Edge], doubled: set[int]) -> None:
    kernel = kernel_of(edges, odd_nodes(edges))
    assert not kernel.edges
    assert changed(kernel.doubled) == doubled
    assert kernel.length == pytest.approx(sum(edges[i][2] for i in doubled))


def test_a_node_that_meets_three_others_stays() -> None:
    ends = [(a, b, 1.0 + a + b) for a in range(4) for b in range(a)]
    split = [(a, 10 + n, length / 2) for n, (a, _, length) in enumerate(ends)]
    split += [(10 + n, b, length / 2) for n, (_, b, length) in enumerate(ends)]
    kernel = kernel_of(split, odd_nodes(split))
    assert sorted((*sorted((a, b)), length) for a, b, length in kernel.edges) == sorted(
        (*sorted((a, b)), length) for a, b, length in ends
    )
    assert kernel.odd == set(range(4))


@given(
    st.lists(
        st.tuples(st.integers(0, 9), st.integers(0, 9), st.integers(1, 40).map(float)),
        min_size=1,
        max_size=16,
    )
)
def test_no_dearer_than_by_matching(edges: list[Edge]) -> None:
    for group in connected_components(edges):
        mine = [edges[i] for i in group]
        odd = odd_nodes(mine)
        best = minimum_t_join(mine, odd, 0)
        if not best.exact:
            continue
        assert odd_nodes(mine[i] for i in best.doubled) == odd
        assert sum(mine[i][2] for i in best.doubled) == pytest.approx(best.length)
        assert best.length == pytest.approx(matched(mine, odd))


def matched(edges: list[Edge], odd: set[int]) -> float:
    """The cheapest pairing of the odd nodes by the shortest ways between them (Edmonds and Johnson)."""
    graph = nx.Graph()
    for a, b, length in sorted(edges, key=lambda edge: -edge[2]):
        graph.add_edge(a, b, weight=length)
    far = dict(nx.all_pairs_dijkstra_path_length(graph))
    pairs = nx.Graph((a, b, {"weight": far[a][b]}) for a in odd for b in odd if a < b)
    return float(sum(far[a][b] for a, b in nx.min_weight_matching(pairs)))
