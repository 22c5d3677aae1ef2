"""The order of stitching: spines first, then the fill pocket by pocket, in as few lines as the design allows.

Spines that hang together are stitched in one line that retraces no more than it must (planner.route): out
along each tail to its tip, round the tip's own shape, back to the joint, on. The same line then comes back
along the spine and fills the pockets it passes, each to its end before the next, and travels only over what
is stitched already. What nothing stitched leads to is begun anew, last. Lengths are inches, coordinates the
quilt's. DESIGN section 5.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

from planner.curves import Curve
from planner.fills.shape import FillOfLayout
from planner.layout import Layout
from planner.net import Nodes, Strand
from planner.rooting import Rooted, rooted
from planner.route import Edge, Step, hanging_together, least_retrace, shortest_way, walk
from planner.spine import TOUCHING_IN

SegmentKind = Literal["spine", "tip", "fill", "backtrack", "travel"]


@dataclass(frozen=True, slots=True)
class Segment:
    """One move of the needle.

    kind: spine and fill are new, tip is the shape at the end of a tail; backtrack goes over a tail or a shape
    again, travel over the spine. what: the part of the spine, or the kind of shape. pocket: the one being
    filled, '' while on the spines. line: which line it belongs to, from 0; each has one start and one stop.
    shape: which of the fill's shapes it goes along, None for a spine; span: from where to where along it
    (inches); the first is the greater when it goes towards its start.
    """

    kind: SegmentKind
    what: str
    pocket: str
    line: int
    curves: tuple[Curve, ...]
    length: float
    shape: int | None = None
    span: tuple[float, float] = (0.0, 0.0)

    @property
    def again(self) -> bool:
        """Whether it goes over what is stitched already."""
        return self.kind in ("backtrack", "travel")


@dataclass(frozen=True, slots=True)
class StitchPath:
    """The whole order, and what it costs (inches).

    net: all that is stitched, as edges. least_retraced_spine: the least with which the spines can be stitched.
    """

    segments: tuple[Segment, ...]
    net: tuple[Edge, ...]
    least_retraced_spine: float

    @property
    def starts(self) -> int:
        """Lines begun; each is stopped once."""
        return self.segments[-1].line + 1 if self.segments else 0

    @property
    def length(self) -> float:
        return sum(s.length for s in self.segments)

    @property
    def retraced(self) -> float:
        return sum(s.length for s in self.segments if s.again)

    @property
    def least_retraced(self) -> float:
        """The least with which the same drawing can be stitched at all, by route inspection.

        In any order: spines and fill mixed, pockets left and come back to.
        """
        groups = hanging_together(self.net)
        return sum(least_retrace([self.net[i] for i in group]).length for group in groups)

    @property
    def retraced_spine(self) -> float:
        """What of the spines is stitched twice before the filling begins."""
        return sum(s.length for s in self.segments if s.again and s.shape is None and not s.pocket)

    @property
    def pockets(self) -> tuple[str, ...]:
        """The pockets in the order in which they are filled."""
        return tuple(dict.fromkeys(s.pocket for s in self.segments if s.kind == "fill"))


_T = TypeVar("_T")
# Along a strand from one place to another, how and what: a way that may be gone again; of a shape, its number.
_Move = tuple[Strand, float, float, SegmentKind, str, int | None]
# A piece of a spine that is stitched in one go: the strand's number, from and to which place, its edge.
_Piece = tuple[int, float, float, Edge]


def path_of(layout: Layout, fill: FillOfLayout | None = None) -> StitchPath:
    """The stitching path of a layout, with its fill or of the spines alone; linear in the number of curls."""
    nodes = Nodes()
    curves = [part.piece.curve for part in layout.spines]
    spines = [
        Strand((curve,), (nodes.at(curve.start), nodes.at(curve.end)), {0.0: 0.0, 1.0: curve.length})
        for curve in curves
    ]
    names = [part.piece.part for part in layout.spines]
    _cut_rings(nodes, spines, names)
    lines = _lines(spines)
    line_at: dict[int | None, int] = {piece[0]: n for n, line in enumerate(lines) for piece in line}
    shapes: dict[int, list[Rooted]] = defaultdict(list)
    for shape in rooted(nodes, spines, fill) if fill else ():
        shapes[line_at.get(shape.root, -1)].append(shape)
    needle = _Needle(spines, names)
    least = 0.0
    for n, line in enumerate(lines):
        edges = [edge for *_, edge in line]
        best = least_retrace(edges)
        least += best.length
        order = walk(edges, best.doubled, max(best.ends, default=edges[0][0]))
        tips = _tips(edges, shapes[n])
        pockets = _pockets(_but(shapes[n], [shape for tip in tips.values() for shape in tip]))
        needle.stitch_spines(line, order, tips)
        passing = {strand: k for k, strand in enumerate(dict.fromkeys(line[i][0] for i, _ in order))}
        pockets.sort(key=lambda pocket: passing[pocket[0].root or 0])
        needle.fill(pockets)
    needle.fill(_pockets(shapes[-1]))
    return StitchPath(tuple(needle.segments), tuple(needle.edges), least)


def _cut_rings(nodes: Nodes, spines: Sequence[Strand], names: Sequence[str]) -> None:
    """Cut each ring where the run that comes from the other side touches it."""
    for ring, name in zip(spines, names, strict=True):
        if name == "ring":
            for other in spines:
                place, far = ring.nearest(nodes.points[other.end])
                if other is not ring and far <= TOUCHING_IN:
                    ring.cut(place, other.end)


def _lines(spines: Sequence[Strand]) -> list[list[_Piece]]:
    """The pieces of the spines, those that hang together in one list, in the order of the layout."""
    pieces = [(i, p, q, edge) for i, spine in enumerate(spines) for p, q, edge in spine.pieces()]
    return [[pieces[i] for i in group] for group in hanging_together([edge for *_, edge in pieces])]


def _tips(edges: Sequence[Edge], shapes: Sequence[Rooted]) -> dict[int, list[Rooted]]:
    """The shapes that are stitched on reaching the tip of a tail: closed ones that stand just there."""
    meets = Counter(node for a, b, _ in edges for node in (a, b))
    tips: dict[int, list[Rooted]] = defaultdict(list)
    for shape in shapes:
        if shape.closed and meets[shape.strand.start] == 1:
            tips[shape.strand.start].append(shape)
    return tips


def _but(shapes: Iterable[Rooted], tips: Iterable[Rooted]) -> Iterator[Rooted]:
    """The shapes without those at tips; what is to be stitched after one of these, in its place."""
    at_tip = {shape.number for shape in tips}
    for shape in shapes:
        if shape.number in at_tip:
            yield from shape.then
            shape.then = []
        else:
            yield shape


def _pockets(shapes: Iterable[Rooted]) -> list[list[Rooted]]:
    """The shapes by pocket; pockets in the order of their first shapes."""
    pockets: dict[str, list[Rooted]] = defaultdict(list)
    for shape in shapes:
        pockets[shape.pocket].append(shape)
    return list(pockets.values())


class _Needle:
    """Stitches, and knows what is stitched: ways lead from node to node over stitched pieces."""

    def __init__(self, spines: Sequence[Strand], names: Sequence[str]) -> None:
        self.spines, self.names = spines, names
        self.segments: list[Segment] = []
        self.ways: dict[int, list[tuple[int, float, Step]]] = {}
        self.stitched: list[_Move] = []
        self.edges: list[Edge] = []
        self.here = -1
        self.line = -1

    def stitch_spines(
        self, pieces: Sequence[_Piece], order: Sequence[Step], tips: dict[int, list[Rooted]]
    ) -> None:
        """One new line over spines that hang together, each tip when it is first reached."""
        tips = dict(tips)
        first, on = order[0]
        a, b, _ = pieces[first][3]
        self._begin(a if on else b)
        done: set[int] = set()
        for i, on in order:
            self._tip(tips)
            strand, p, q, (a, b, _) = pieces[i]
            kind: SegmentKind = "backtrack" if i in done else "spine"
            p, q = (p, q) if on else (q, p)
            self._move((self.spines[strand], p, q, kind, self.names[strand], None), "")
            self.here = b if on else a
            done.add(i)
        self._tip(tips)
        for strand in {piece[0]: None for piece in pieces}:
            self._remember(self.spines[strand], "travel", self.names[strand])

    def fill(self, pockets: Sequence[Sequence[Rooted]]) -> None:
        """Pocket by pocket, each shape in the fill's order, or all of it back to front when that is nearer."""
        for pocket in self._in_turn(pockets, list):
            self._all(pocket, "fill", pocket[0].pocket)

    def _all(self, shapes: Sequence[Rooted], kind: SegmentKind, pocket: str) -> None:
        """Shapes in order, or back to front when that is nearer."""
        for shape in self._in_turn(shapes, lambda shape: [shape]):
            self._stitch(shape, kind, pocket, self._go_to(shape, pocket))

    def _in_turn(self, things: Sequence[_T], shapes_of: Callable[[_T], Sequence[Rooted]]) -> Iterator[_T]:
        """Pockets or shapes in order, or back to front; each waits until something stitched leads to it."""
        if not things:
            return
        first, last = shapes_of(things[0]), shapes_of(things[-1])
        waiting = list(reversed(things) if self._nearer(last, first) else things)
        while waiting:
            n = next((n for n, thing in enumerate(waiting) if self._led_to(shapes_of(thing))), 0)
            yield waiting.pop(n)

    def _led_to(self, shapes: Iterable[Rooted]) -> bool:
        return any(node in self.ways for shape in shapes for node in shape.ends)

    def _nearer(self, these: Iterable[Rooted], those: Iterable[Rooted]) -> bool:
        """Whether the way to some shapes is shorter than to others."""
        near, far = ({node for shape in shapes for node in shape.ends} for shapes in (these, those))
        way = self._way_to(near | far)
        return way is not None and way[0] not in far

    def _tip(self, tips: dict[int, list[Rooted]]) -> None:
        for shape in tips.pop(self.here, ()):
            self._carried(shape, "tip", "")

    def _begin(self, node: int) -> None:
        self.line += 1
        self.here = node

    def _stitch(self, shape: Rooted, kind: SegmentKind, pocket: str, on: bool = True) -> None:
        """Stitch a shape from its start (or its end), and with it what stands on it."""
        strand = shape.strand
        cuts = strand.cuts if on else strand.cuts[::-1]
        begun = cuts[0][0]
        for place, node in cuts:
            if place == cuts[-1][0] or node in shape.carries:
                self._move((strand, begun, place, kind, shape.kind, shape.number), pocket)
                begun, self.here = place, node
                for carried in shape.carries.pop(node, ()):
                    self._carried(carried, kind, pocket)
        self._remember(strand, "backtrack", shape.kind, shape.number)
        if shape.then:
            self._all(shape.then, kind, pocket)

    def _carried(self, shape: Rooted, kind: SegmentKind, pocket: str) -> None:
        """Stitch what stands where the needle is, and come back."""
        foot = self.here
        on = shape.strand.start == foot
        self._stitch(shape, kind, pocket, on)
        if self.here != foot:
            self._back_to({foot}, pocket)

    def _move(self, move: _Move, pocket: str) -> None:
        """The needle goes from one place of a strand to another."""
        strand, p, q, kind, what, shape = move
        if p != q:
            span = strand.along(p), strand.along(q)
            length, curves = abs(span[1] - span[0]), strand.between(p, q)
            self.segments.append(Segment(kind, what, pocket, self.line, curves, length, shape, span))

    def _remember(self, strand: Strand, kind: SegmentKind, what: str, shape: int | None = None) -> None:
        """A strand is stitched: from now on its pieces may be gone over again."""
        for p, q, edge in strand.pieces():
            piece, (a, b, length) = len(self.edges), edge
            self.edges.append(edge)
            self.stitched.append((strand, p, q, kind, what, shape))
            self.ways.setdefault(a, []).append((b, length, (piece, True)))
            self.ways.setdefault(b, []).append((a, length, (piece, False)))

    def _way_to(self, goals: Iterable[int]) -> tuple[int, list[Step]] | None:
        """The shortest way over what is stitched to the nearest of some nodes; None when there is none."""
        reached = {node for node in goals if node in self.ways}
        return shortest_way(self.ways, self.here, reached) if reached and self.here in self.ways else None

    def _moves(self, steps: Iterable[Step]) -> list[_Move]:
        """The steps as moves along whole stretches of one strand."""
        moves: list[_Move] = []
        for piece, on in steps:
            strand, p, q, kind, what, shape = self.stitched[piece]
            if not on:
                p, q = q, p
            if moves and moves[-1][0] is strand and moves[-1][2] == p:
                p = moves.pop()[1]
            moves.append((strand, p, q, kind, what, shape))
        return moves

    def _back_to(self, goals: Iterable[int], pocket: str) -> bool:
        """Go over what is stitched to the nearest of some nodes; False when no way leads there."""
        way = self._way_to(goals)
        if way is None:
            return False
        self.here, steps = way
        for move in self._moves(steps):
            self._move(move, pocket)
        return True

    def _go_to(self, shape: Rooted, pocket: str) -> bool:
        """Go to the nearer end of a shape; begin it anew when nothing stitched leads there.

        Returns whether that is its start.
        """
        if not self._back_to(shape.ends, pocket):
            self._begin(shape.strand.start)
        return self.here == shape.strand.start
