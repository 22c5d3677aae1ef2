"""Route inspection: how little of a drawing must be stitched twice, and a line that does no more.

The problem is Kwan's (1962, "Graphic programming using odd or even points"), known as the Chinese postman's; its
solution by a cheapest T-join is that of Edmonds and Johnson (1973, "Matching, Euler tours and the Chinese
postman"). A drawing is a graph: joints are numbered nodes, the pieces between them edges (a, b, length in inches).

One line covers every edge exactly when the drawing hangs together and all nodes but none or two meet an even
number of edges (Euler). Doubling some edges, that is stitching them twice, can always bring this about. No
edge is ever doubled twice over: leaving out two of its copies changes no parity and only shortens the line.
So the least retrace is the cheapest set of edges that meets every node an odd number of times exactly where
its number of edges is odd, the two ends of the line excepted; the ends are free to lie where they save most.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from heapq import heapify, heappop, heappush
from math import inf
from typing import TypeAlias

from planner.geometry.arrays import ROUNDING_IN
from planner.stitching.kernel import changed, kernel_of

Edge = tuple[int, int, float]
Step = tuple[int, bool]  # an edge's index, and whether it is walked from its a to its b

# What is known of some edges: for each set of nodes that their doubled ones meet an odd number of times, and
# each number of line ends used up, the least length doubled and the choices that gave it (nested pairs; an
# edge's index, or ~node for an end of the line there).
_Choices: TypeAlias = "int | tuple[_Choices, _Choices] | None"
_Table = dict[tuple[frozenset[int], int], tuple[float, _Choices]]

_NOTHING: tuple[frozenset[int], int] = (frozenset(), 0)
_WIDEST = 6  # most open nodes of a table: two tables of 3·2^6 entries are merged in some 0.02 s


@dataclass(frozen=True, slots=True)
class Retrace:
    """The least that must be stitched twice: its length (inches), which edges, and where the line ends.

    ends: two nodes, or none when the line closes on itself. exact: whether no less will do; else the length is a
    floor, and the edges do not make a line yet.
    """

    length: float
    doubled: frozenset[int]
    ends: tuple[int, ...]
    exact: bool = True


def connected_components(edges: Sequence[Edge]) -> list[list[int]]:
    """The edges (their indices) in groups that hang together, each in the given order.

    By disjoint sets with halved paths (Galler and Fischer 1964).
    """
    leader = {node: node for a, b, _ in edges for node in (a, b)}

    def led(node: int) -> int:
        while (above := leader[node]) != node:
            leader[node] = node = leader[above]
        return node

    for a, b, _ in edges:
        leader[led(a)] = led(b)
    groups: dict[int, list[int]] = defaultdict(list)
    for i, (a, _, _) in enumerate(edges):
        groups[led(a)].append(i)
    return list(groups.values())


def least_retrace(edges: Sequence[Edge], *, closed: bool = False) -> Retrace:
    """The least retrace of one line over a drawing that hangs together (route inspection)."""
    return minimum_t_join(edges, odd_nodes(edges), 0 if closed else 2)


def odd_nodes(edges: Iterable[Edge]) -> set[int]:
    """The nodes that meet an odd number of edges."""
    odd: set[int] = set()
    for a, b, _ in edges:
        odd ^= {a}
        odd ^= {b}
    return odd


def minimum_t_join(edges: Sequence[Edge], odd: Collection[int], most_ends: int) -> Retrace:
    """The cheapest edges that meet the odd nodes an odd number of times and all others an even number.

    That is a minimum T-join, T being the odd nodes. most_ends: so many nodes may break this, as ends of the line.

    Nodes are settled one by one, fewest neighbours first. All that is known of the edges at a node is merged
    into one table, and of it only what leaves the node even (or makes it an end of the line) is kept: nothing
    settled later touches that node again, so nothing is lost (dynamic programming by elimination). A table
    over n open nodes has at most 3·2^n entries. In trees n is 1; in rings, and where rings and trees hang on
    others by one node or lie beside them between two, it is 2: there the time is linear in the number of edges,
    and the retrace exact. In a net so wide meshed that a table would grow past _WIDEST, the tables at that node
    are kept apart, as if each could please itself: the length is then a floor, never more than the least.
    Where no end is free, trees and chains are taken out of the net before (kernel.py).
    """
    if not most_ends:
        kernel = kernel_of(edges, odd)
        best = _eliminated(kernel.edges, kernel.odd, 0)
        doubled = changed([*kernel.doubled, *(kernel.changes[i] for i in best.doubled)])
        return Retrace(kernel.length + best.length, frozenset(doubled), (), best.exact)
    return _eliminated(edges, odd, most_ends)


def _eliminated(edges: Sequence[Edge], odd: Collection[int], most_ends: int) -> Retrace:
    """A minimum T-join by elimination."""
    tables: dict[int, dict[int, _Table]] = defaultdict(dict)  # at each node those that name it, by their id
    neighbours: dict[int, set[int]] = {v: set() for a, b, _ in edges for v in (a, b)}
    for i, (a, b, length) in enumerate(edges):
        if a != b:
            table: _Table = {_NOTHING: (0.0, None), (frozenset((a, b)), 0): (length, i)}
            tables[a][id(table)] = tables[b][id(table)] = table
            neighbours[a].add(b)
            neighbours[b].add(a)
    waiting = [(len(near), v) for v, near in neighbours.items()]
    heapify(waiting)
    settled: _Table = {_NOTHING: (0.0, None)}
    while waiting:
        degree, v = heappop(waiting)
        if v not in neighbours or degree != len(neighbours[v]):
            continue
        near = neighbours.pop(v)
        if degree > _WIDEST:
            for table in tables.pop(v).values():
                apart = _freed(table, v)
                if not any(nodes for nodes, _ in apart):
                    settled = _merged(settled, apart, most_ends)
                for u in near:
                    if tables[u].pop(id(table), None):
                        tables[u][id(apart)] = apart
            for u in near:
                neighbours[u] = {w for t in tables[u].values() for s, _ in t for w in s} - {u}
                heappush(waiting, (len(neighbours[u]), u))
            continue
        here = list(tables.pop(v, {}).values())
        for u in near:
            for one in here:
                tables[u].pop(id(one), None)
        table = reduce(lambda known, one: _merged(known, one, most_ends), here or [{_NOTHING: (0.0, None)}])
        table = _settled(table, v, v in odd, most_ends)
        for u in near:
            tables[u][id(table)] = table
            neighbours[u] |= near
            neighbours[u] -= {u, v}
            heappush(waiting, (len(neighbours[u]), u))
        if not near:
            settled = _merged(settled, table, most_ends)
    length, choices = min(settled.values(), key=lambda entry: entry[0])
    chosen = list(_flat(choices))
    doubled = frozenset(c for c in chosen if c >= 0)
    ends = tuple(sorted(~c for c in chosen if c < 0))
    # A floor that can be reached is the least: what tables kept apart agree on is no less exact.
    exact = odd_nodes(edges[i] for i in doubled) ^ set(ends) == set(odd)
    return Retrace(length, doubled, ends, exact)


def _merged(one: _Table, other: _Table, most_ends: int) -> _Table:
    """What is known of two sets of edges together."""
    out: _Table = {}
    for (s, i), (c, x) in one.items():
        for (t, j), (d, y) in other.items():
            if i + j <= most_ends:
                key, cost = (s ^ t, i + j), c + d
                if key not in out or cost < out[key][0] - ROUNDING_IN:
                    out[key] = (cost, x if y is None else y if x is None else (x, y))
    return out


def _settled(table: _Table, v: int, is_odd: bool, most_ends: int) -> _Table:
    """What is left when v is made even, or an end of the line."""
    out: _Table = {}
    for (s, i), (c, x) in table.items():
        if (v in s) == is_odd:
            _offer(out, (s - {v}, i), c, x)
        elif i < most_ends:
            _offer(out, (s - {v}, i + 1), c, ~v if x is None else (x, ~v))
    return out


def _freed(table: _Table, v: int) -> _Table:
    """What is left when v may be even or odd."""
    out: _Table = {}
    for (s, i), (c, x) in table.items():
        _offer(out, (s - {v}, i), c, x)
    return out


def _offer(table: _Table, key: tuple[frozenset[int], int], cost: float, choices: _Choices) -> None:
    if key not in table or cost < table[key][0] - ROUNDING_IN:
        table[key] = (cost, choices)


def _flat(choices: _Choices) -> Iterable[int]:
    stack = [choices]
    while stack:
        top = stack.pop()
        if isinstance(top, tuple):
            stack.extend(top)
        elif top is not None:
            yield top


def eulerian_trail(edges: Sequence[Edge], doubled: Iterable[int], start: int) -> list[Step]:
    """One line from start over every edge, the doubled ones twice: rounds spliced into rounds (Hierholzer 1873).

    At a node it goes to dead ends first, and otherwise rather on (from a to b) than back.
    """
    copies = [*range(len(edges)), *sorted(doubled)]
    meets: dict[int, int] = defaultdict(int)
    for a, b, _ in edges:
        meets[a] += 1
        meets[b] += 1
    leaving: dict[int, list[tuple[bool, bool, int]]] = defaultdict(list)
    for copy, i in enumerate(copies):
        a, b, _ = edges[i]
        leaving[a].append((meets[b] > 1, False, copy))
        if a != b:
            leaving[b].append((meets[a] > 1, True, copy))
    for ways in leaving.values():
        ways.sort(reverse=True)
    used = [False] * len(copies)
    trail: list[tuple[int, Step | None]] = [(start, None)]
    line: list[Step] = []
    while trail:
        here, step = trail[-1]
        ways = leaving[here]
        while ways and used[ways[-1][2]]:
            ways.pop()
        if ways:
            _, back, copy = ways.pop()
            used[copy] = True
            a, b, _ = edges[copies[copy]]
            trail.append((a if back else b, (copies[copy], not back)))
        else:
            trail.pop()
            if step is not None:
                line.append(step)
    line.reverse()
    return line


@dataclass(frozen=True, slots=True)
class ShortestWays:
    """The shortest ways from a start, as far as they were looked for.

    far: how far each node found is (inches); came: from which node, and by which step, it is reached; nearest:
    the nearest of the goals, None when there are none or no way leads to any.
    """

    start: int
    far: Mapping[int, float]
    came: Mapping[int, tuple[int, Step]]
    nearest: int | None

    def steps_to(self, node: int) -> list[Step]:
        """The shortest way to a node that was found."""
        steps: list[Step] = []
        while node != self.start:
            node, step = self.came[node]
            steps.append(step)
        return steps[::-1]


def dijkstra(
    ways: Mapping[int, Sequence[tuple[int, float, Step]]], start: int, goals: Collection[int] = ()
) -> ShortestWays:
    """The shortest ways from a node to all others, or to the nearest of some goals (Dijkstra 1959).

    ways: for each node the next nodes, how far they are (inches), and the step that leads there.
    """
    far = {start: 0.0}
    came: dict[int, tuple[int, Step]] = {}
    heap = [(0.0, start)]
    while heap:
        gone, here = heappop(heap)
        if here in goals:
            return ShortestWays(start, far, came, here)
        if gone > far[here]:
            continue
        for there, length, step in ways[here]:
            if gone + length < far.get(there, inf):
                far[there] = gone + length
                came[there] = (here, step)
                heappush(heap, (gone + length, there))
    return ShortestWays(start, far, came, None)
