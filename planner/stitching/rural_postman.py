"""The rural postman: one line over what is still to be stitched, that travels over what is stitched already.

The problem is Orloff's (1974, "A fundamental problem in vehicle routing"); it is solved as Frederickson does
(1979), by joining the pieces and then doubling cheaply, only that this is weighed again with every join. Unlike
a whole drawing (postman.py), what is new may lie in pieces, and only stitched edges join them; these
need not be gone over at all. The edges doubled and travelled are the cheapest that let one line through; where
they leave what is new in pieces, the shortest ways between them are taken as well, and all is weighed again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import combinations
from math import inf

from planner.geometry.arrays import ROUNDING_IN
from planner.stitching.postman import (
    Edge,
    Step,
    connected_components,
    dijkstra,
    eulerian_trail,
    minimum_t_join,
    odd_nodes,
)


def rural_postman(
    new: Sequence[Edge], stitched: Sequence[Edge], start: int, goal: int | None = None
) -> list[Step]:
    """A line from start over every new edge, to the goal or to wherever it is shortest.

    A step's index counts through the new edges and on through the stitched ones. All that is new must hang
    together with the start; a goal that does not is none. No edge is gone over more than twice.
    """
    edges = [*new, *stitched]
    if goal is not None and not any(
        {start, goal} <= {node for i in group for node in edges[i][:2]}
        for group in connected_components(edges)
    ):
        goal = goal if goal == start else None
    taken = set(range(len(new)))  # these are gone over once at least
    while True:
        odd = odd_nodes(edges[i] for i in taken) ^ {start}
        if goal is not None:
            odd ^= {goal}
        again = _doubled(edges, odd, most_ends=int(goal is None))
        links = _links(edges, taken | again, start)
        if not links:
            break
        taken |= links
    used = sorted(taken | again)
    doubled = [n for n, i in enumerate(used) if i in taken and i in again]
    return [(used[n], on) for n, on in eulerian_trail([edges[i] for i in used], doubled, start)]


def _doubled(edges: Sequence[Edge], odd: set[int], most_ends: int) -> set[int]:
    """The cheapest edges that make all nodes even, but an end; where the mesh is too wide for that, cheap ones."""
    best = minimum_t_join(edges, odd, most_ends)
    if best.exact:
        return set(best.doubled)
    ways = _ways(edges, set())
    chosen: set[int] = set()
    found = {node: dijkstra(ways, node) for node in sorted(odd)}
    far = {a: {b: one.far.get(b, inf) for b in found} for a, one in found.items()}
    for a, b in _pairs(far):
        if far[a][b] < inf:  # where no way leads from one to the other, ``_links`` says so
            chosen ^= {i for i, _ in found[a].steps_to(b)}
    return chosen


def _pairs(far: Mapping[int, Mapping[int, float]]) -> list[tuple[int, int]]:
    """Nodes in pairs near each other; of an odd number of them one is left over. far: from each to each.

    The nearest are paired first, then partners are changed for as long as two pairs gain by it.
    """
    nodes = list(far)
    if len(nodes) % 2:
        far = {**{node: {**to, -1: 0.0} for node, to in far.items()}, -1: dict.fromkeys(far, 0.0)}
        nodes.append(-1)
    pairs: list[tuple[int, int]] = []
    left = set(nodes)
    for _, a, b in sorted((far[a][b], a, b) for a, b in combinations(nodes, 2)):
        if a in left and b in left:
            left -= {a, b}
            pairs.append((a, b))
    gained = True
    while gained:
        gained = False
        for i, j in combinations(range(len(pairs)), 2):
            (a, b), (c, d) = pairs[i], pairs[j]
            now = far[a][b] + far[c][d]
            if min(far[a][c] + far[b][d], far[a][d] + far[b][c]) < now - ROUNDING_IN:
                changed = (
                    ((a, c), (b, d)) if far[a][c] + far[b][d] < far[a][d] + far[b][c] else ((a, d), (b, c))
                )
                pairs[i], pairs[j] = changed
                gained = True
    return [pair for pair in pairs if -1 not in pair]


def _links(edges: Sequence[Edge], used: set[int], start: int) -> set[int]:
    """The edges that join what is used to one that hangs together with the start."""
    order = sorted(used)
    groups = [
        {v for n in group for v in edges[order[n]][:2]}
        for group in connected_components([edges[i] for i in order])
    ]
    apart = [group for group in groups if start not in group]
    links: set[int] = set()
    ways = _ways(edges, used) if apart else {}
    while apart:
        found = dijkstra(ways, start, set().union(*apart))
        goal = found.nearest
        if goal is None:
            raise ValueError("what is to be stitched does not hang together")
        more = {i for i, _ in found.steps_to(goal)} - used - links
        links |= more
        for node in {node for i in more for node in edges[i][:2]}:
            ways[node] = [(there, 0.0 if step[0] in more else cost, step) for there, cost, step in ways[node]]
        apart = [group for group in apart if goal not in group]
    return links


def _ways(edges: Sequence[Edge], free: set[int]) -> dict[int, list[tuple[int, float, Step]]]:
    """From each node the ways to the next; those over some edges count nothing."""
    ways: dict[int, list[tuple[int, float, Step]]] = defaultdict(list)
    for i, (a, b, length) in enumerate(edges):
        cost = 0.0 if i in free else length
        ways[a].append((b, cost, (i, True)))
        ways[b].append((a, cost, (i, False)))
    return ways
