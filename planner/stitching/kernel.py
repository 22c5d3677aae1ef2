"""What is left of a drawing for route inspection when its trees and chains are taken out of it.

A node that meets no more than two others has little to choose: whether it is odd says which of its edges are
doubled, but for one choice that a single edge between the two can stand for. So a drawing is contracted, node by
node and in time linear in its edges, to a kernel in which every node meets three others at least; of a tree, a
ring, or rings that hang on each other nothing is left. The cheapest T-join of the drawing (postman.py) is the
kernel's and what is doubled in any case, taken together by symmetric differences. Lengths are inches.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from planner.geometry.arrays import ROUNDING_IN

# Edges of a drawing that an edge of its kernel stands for: to double this one is to change whether each of
# those is doubled (nested pairs of indices).
Changes: TypeAlias = "int | tuple[Changes, Changes]"


@dataclass(frozen=True, slots=True)
class Kernel:
    """A drawing contracted. edges: between nodes of the drawing, their lengths what it costs to double them;
    odd: the nodes to be met an odd number of times; changes: of each edge what it stands for; doubled: what is
    doubled (as changes) when no edge of the kernel is, and its length (inches)."""

    edges: list[tuple[int, int, float]]
    odd: set[int]
    changes: list[Changes]
    doubled: list[Changes]
    length: float


def kernel_of(edges: Sequence[tuple[int, int, float]], odd: Collection[int]) -> Kernel:
    """The kernel of a drawing (nodes a, b and length of each edge) whose odd nodes are to be made even.

    A node between an edge to u and one to w: where it is even, both are doubled or none, as one edge of both
    lengths would be. Where it is odd, just one is: the shorter, or the other in its stead, which costs what that
    is longer and is an edge between u and w too.
    """
    ways: dict[int, dict[int, tuple[float, Changes]]] = {}
    for i, (a, b, length) in enumerate(edges):
        if a != b:
            _joined(ways.setdefault(a, {}), ways.setdefault(b, {}), a, b, length, i)
    left, doubled, gone = set(odd), list[Changes](), 0.0
    waiting = [v for v, near in ways.items() if len(near) <= 2]
    while waiting:
        v = waiting.pop()
        near = ways.pop(v, None)
        if not near:
            continue
        u, (cost, change) = near.popitem()
        del ways[u][v]
        if near:
            w, (other, its) = near.popitem()
            del ways[w][v]
            if v in left:
                if other < cost - ROUNDING_IN:
                    u, w, cost, other, change, its = w, u, other, cost, its, change
                more = max(other - cost, 0.0)
            else:
                more = cost + other
            _joined(ways[u], ways[w], u, w, more, (change, its))
            if len(ways[w]) <= 2:
                waiting.append(w)
        if v in left:
            left ^= {u, v}
            doubled.append(change)
            gone += cost
        if len(ways[u]) <= 2:
            waiting.append(u)
    kept = [(a, b, cost, change) for a, near in ways.items() for b, (cost, change) in near.items() if a < b]
    return Kernel([(a, b, cost) for a, b, cost, _ in kept], left, [one[3] for one in kept], doubled, gone)


def _joined(
    from_a: dict[int, tuple[float, Changes]],
    from_b: dict[int, tuple[float, Changes]],
    a: int,
    b: int,
    cost: float,
    change: Changes,
) -> None:
    """Join two nodes; of edges side by side only the cheapest can be worth its cost."""
    if b not in from_a or cost < from_a[b][0] - ROUNDING_IN:
        from_a[b] = from_b[a] = (cost, change)


def changed(changes: Iterable[Changes]) -> set[int]:
    """Which of a drawing's edges are doubled after all these changes."""
    stack, found = list(changes), set[int]()
    while stack:
        top = stack.pop()
        if isinstance(top, tuple):
            stack += top
        elif top in found:
            found.remove(top)
        else:
            found.add(top)
    return found
