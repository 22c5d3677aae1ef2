"""The needle: goes along spines and shapes move by move, and knows what it may go over again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from copy import copy

import numpy as np

from planner.fills.pocket import Pocket
from planner.geometry.arrays import ON_IN, Numbers
from planner.stitching.net import Nodes, Strand, apart
from planner.stitching.postman import Edge, Step
from planner.stitching.rooting import Rooted
from planner.stitching.rural_postman import rural_postman
from planner.stitching.segments import Segment, SegmentKind
from planner.stitching.unsewn import Unsewn
from planner.stitching.ways import Stretch, Ways, pieces_of

# A piece of a spine that is stitched in one go: the strand's number, from and to which place, its edge.
SpinePiece = tuple[int, float, float, Edge]


class Dearer(Exception):
    """What is tried costs more already than what was tried before."""


class Needle:
    """Stitches, one thread and one zone after another.

    here: the node it is at, -1 when it is lifted. ways: what it may go over; unsewn: the spines that it stitches on
    the way; sewn: those that are stitched (their numbers); net: all that is stitched, as edges. most: a price with
    which it gives up (Dearer).
    """

    def __init__(
        self, spines: Sequence[Strand], names: Sequence[str], nodes: Nodes, carry_in: float = 0.0
    ) -> None:
        """carry_in: over how much bare cloth a thread is carried to where its next line begins."""
        self.spines, self.names, self.nodes = spines, names, nodes
        self._number = {id(spine): n for n, spine in enumerate(spines)}
        self.carry_in = carry_in
        self.segments: list[Segment] = []
        self.net: list[Edge] = []
        self.sewn: set[int] = set()
        self.here = -1
        self.most: tuple[int, int] | None = None
        self._line = -1
        self._thread = self._strip = 0
        self._starts, self._spent = 0, 0.0
        self._known: dict[tuple[object, ...], list[Step]] = {}
        self.ways = Ways(spines, names)
        self.unsewn = Unsewn(spines, names)

    def copy(self) -> Needle:
        """Another needle that has stitched the same, before it takes a thread; to see what comes of it."""
        other = copy(self)
        other.segments, other.net, other.sewn = self.segments[:], self.net[:], set(self.sewn)
        other.most = None
        return other

    @property
    def price(self) -> tuple[int, int]:
        """What tells one order of the same shapes from another: lines begun, then inches of spine and gone over
        again, to a thread's width."""
        return self._starts, round(self._spent / ON_IN)

    def take(self, thread: int, strip: int, ways: Iterable[int], *, stay: bool = False) -> None:
        """A thread, and what lies under the needle: what else is stitched is no way now.

        ways: the spines that may be gone over; stay: with the needle left down, where that is still in reach.
        """
        stay = stay and thread == self._thread
        self._thread, self._strip = thread, strip
        self.ways = Ways(self.spines, self.names)
        self.unsewn = Unsewn(self.spines, self.names)
        for n in ways:
            self.ways.open_spine(n)
        if not (stay and self.ways.lead_to(self.here)):
            self.here = -1

    def begin(self, node: int) -> None:
        """A new line, from a node; the thread is carried there where it may be. One with nothing in it is none."""
        line = self.segments[-1].line + 1 if self.segments else 0
        self._starts += line > self._line and not self._carried_to(node)
        self._line, self.here = line, node

    def _carried_to(self, node: int) -> bool:
        """Whether the thread is carried to a node from where its last line ended."""
        if not self.carry_in or not self.segments:
            return False
        last = self.segments[-1]
        same = (last.thread, last.strip) == (self._thread, self._strip)
        return same and apart(last.end, self.nodes.points[node]) <= self.carry_in

    def go_to(self, goals: Iterable[int], pocket: Pocket | None) -> bool:
        """Go over what is stitched to the nearest of some nodes, if anything leads there."""
        way = self.ways.nearest(self.here, goals)
        for piece, on in way or ():
            stretch = self.ways.stretches[piece]
            kind: SegmentKind = "travel" if stretch[4] is None else "backtrack"
            self.move(stretch, self.ways.edges[piece], on, kind, pocket)
        return way is not None

    def nearest(self, goals: Iterable[int]) -> int | None:
        """The one of some nodes that it comes to first over what is stitched; None where nothing leads to any."""
        way = self.ways.nearest(self.here, goals)
        if not way:
            return None if way is None else self.here
        piece, on = way[-1]
        a, b, _ = self.ways.edges[piece]
        return b if on else a

    @property
    def at(self) -> Numbers | None:
        """Where it is (2,); None when it is lifted."""
        return np.array(self.nodes.points[self.here]) if self.here >= 0 else None

    def stitch_spines(
        self, pieces: Sequence[SpinePiece], order: Sequence[Step], tips: Mapping[int, Sequence[Rooted]]
    ) -> None:
        """From where the needle is over spines that hang together, each tip when it is first reached."""
        tips, done = dict(tips), set[int]()
        for i, on in order:
            self._tip(tips)
            strand, p, q, edge = pieces[i]
            stretch = (self.spines[strand], p, q, self.names[strand], None)
            self.move(stretch, edge, on, "backtrack" if i in done else "spine", None)
            done.add(i)
        self._tip(tips)
        self.add_spines(piece[0] for piece in pieces)

    def add_spines(self, strands: Iterable[int]) -> None:
        """Count spines as stitched: they may be gone over."""
        for n in dict.fromkeys(strands):
            self.sewn.add(n)
            self._spent += self.spines[n].along(float(len(self.spines[n].curves)))
            self.net += [edge for *_, edge in self.spines[n].pieces()]
            self.ways.open_spine(n)

    def add_shapes(self, new: Sequence[Stretch], edges: Sequence[Edge]) -> None:
        """Count pieces of shapes as stitched: they may be gone over."""
        self.net += edges
        self.ways.open(new, edges)

    def _tip(self, tips: dict[int, Sequence[Rooted]]) -> None:
        """What is stitched at a tip, from there and back there."""
        shapes = tips.pop(self.here, None)
        if shapes:
            new, edges = pieces_of(shapes)
            self.trip(new, edges, [], self.here, "tip", None)
            self.add_shapes(new, edges)

    def trip(
        self,
        stretches: Sequence[Stretch],
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
            self.move(stretches[i], edges[i], on, again if i in done else kind, pocket)
            done.add(i)
        if self.most and self.price > self.most:
            raise Dearer

    def _steps(self, new: Sequence[Edge], old: Sequence[Edge], goal: int | None) -> list[Step]:
        """The trip from where the needle is; found once for pockets that are alike."""
        numbers = dict[int, int]()
        number = numbers.setdefault

        def alike(edges: Sequence[Edge]) -> tuple[Edge, ...]:
            return tuple(
                [
                    (number(a, len(numbers)), number(b, len(numbers)), round(length, 3))
                    for a, b, length in edges
                ]
            )

        key = (
            alike(new),
            alike(old),
            number(self.here, len(numbers)),
            goal if goal is None else number(goal, len(numbers)),
        )
        if key not in self._known:
            self._known[key] = rural_postman(*key)
        return self._known[key]

    def move(self, stretch: Stretch, edge: Edge, on: bool, kind: SegmentKind, pocket: Pocket | None) -> None:
        """The needle goes along a stretch."""
        strand, p, q, what, shape = stretch
        if not on:
            p, q = q, p
        a, b, _ = edge
        self.here = b if on else a
        if p == q:
            return
        n = self._number.get(id(strand)) if shape is None else None
        if n is not None and n in self.unsewn:
            for begun, ended, fresh in self.unsewn.sew(n, p, q):
                self._sew((strand, begun, ended, what, shape), "spine" if fresh else "travel", pocket)
            return
        self._sew((strand, p, q, what, shape), kind, pocket)

    def _sew(self, stretch: Stretch, kind: SegmentKind, pocket: Pocket | None) -> None:
        """One more move, from place to place; what goes straight on is one with the move before."""
        strand, p, q, what, shape = stretch
        if kind in ("backtrack", "travel"):
            self._spent += abs(strand.along(q) - strand.along(p))
        if self.segments:
            last = self.segments[-1]
            begun, ended = last.places
            same = last.strand is strand and last.kind == kind and last.pocket == pocket
            same = same and (last.line, last.strip) == (self._line, self._strip)
            if same and ended == p and (begun < ended) == (p < q):
                self.segments.pop()
                p = begun
        self.segments.append(
            Segment(kind, what, pocket, self._line, strand, (p, q), shape, self._thread, self._strip)
        )
