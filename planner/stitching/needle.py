"""The needle: goes along spines and shapes move by move, and travels only over what it has stitched."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from planner.fills.pocket import Pocket
from planner.geometry.curves import Point
from planner.stitching.net import Strand, apart
from planner.stitching.postman import Edge, Step, connected_components, dijkstra
from planner.stitching.rooting import Rooted
from planner.stitching.rural_postman import rural_postman
from planner.stitching.segments import Segment, SegmentKind

# A piece of a spine that is stitched in one go: the strand's number, from and to which place, its edge.
SpinePiece = tuple[int, float, float, Edge]
# The shapes of a pocket, and the node of the spine where it is to be entered.
Visit = tuple[Sequence[Rooted], int | None]
_FRESH = 1e-3  # what an inch of spine not stitched yet costs as a way: it has to be stitched anyhow

# A stretch of a strand from one place to another, what that is, and of a shape its number.
_Stretch = tuple[Strand, float, float, str, int | None]


class Needle:
    """Stitches, and knows what is stitched."""

    def __init__(self, spines: Sequence[Strand], names: Sequence[str], points: Sequence[Point]) -> None:
        """points: where each node lies."""
        self.spines, self.names, self.points = spines, names, points
        self._number = {id(spine): n for n, spine in enumerate(spines)}
        self.segments: list[Segment] = []
        self.net: list[Edge] = []
        self.here = -1
        self._line = -1
        self._thread = 0
        self._known: dict[tuple[object, ...], list[Step]] = {}
        self._forget()

    def _forget(self) -> None:
        self._fresh: dict[int, list[tuple[float, float]]] = {}
        self._beside: Counter[int] = Counter()
        self._stretches: list[_Stretch] = []
        self._edges: list[Edge] = []
        self._ways: dict[int, list[tuple[int, float, Step]]] = defaultdict(list)
        self._spines_at: dict[int, list[int]] = defaultdict(list)

    def take(self, thread: int) -> None:
        """Thread the needle anew: what another thread has stitched is no way for this one."""
        self._thread = thread
        self.here = -1
        self._forget()

    def cover_later(self, shapes: Iterable[Rooted], *, spines: bool) -> None:
        """Let the thread travel over what a later one will cover."""
        if spines:
            for n in range(len(self.spines)):
                self._remember_spine(n)
        self._remember(*_pieces_of(shapes))

    def open_spines(self, strands: Iterable[int], pockets: Sequence[Visit]) -> None:
        """Let these spines be stitched on the way to what grows from them, the first time the needle goes along.

        pockets: all that will be filled along them; the last beside a spine takes what is left of it.
        """
        for n in strands:
            self._fresh[n] = [(0.0, float(len(self.spines[n].curves)))]
            self.net += [edge for *_, edge in self.spines[n].pieces()]
            self._remember_spine(n)
        self._beside = Counter(
            n for shapes, _ in pockets for n in self._spines_of(_nodes(_pieces_of(shapes)[1]))
        )

    def close_spines(self) -> None:
        """Stitch what no pocket stands beside."""
        new, edges = self._left_of(n for n in self._fresh)
        if edges:
            old: list[_Stretch] = []
            ways: list[Edge] = []
            self._join_and_stitch(new, edges, old, ways, None, "spine", None)

    def _spines_of(self, nodes: Iterable[int]) -> list[int]:
        """The spines that any of some nodes cuts."""
        return sorted({n for node in nodes for n in self._spines_at.get(node, ())})

    def _left_of(self, strands: Iterable[int]) -> tuple[list[_Stretch], list[Edge]]:
        """What of some spines is not stitched yet."""
        new: list[_Stretch] = []
        edges: list[Edge] = []
        for n in strands:
            for p, q, edge in self.spines[n].pieces():
                if any(a < q and p < b for a, b in self._fresh[n]):
                    new.append((self.spines[n], p, q, self.names[n], None))
                    edges.append(edge)
        return new, edges

    def _price(self, n: int, p: float, q: float, edge: Edge) -> Edge:
        """A piece of a spine as a way: what is not stitched yet costs next to nothing."""
        spine, (a, b, length) = self.spines[n], edge
        fresh = sum(
            spine.along(min(q, end)) - spine.along(max(p, begin))
            for begin, end in self._fresh.get(n, ())
            if begin < q and p < end
        )
        return (a, b, length - (1 - _FRESH) * fresh) if fresh else edge

    def stitch_spines(
        self, pieces: Sequence[SpinePiece], order: Sequence[Step], tips: dict[int, list[Rooted]]
    ) -> None:
        """One new line over spines that hang together, each tip when it is first reached."""
        tips = dict(tips)
        first, on = order[0]
        a, b, _ = pieces[first][3]
        self.begin(a if on else b)
        done: set[int] = set()
        for i, on in order:
            self._tip(tips)
            strand, p, q, edge = pieces[i]
            stretch = (self.spines[strand], p, q, self.names[strand], None)
            self._move(stretch, edge, on, "backtrack" if i in done else "spine", None)
            done.add(i)
        self._tip(tips)
        for n in {piece[0]: None for piece in pieces}:
            self.net += [edge for *_, edge in self.spines[n].pieces()]
            self._remember_spine(n)

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
        mine = _nodes(edges)
        spines = self._spines_of(mine)
        if self._fresh:
            self._beside.subtract(spines)
            more = self._left_of(n for n in spines if n in self._fresh and not self._beside[n])
            new, edges = new + more[0], edges + more[1]
            mine = _nodes(edges)
        near = mine.union(node for n in spines for _, node in self.spines[n].cuts)
        if self.here not in near:
            self._go_to(near, pocket)
        if (
            self.here not in near and spines
        ):  # it ended where nothing leads on: on what another thread leaves apart
            self.begin(min(node for node in mine if node in self._spines_at))
        goal = None if following is None else dijkstra(self._ways, following, near).nearest
        among = mine | {self.here} | ({goal} if goal is not None else set())
        among.update(node for n in spines for node in (self.spines[n].start, self.spines[n].end))
        old: list[_Stretch] = []
        ways: list[Edge] = []
        for n in spines:
            for p, q, edge in self.spines[n].pieces(among):
                old.append((self.spines[n], p, q, self.names[n], None))
                ways.append(self._price(n, p, q, edge))
        self._join_and_stitch(new, edges, old, ways, goal, "fill", pocket)
        new, edges = _pieces_of(shapes)
        self.net += edges
        self._remember(new, edges)

    def _join_and_stitch(
        self,
        new: Sequence[_Stretch],
        edges: Sequence[Edge],
        old: list[_Stretch],
        ways: list[Edge],
        goal: int | None,
        kind: SegmentKind,
        pocket: Pocket | None,
    ) -> None:
        """All that the needle can come to, in one trip; then what nothing leads to, the nearest first."""
        alone = self._join(edges, old, ways)
        left = {i for group in alone for i in group}
        led = [i for i in range(len(new)) if i not in left]
        if led:
            self._trip([new[i] for i in led] + old, [edges[i] for i in led], ways, goal, kind, pocket)
        for group in self._nearest_first(alone, edges):
            self._trip([new[i] for i in group], [edges[i] for i in group], [], None, kind, pocket)

    def _nearest_first(self, groups: list[list[int]], edges: Sequence[Edge]) -> Iterator[list[int]]:
        """Groups of edges to which nothing leads, each begun at its node that is nearest to where the needle is."""
        left = {n: {node for i in group for node in edges[i][:2]} for n, group in enumerate(groups)}
        while left:
            at, n = min((self._far(node), node, n) for n, nodes in left.items() for node in nodes)[1:]
            del left[n]
            self.begin(at)
            yield groups[n]

    def _far(self, node: int) -> float:
        return apart(self.points[self.here], self.points[node]) if self.here >= 0 else 0.0

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
                ways.append(self._edges[piece])

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
            self.net += edges
            self._remember(new, edges)

    def begin(self, node: int) -> None:
        """A new line, from a node."""
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
            self._move(stretch, self._edges[piece], on, kind, pocket)

    def _stitch_open(self, n: int, p: float, q: float) -> list[tuple[float, float, bool]]:
        """Go along an open spine from one place to another: its parts in order, and which of them are new."""
        low, high = min(p, q), max(p, q)
        inside = [(max(a, low), min(b, high)) for a, b in self._fresh[n] if a < high and low < b]
        self._fresh[n] = [
            part
            for a, b in self._fresh[n]
            for part in ((a, min(b, low)), (max(a, high), b))
            if part[0] < part[1]
        ]
        marks = sorted({low, high, *(place for part in inside for place in part)})
        parts = [(a, b, any(c <= a and b <= d for c, d in inside)) for a, b in pairwise(marks)]
        return parts if p < q else [(b, a, fresh) for a, b, fresh in reversed(parts)]

    def _move(
        self, stretch: _Stretch, edge: Edge, on: bool, kind: SegmentKind, pocket: Pocket | None
    ) -> None:
        """The needle goes along a stretch."""
        strand, p, q, what, shape = stretch
        if not on:
            p, q = q, p
        a, b, _ = edge
        self.here = b if on else a
        if p == q:
            return
        n = self._number.get(id(strand)) if shape is None else None
        if n in self._fresh:
            for begun, ended, fresh in self._stitch_open(n, p, q):
                self._sew((strand, begun, ended, what, shape), "spine" if fresh else "travel", pocket)
            return
        self._sew((strand, p, q, what, shape), kind, pocket)

    def _sew(self, stretch: _Stretch, kind: SegmentKind, pocket: Pocket | None) -> None:
        """One more move of the needle, from place to place; what goes straight on is one with the move before."""
        strand, p, q, what, shape = stretch
        if self.segments:
            last = self.segments[-1]
            begun, ended = last.places
            same = last.strand is strand and last.kind == kind and last.pocket == pocket
            if same and last.line == self._line and ended == p and (begun < ended) == (p < q):
                self.segments.pop()
                p = begun
        self.segments.append(
            Segment(kind, what, pocket, self._line, strand, (p, q), shape, thread=self._thread)
        )

    def _remember_spine(self, n: int) -> None:
        spine, name = self.spines[n], self.names[n]
        cut = list(spine.pieces())
        self._remember([(spine, p, q, name, None) for p, q, _ in cut], [edge for *_, edge in cut])
        for _, node in spine.cuts:
            self._spines_at[node].append(n)

    def _remember(self, stretches: Iterable[_Stretch], edges: Iterable[Edge]) -> None:
        """From now on these may be gone over: they are stitched, or will be covered."""
        self._stretches += stretches
        for piece, edge in enumerate(edges, len(self._edges)):
            a, b, length = edge
            self._edges.append(edge)
            self._ways[a].append((b, length, (piece, True)))
            self._ways[b].append((a, length, (piece, False)))


def _nodes(edges: Iterable[Edge]) -> set[int]:
    return {node for edge in edges for node in edge[:2]}


def _pieces_of(shapes: Iterable[Rooted]) -> tuple[list[_Stretch], list[Edge]]:
    """The pieces of some shapes, and their edges."""
    new: list[_Stretch] = []
    edges: list[Edge] = []
    for shape in shapes:
        for p, q, edge in shape.strand.pieces():
            new.append((shape.strand, p, q, shape.kind, shape.number))
            edges.append(edge)
    return new, edges
