"""The needle: goes along spines and shapes move by move, and travels only over what it has stitched."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from planner.fills.pocket import Pocket
from planner.stitching.net import Strand
from planner.stitching.postman import Edge, Step, connected_components, dijkstra
from planner.stitching.rooting import Rooted
from planner.stitching.rural_postman import rural_postman
from planner.stitching.segments import Segment, SegmentKind

# A piece of a spine that is stitched in one go: the strand's number, from and to which place, its edge.
SpinePiece = tuple[int, float, float, Edge]
# The shapes of a pocket, and the node of the spine where it is to be entered.
Visit = tuple[Sequence[Rooted], int | None]
# A stretch of a strand from one place to another, what that is, and of a shape its number.
_Stretch = tuple[Strand, float, float, str, int | None]


class Needle:
    """Stitches, and knows what is stitched."""

    def __init__(self, spines: Sequence[Strand], names: Sequence[str]) -> None:
        self.spines, self.names = spines, names
        self.segments: list[Segment] = []
        self.edges: list[Edge] = []
        self.here = -1
        self._line = -1
        self._stretches: list[_Stretch] = []
        self._ways: dict[int, list[tuple[int, float, Step]]] = defaultdict(list)
        self._spines_at: dict[int, list[int]] = defaultdict(list)
        self._known: dict[tuple[object, ...], list[Step]] = {}

    def stitch_spines(
        self, pieces: Sequence[SpinePiece], order: Sequence[Step], tips: dict[int, list[Rooted]]
    ) -> None:
        """One new line over spines that hang together, each tip when it is first reached."""
        tips = dict(tips)
        first, on = order[0]
        a, b, _ = pieces[first][3]
        self._begin(a if on else b)
        done: set[int] = set()
        for i, on in order:
            self._tip(tips)
            strand, p, q, edge = pieces[i]
            stretch = (self.spines[strand], p, q, self.names[strand], None)
            self._move(stretch, edge, on, "backtrack" if i in done else "spine", None)
            done.add(i)
        self._tip(tips)
        for n in {piece[0]: None for piece in pieces}:
            spine, name = self.spines[n], self.names[n]
            cut = list(spine.pieces())
            self._remember([(spine, p, q, name, None) for p, q, _ in cut], [edge for *_, edge in cut])
            for _, node in self.spines[n].cuts:
                self._spines_at[node].append(n)

    def fill(self, pockets: Sequence[Visit]) -> None:
        """Pocket by pocket; one without an entry waits until what is stitched leads to all of it."""
        waiting = list(pockets)
        while waiting:
            ready = (
                n for n, (shapes, entry) in enumerate(waiting) if entry is not None or self._led_to(shapes)
            )
            shapes, _ = waiting.pop(next(ready, 0))
            self._pocket(shapes, next((entry for _, entry in waiting if entry is not None), None))

    def _led_to(self, shapes: Iterable[Rooted]) -> bool:
        _, edges = _pieces_of(shapes)
        return all(
            any(node in self._ways for i in group for node in edges[i][:2])
            for group in connected_components(edges)
        )

    def _pocket(self, shapes: Sequence[Rooted], following: int | None) -> None:
        """A whole pocket, from where the needle is towards where the following one is entered."""
        pocket = shapes[0].pocket
        new, edges = _pieces_of(shapes)
        mine = {node for edge in edges for node in edge[:2]}
        spines = sorted({n for node in mine for n in self._spines_at.get(node, ())})
        near = mine.union(node for n in spines for _, node in self.spines[n].cuts)
        if self.here not in near:
            self._go_to(near, pocket)
        goal = None if following is None else dijkstra(self._ways, following, near).nearest
        among = mine | {self.here} | ({goal} if goal is not None else set())
        among.update(node for n in spines for node in (self.spines[n].start, self.spines[n].end))
        old: list[_Stretch] = []
        ways: list[Edge] = []
        for n in spines:
            for p, q, edge in self.spines[n].pieces(among):
                old.append((self.spines[n], p, q, self.names[n], None))
                ways.append(edge)
        alone = self._join(edges, old, ways)
        left = {i for group in alone for i in group}
        led = [i for i in range(len(new)) if i not in left]
        self._trip([new[i] for i in led] + old, [edges[i] for i in led], ways, goal, "fill", pocket)
        for group in alone:
            self._begin(edges[group[0]][0])
            self._trip([new[i] for i in group], [edges[i] for i in group], [], None, "fill", pocket)
        self._remember(new, edges)

    def _join(self, new: Sequence[Edge], old: list[_Stretch], ways: list[Edge]) -> list[list[int]]:
        """Add to the old stretches and their edges what joins the new to the needle.

        Returns the new edges that nothing leads to, those that hang together in one list.
        """
        while True:
            edges = [*new, *ways]
            groups = [
                (group, {node for i in group for node in edges[i][:2]})
                for group in connected_components(edges)
            ]
            apart = [
                (group, nodes) for group, nodes in groups if group[0] < len(new) and self.here not in nodes
            ]
            way = self._way_to(node for _, nodes in apart for node in nodes)
            if way is None:
                return [[i for i in group if i < len(new)] for group, _ in apart]
            for piece, _ in way:
                old.append(self._stretches[piece])
                ways.append(self.edges[piece])

    def _trip(
        self,
        stretches: Sequence[_Stretch],
        new: Sequence[Edge],
        old: Sequence[Edge],
        goal: int | None,
        kind: SegmentKind,
        pocket: Pocket | None,
    ) -> None:
        """Over all new stretches, with the old ones that follow them as ways between."""
        edges = [*new, *old]
        done = set(range(len(new), len(edges)))
        for i, on in self._steps(new, old, goal):
            again: SegmentKind = "travel" if stretches[i][4] is None else "backtrack"
            self._move(stretches[i], edges[i], on, again if i in done else kind, pocket)
            done.add(i)

    def _steps(self, new: Sequence[Edge], old: Sequence[Edge], goal: int | None) -> list[Step]:
        """The trip from where the needle is; found once for pockets that are alike."""
        numbers: dict[int, int] = {}

        def number(node: int) -> int:
            return numbers.setdefault(node, len(numbers))

        def alike(edges: Sequence[Edge]) -> tuple[Edge, ...]:
            return tuple((number(a), number(b), round(length, 3)) for a, b, length in edges)

        key = alike(new), alike(old), number(self.here), goal if goal is None else number(goal)
        if key not in self._known:
            self._known[key] = rural_postman(*key)
        return self._known[key]

    def _tip(self, tips: dict[int, list[Rooted]]) -> None:
        """What is stitched at a tip, from there and back there."""
        shapes = tips.pop(self.here, None)
        if shapes:
            new, edges = _pieces_of(shapes)
            self._trip(new, edges, [], self.here, "tip", None)
            self._remember(new, edges)

    def _begin(self, node: int) -> None:
        self._line += 1
        self.here = node

    def _way_to(self, goals: Iterable[int]) -> list[Step] | None:
        """The shortest way over what is stitched to the nearest of some nodes; None when there is none."""
        reached = {node for node in goals if node in self._ways}
        if not reached or self.here not in self._ways:
            return None
        found = dijkstra(self._ways, self.here, reached)
        return None if found.nearest is None else found.steps_to(found.nearest)

    def _go_to(self, goals: Iterable[int], pocket: Pocket | None) -> None:
        """Go over what is stitched to the nearest of some nodes, if anything leads there."""
        for piece, on in self._way_to(goals) or ():
            stretch = self._stretches[piece]
            kind: SegmentKind = "travel" if stretch[4] is None else "backtrack"
            self._move(stretch, self.edges[piece], on, kind, pocket)

    def _move(
        self, stretch: _Stretch, edge: Edge, on: bool, kind: SegmentKind, pocket: Pocket | None
    ) -> None:
        """The needle goes along a stretch; what goes straight on is one move with the one before."""
        strand, p, q, what, shape = stretch
        if not on:
            p, q = q, p
        a, b, _ = edge
        self.here = b if on else a
        if p == q:
            return
        if self.segments:
            last = self.segments[-1]
            begun, ended = last.places
            same = last.strand is strand and last.kind == kind and last.pocket == pocket
            if same and last.line == self._line and ended == p and (begun < ended) == (p < q):
                self.segments.pop()
                p = begun
        self.segments.append(Segment(kind, what, pocket, self._line, strand, (p, q), shape))

    def _remember(self, stretches: Iterable[_Stretch], edges: Iterable[Edge]) -> None:
        """These are stitched: from now on they may be gone over again."""
        self._stretches += stretches
        for piece, edge in enumerate(edges, len(self.edges)):
            a, b, length = edge
            self.edges.append(edge)
            self._ways[a].append((b, length, (piece, True)))
            self._ways[b].append((a, length, (piece, False)))


def _pieces_of(shapes: Iterable[Rooted]) -> tuple[list[_Stretch], list[Edge]]:
    """The pieces of some shapes, and their edges."""
    new: list[_Stretch] = []
    edges: list[Edge] = []
    for shape in shapes:
        for p, q, edge in shape.strand.pieces():
            new.append((shape.strand, p, q, shape.kind, shape.number))
            edges.append(edge)
    return new, edges
