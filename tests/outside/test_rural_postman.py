"""A line over what is new that may travel over what is stitched, against every way to choose its edges."""

from __future__ import annotations

from itertools import pairwise, product

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.stitching.postman import Edge
from planner.stitching.rural_postman import rural_postman
from tests.outside.matching import joined

Trip = tuple[list[Edge], list[Edge], int, int | None]


@st.composite
def trips(draw: st.DrawFn) -> Trip:
    """A stitched tree of up to six nodes and an edge more, up to four new edges on it, where to begin and end."""
    n = draw(st.integers(2, 6))
    node = st.integers(0, n - 1)
    length = st.integers(1, 40).map(lambda i: i / 8)
    stitched = [(i, draw(st.integers(0, i - 1)), draw(length)) for i in range(1, n)]
    stitched += draw(st.lists(st.tuples(node, node, length), max_size=1))
    new = draw(st.lists(st.tuples(node, node, length), min_size=1, max_size=4))
    return new, stitched, draw(node), draw(st.none() | node)


def length_of(edges: list[Edge], steps: list[tuple[int, bool]]) -> float:
    return sum(edges[i][2] for i, _ in steps)


def least(new: list[Edge], stitched: list[Edge], start: int, goal: int | None) -> float:
    """The shortest of all lines: new edges once or twice, stitched ones up to twice, Euler's condition, joined."""
    edges = [*new, *stitched]
    best = float("inf")
    for times in product(*[(1, 2)] * len(new), *[(0, 1, 2)] * len(stitched)):
        graph = nx.MultiGraph()
        graph.add_node(start)
        for (a, b, _), n in zip(edges, times, strict=True):
            graph.add_edges_from([(a, b)] * n)
        ends = {v for v in graph if graph.degree[v] % 2} ^ {start}
        right = len(ends) == 1 if goal is None else ends == {goal}
        if right and nx.is_connected(graph):
            best = min(best, sum(n * edge[2] for edge, n in zip(edges, times, strict=True)))
    return best


@given(trips())
def test_it_covers_all_that_is_new_and_is_near_the_shortest(asked: Trip) -> None:
    """Never more than half as long again (the bound of joining first and pairing then); mostly the shortest."""
    new, stitched, start, goal = asked
    edges = [*new, *stitched]
    steps = rural_postman(*asked)
    stops = [(edges[i][0], edges[i][1]) if on else (edges[i][1], edges[i][0]) for i, on in steps]
    assert stops[0][0] == start
    assert goal is None or stops[-1][1] == goal
    assert all(before[1] == after[0] for before, after in pairwise(stops))
    assert {i for i, _ in steps} >= set(range(len(new)))
    shortest = least(*asked)
    assert shortest - 1e-9 <= length_of(edges, steps) <= 1.5 * shortest + 1e-9


def test_a_row_of_loops_is_passed_once() -> None:
    """Loops on a line, begun at one end, left at the other: the line is travelled once; back again, twice."""
    loops = [(i, i, 3.0) for i in range(6)]
    line = [(i, i + 1, 1.0) for i in range(5)]
    assert length_of(loops + line, rural_postman(loops, line, 0, 5)) == 18 + 5
    assert length_of(loops + line, rural_postman(loops, line, 0, 0)) == 18 + 10
    assert length_of(loops + line, rural_postman(loops, line, 0)) == 18 + 5


def test_in_a_mesh_too_wide_for_tables() -> None:
    """A frame with a great many lines across it: what is retraced is near the least by matching."""
    n = 60
    frame = [(i, (i + 1) % n, 1 + (5 * i % 7) / 8) for i in range(n)]
    across = [(i, (i + 30 + 4 * (i % 5)) % n, 20.0) for i in range(0, n // 2)]
    new = frame + across
    graph: nx.Graph = nx.Graph()
    graph.add_weighted_edges_from(new)
    retraced = length_of(new, rural_postman(new, [], 0)) - sum(edge[2] for edge in new)
    floor = joined(new, graph)
    assert floor - 1e-9 <= retraced <= 1.25 * floor + 3


def test_a_wide_mesh_that_nothing_leads_to_is_told_too() -> None:
    """Two frames with lines across them, apart: their odd nodes cannot be paired with the start's."""
    mesh = [(i, (i + 1) % 60, 1.0) for i in range(60)] + [
        (i, (i + 30 + 4 * (i % 5)) % 60, 20.0) for i in range(30)
    ]
    apart = [(a + 100, b + 100, length) for a, b, length in mesh]
    with pytest.raises(ValueError, match="does not hang together"):
        rural_postman(mesh + apart, [], 200, 0)


def test_what_nothing_leads_to_is_told() -> None:
    with pytest.raises(ValueError, match="does not hang together"):
        rural_postman([(0, 1, 1.0), (2, 3, 1.0)], [], 0)


def test_a_goal_that_nothing_leads_to_is_none() -> None:
    """The line is stitched whole, and ends where it is shortest."""
    assert rural_postman([(0, 1, 1.0)], [(5, 6, 1.0)], 0, 6) == [(0, True)]
    assert rural_postman([(0, 0, 1.0)], [], 0, 9) == [(0, True)]
