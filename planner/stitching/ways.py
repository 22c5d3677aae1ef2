"""What a thread may go over: its own lines, and what a later thread will cover."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from planner.stitching.net import Strand
from planner.stitching.postman import Edge, Step, dijkstra
from planner.stitching.rooting import Rooted

# A stretch of a strand from one place to another, what that is, and of a shape its number.
Stretch = tuple[Strand, float, float, str, int | None]


class Ways:
    """Stretches and their edges, by the nodes they join.

    from_node: from each node the next nodes, how far they are (inches), and the step there: an index into
    ``stretches`` and ``edges``.
    """

    def __init__(self, spines: Sequence[Strand], names: Sequence[str]) -> None:
        self.spines, self.names = spines, names
        self.stretches: list[Stretch] = []
        self.edges: list[Edge] = []
        self.from_node: dict[int, list[tuple[int, float, Step]]] = defaultdict(list)
        self._spines_at: dict[int, list[int]] = defaultdict(list)
        self._joined: dict[int, int] = {}
        self._counted = 0  # so many edges have joined what hangs together

    def open(self, stretches: Iterable[Stretch], edges: Iterable[Edge]) -> None:
        """From now on these may be gone over."""
        first = len(self.edges)
        self.stretches += stretches
        self.edges += edges
        from_node = self.from_node
        for piece, (a, b, length) in enumerate(self.edges[first:], first):
            ways = from_node[a]
            if a != b:  # a ring leads nowhere
                ways.append((b, length, (piece, True)))
                from_node[b].append((a, length, (piece, False)))

    def open_spine(self, n: int) -> None:
        """From now on a spine may be gone over."""
        spine, name = self.spines[n], self.names[n]
        cut = spine.pieces()
        self.open([(spine, p, q, name, None) for p, q, _ in cut], [edge for *_, edge in cut])
        for _, node in spine.cuts:
            self._spines_at[node].append(n)

    def spines_of(self, nodes: Iterable[int]) -> list[int]:
        """The spines among them that any of some nodes cuts."""
        return sorted({n for node in nodes for n in self._spines_at.get(node, ())})

    def between(self, nodes: set[int]) -> list[int]:
        """The pieces of shapes that join two of some nodes (numbers of stretches)."""
        return sorted(
            {
                piece
                for node in nodes
                for other, _, (piece, _) in self.from_node.get(node, ())
                if other in nodes and self.stretches[piece][4] is not None
            }
        )

    def _join(self) -> None:
        """Count what hangs together by what was opened since."""
        joined = self._joined
        for a, b, _ in self.edges[self._counted :]:
            joined[self._group(a)] = self._group(b)
        self._counted = len(self.edges)

    def _group(self, node: int) -> int:
        """One node for all that hang together with this one (Galler and Fischer 1964)."""
        joined = self._joined
        while (up := joined.setdefault(node, node)) != node:
            joined[node] = joined[up]
            node = up
        return node

    def lead_to(self, node: int) -> bool:
        """Whether any of them leads to a node."""
        return node in self.from_node

    def nearest(self, here: int, goals: Iterable[int]) -> list[Step] | None:
        """The shortest way to the nearest of some nodes; None when there is none."""
        if here not in self.from_node:
            return None
        goals = [node for node in goals if node in self.from_node]
        if goals:
            self._join()
        group = self._group(here)
        reached = {node for node in goals if self._group(node) == group}
        if not reached:
            return None
        found = dijkstra(self.from_node, here, reached)
        return None if found.nearest is None else found.steps_to(found.nearest)


def pieces_of(shapes: Iterable[Rooted]) -> tuple[list[Stretch], list[Edge]]:
    """The pieces of some shapes, and their edges."""
    new: list[Stretch] = []
    edges: list[Edge] = []
    for shape in shapes:
        for p, q, edge in shape.strand.pieces():
            new.append((shape.strand, p, q, shape.kind, shape.number))
            edges.append(edge)
    return new, edges


def nodes_of(edges: Iterable[Edge]) -> set[int]:
    """All that some edges join."""
    return {node for edge in edges for node in edge[:2]}
