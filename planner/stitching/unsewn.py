"""Spines that are stitched on the way: each piece the first time the needle goes along it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from planner.stitching.net import Strand
from planner.stitching.postman import Edge
from planner.stitching.ways import Stretch

_FRESH = 1e-3  # what an inch of spine not stitched yet costs as a way: it has to be stitched anyhow


class Unsewn:
    """What of some spines is not stitched yet, as parts between two places."""

    def __init__(self, spines: Sequence[Strand], names: Sequence[str]) -> None:
        self.spines, self.names = spines, names
        self._parts: dict[int, list[tuple[float, float]]] = {}

    def __contains__(self, n: object) -> bool:
        """Whether a spine is one that is stitched on the way."""
        return n in self._parts

    def __bool__(self) -> bool:
        return bool(self._parts)

    def add(self, n: int) -> None:
        """Let a spine be stitched on the way."""
        self._parts[n] = [(0.0, float(len(self.spines[n].curves)))]

    def close(self) -> None:
        """All is stitched."""
        self._parts = {}

    def left_of(self, strands: Iterable[int]) -> tuple[list[Stretch], list[Edge]]:
        """What of some spines is not stitched yet: its pieces and their edges."""
        new: list[Stretch] = []
        edges: list[Edge] = []
        for n in strands:
            for p, q, edge in self.spines[n].pieces():
                if any(a < q and p < b for a, b in self._parts.get(n, ())):
                    new.append((self.spines[n], p, q, self.names[n], None))
                    edges.append(edge)
        return new, edges

    def price(self, n: int, p: float, q: float, edge: Edge) -> Edge:
        """A piece of a spine as a way: what is not stitched yet costs next to nothing."""
        spine, (a, b, length) = self.spines[n], edge
        fresh = sum(
            spine.along(min(q, end)) - spine.along(max(p, begin))
            for begin, end in self._parts.get(n, ())
            if begin < q and p < end
        )
        return (a, b, length - (1 - _FRESH) * fresh) if fresh else edge

    def sew(self, n: int, p: float, q: float) -> list[tuple[float, float, bool]]:
        """Go along a spine from one place to another: its parts in order, and which of them are new."""
        low, high = min(p, q), max(p, q)
        inside = [(max(a, low), min(b, high)) for a, b in self._parts[n] if a < high and low < b]
        self._parts[n] = [
            part
            for a, b in self._parts[n]
            for part in ((a, min(b, low)), (max(a, high), b))
            if part[0] < part[1]
        ]
        marks = sorted({low, high, *(place for part in inside for place in part)})
        parts = [(a, b, any(c <= a and b <= d for c, d in inside)) for a, b in pairwise(marks)]
        return parts if p < q else [(b, a, fresh) for a, b, fresh in reversed(parts)]
