"""What the fill makes the needle go over again, against a floor found here by other means (networkx)."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from planner.border.layout import Layout
from planner.fills import fill as filled
from planner.fills.pocket import Pocket
from planner.fills.styles import FILLS
from planner.plan import Fill, FillKind
from planner.stitching.order import path_of
from planner.stitching.postman import Edge
from planner.stitching.segments import StitchPath
from tests.outside.matching import joined
from tests.planner.landed import example, layouts
from tests.planner.stitching.test_order import grown, invented_fill, with_spine

WITHIN = 1.15
ECHO_WITHIN = 1.6  # echo lines cross from pocket to pocket, and are cut there
MORE = 0.05  # of the whole way: the floor leaves out the ways between pockets, long in narrow borders
FAR_IN = 50.0  # no line goes so far from a pocket and back: all its ways in there are shorter


def floor_of(path: StitchPath) -> float:
    """No order that stitches spines first and finishes every pocket before the next retraces less.

    As long as it travels over spines, tips, the pocket's own shapes and what others have between two nodes of it.
    Of each pocket by itself: the bridges that alone join parts of it are gone over once at least, and what then
    meets a node an odd number of times is paired by the shortest ways. It is entered from what it stands on, or
    from a pocket that it meets, and left to there; only in the last pocket of a line the needle may stop anywhere.
    The way from pocket to pocket is counted as nothing.
    """
    ways: nx.Graph = nx.Graph()
    pockets: dict[Pocket, list[Edge]] = defaultdict(list)
    strands = {id(s.strand): s for s in path.segments if not s.again}
    for segment in strands.values():
        edges = [edge for *_, edge in segment.strand.pieces()]
        if segment.pocket:
            pockets[segment.pocket] += edges
            continue
        for edge in edges:
            add(ways, edge)
    tips = [s for s in path.segments if s.kind != "spine" and not s.pocket]
    tips_again = sum(s.length for s in tips if s.again and s.shape is not None)
    known: dict[tuple[float, ...], tuple[float, float]] = {}
    met = Counter(node for new in pockets.values() for node in {node for a, b, _ in new for node in (a, b)})
    doors = {node for node, times in met.items() if times > 1 or node in ways}
    total, stopped = path.least_retraced_spine + tips_again, 0.0
    for pocket, new in pockets.items():
        mine = {node for a, b, _ in new for node in (a, b)}
        others = [e for other, edges in pockets.items() if other != pocket for e in edges if {*e[:2]} <= mine]
        alike = tuple(sorted(round(length, 3) for *_, length in (*new, *others)))
        if alike not in known:
            known[alike] = floor_of_pocket(new, others, ways, doors)
        total += known[alike][0]
        stopped = max(stopped, known[alike][0] - known[alike][1])
    return total - path.starts * stopped


def floor_of_pocket(
    new: list[Edge], others: list[Edge], ways: nx.Graph, doors: set[int]
) -> tuple[float, float]:
    """What is retraced at least when the line comes and goes by doors; and when it may end anywhere."""
    mine = {node for a, b, _ in new for node in (a, b)}
    led = mine & set(ways)
    near = nx.multi_source_dijkstra_path_length(ways, led, cutoff=FAR_IN) if led else {}
    graph: nx.Graph = nx.Graph(ways.subgraph(near))
    fresh: set[frozenset[int]] = set()
    for edge in others:
        add(graph, edge)
    for a, b, length in new:
        add(graph, (a, b, length))
        fresh.add(frozenset((a, b)))
    needed: nx.Graph = nx.Graph(graph)
    while leaves := [node for node in needed if needed.degree[node] == 1 and node not in mine]:
        needed.remove_nodes_from(leaves)
    must = [
        (a, b, needed[a][b]["weight"])
        for a, b in list(nx.bridges(needed))
        if frozenset((a, b)) not in fresh and not needed[a][b].get("twice") and parts(needed, a, b, mine)
    ]
    again = sum(length for *_, length in must)
    free = again + joined([*new, *must], graph)
    if not mine & doors:
        return free, free
    to_end = nx.multi_source_dijkstra_path_length(graph, mine & doors)
    return again + joined([*new, *must], graph, to_end=to_end), free


def add(graph: nx.Graph, edge: Edge) -> None:
    a, b, length = edge
    if a == b:
        graph.add_node(a)
    elif graph.has_edge(a, b):
        graph.add_edge(a, b, weight=min(length, graph[a][b]["weight"]), twice=True)
    else:
        graph.add_edge(a, b, weight=length)


def parts(graph: nx.Graph, a: int, b: int, mine: set[int]) -> bool:
    """Whether a bridge parts what is to be stitched."""
    kept = graph[a][b]
    graph.remove_edge(a, b)
    apart = all(mine & nx.node_connected_component(graph, end) for end in (a, b))
    graph.add_edge(a, b, **kept)
    return apart


@pytest.mark.parametrize(("kind", "style"), grown((("feathers", 0), ("echo", 4))))
def test_little_more_is_retraced_than_pocket_by_pocket_needs(kind: FillKind, style: int) -> None:
    layout = with_spine(example(style, fill=Fill(kind=kind)), "first")
    path = path_of(layout, filled(layout))
    assert path.retraced <= (ECHO_WITHIN if kind == "echo" else WITHIN) * floor_of(path)


@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))
@given(layouts())
def test_the_fill_takes_the_needle_along_each_side_of_the_spines_once(layout: Layout) -> None:
    path = path_of(with_spine(layout, "first"), invented_fill(layout))
    spines = sum(part.piece.curve.length for part in layout.spines)
    assert sum(s.length for s in path.segments if s.kind == "travel") <= 2 * spines


@pytest.mark.long
@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])
@given(layouts(), st.sampled_from(list(FILLS)))
def test_little_more_on_any_layout(layout: Layout, kind: FillKind) -> None:
    chosen = replace(layout, plan=layout.plan.model_copy(update={"fill": Fill(kind=kind), "spine": "first"}))
    path = path_of(chosen, filled(chosen))
    assert path.retraced <= floor_of(path) + MORE * path.length
