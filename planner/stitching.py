"""The order of stitching: spines first, then the fill pocket by pocket, in as few lines as the design allows.

Spines that hang together are stitched in one line that retraces no more than it must (planner.route): out
along each tail to its tip, round the tip's own shape, back to the joint, on. The same line then comes back
along the spine and fills the pockets it passes, each to its end before the next, and travels only over what
is stitched already. What nothing stitched leads to is begun anew, last. Lengths are inches, coordinates the
quilt's. DESIGN section 5.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from planner.curves import Curve
from planner.fills.shape import FillOfLayout
from planner.layout import Layout
from planner.net import Finder, Nodes, Strand
from planner.route import Edge, Step, least_retrace, shortest_way, walk
from planner.spine import TOUCHING_IN

SegmentKind = Literal["spine", "tip", "fill", "backtrack", "travel"]


@dataclass(frozen=True, slots=True)
class Segment:
    """One move of the needle.

    kind: spine and fill are new, tip is the shape at the end of a tail; backtrack goes over a tail or a shape
    again, travel over the spine. what: the part of the spine, or the kind of shape. pocket: the one being
    filled, '' while on the spines. line: which line it belongs to, from 0; each has one start and one stop.
    """

    kind: SegmentKind
    what: str
    pocket: str
    line: int
    curves: tuple[Curve, ...]
    length: float

    @property
    def again(self) -> bool:
        """Whether it goes over what is stitched already."""
        return self.kind in ("backtrack", "travel")


@dataclass(frozen=True, slots=True)
class StitchPath:
    """The whole order, and what it costs (inches).

    least_retraced_spine: the least with which the same spines can be stitched in as many lines, by route
    inspection.
    """

    segments: tuple[Segment, ...]
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
    def retraced_spine(self) -> float:
        """What is stitched twice before the filling begins."""
        return sum(s.length for s in self.segments if s.again and not s.pocket)

    @property
    def pockets(self) -> tuple[str, ...]:
        """The pockets in the order in which they are filled."""
        return tuple(dict.fromkeys(s.pocket for s in self.segments if s.kind == "fill"))


@dataclass(slots=True)
class _Planted:
    """A shape's outline where it stands. root: the spine it grows from, through others; None for nothing."""

    what: str
    pocket: str
    strand: Strand
    root: int | None


# A piece of a spine that is stitched in one go: the strand's number, from and to which place, its edge.
_Piece = tuple[int, float, float, Edge]


def path_of(layout: Layout, fill: FillOfLayout | None = None) -> StitchPath:
    """The stitching path of a layout, with its fill or of the spines alone; linear in the number of curls."""
    nodes = Nodes()
    spines = [Strand(nodes, (part.piece.curve,)) for part in layout.spines]
    names = [part.piece.part for part in layout.spines]
    _cut_rings(nodes, spines, names)
    lines = _lines(spines)
    line_at: dict[int | None, int] = {piece[0]: n for n, line in enumerate(lines) for piece in line}
    shapes: dict[int, list[_Planted]] = defaultdict(list)
    for shape in _planted(nodes, spines, fill) if fill else ():
        shapes[line_at.get(shape.root, -1)].append(shape)
    needle = _Needle(spines, names)
    least = 0.0
    for n, line in enumerate(lines):
        edges = [edge for *_, edge in line]
        best = least_retrace(edges)
        least += best.length
        order = walk(edges, best.doubled, max(best.ends, default=edges[0][0]))
        tips = _tips(edges, shapes[n])
        needle.stitch_spines(line, order, tips)
        passing = {strand: k for k, strand in enumerate(dict.fromkeys(line[i][0] for i, _ in order))}
        at_tip = {id(tip) for tip in tips.values()}
        pockets = _pockets(shape for shape in shapes[n] if id(shape) not in at_tip)
        pockets.sort(key=lambda pocket: passing[pocket[0].root or 0])
        needle.fill(needle.nearer(pockets, pockets[::-1]))
    needle.fill(_pockets(shapes[-1]))
    return StitchPath(tuple(needle.segments), least)


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
    leader: dict[int, int] = {}

    def led(node: int) -> int:
        while leader.setdefault(node, node) != node:
            leader[node] = node = leader[leader[node]]
        return node

    for *_, (a, b, _length) in pieces:
        leader[led(a)] = led(b)
    lines: dict[int, list[_Piece]] = defaultdict(list)
    for piece in pieces:
        lines[led(piece[3][0])].append(piece)
    return list(lines.values())


def _planted(nodes: Nodes, spines: Sequence[Strand], fill: FillOfLayout) -> list[_Planted]:
    """The shapes of a fill, their ends tied to what they grow from; in the fill's order.

    A shape that only ends on something is turned round, to begin there.
    """
    lengths = [[shape.length for shape in cell.shapes] for cell in fill.cells]
    given = list(fill.shapes())
    known = [length for copy in fill.copies for length in lengths[copy.cell]]
    strands = [Strand(nodes, shape.curves, length) for shape, length in zip(given, known, strict=True)]
    ends = [p for shape in given for p in (shape.start, shape.end)]
    on_spine = Finder(spines).on(ends)
    loose = [k for k, found in enumerate(on_spine) if not found]
    on_shape = dict(
        zip(loose, Finder(strands).on([ends[k] for k in loose], own=[k // 2 for k in loose]), strict=True)
    )
    roots: list[int | None] = []
    for i, strand in enumerate(strands):
        grows: list[int | None] = []
        for side in (0, 1):
            k = 2 * i + side
            node, root = (strand.start, strand.end)[side], None
            if on_spine[k]:
                root, place = on_spine[k][0]
                node = spines[root].node_near(nodes, place)
            else:
                for j, place in on_shape[k]:
                    if j < i:
                        node, root = strands[j].node_near(nodes, place), roots[j]
                        break
            grows.append(root)
            strand.tie(nodes, side, node)
        if grows[0] is None and grows[1] is not None:
            strand.turn_round()
        roots.append(grows[0] if grows[0] is not None else grows[1])
    return [_Planted(s.kind, s.pocket, st, root) for s, st, root in zip(given, strands, roots, strict=True)]


def _tips(edges: Sequence[Edge], shapes: Sequence[_Planted]) -> dict[int, _Planted]:
    """The shapes that are stitched on reaching the tip of a tail: closed ones that stand just there."""
    meets = Counter(node for a, b, _ in edges for node in (a, b))
    tips: dict[int, _Planted] = {}
    for shape in shapes:
        if shape.strand.start == shape.strand.end and meets[shape.strand.start] == 1:
            tips.setdefault(shape.strand.start, shape)
    return tips


def _pockets(shapes: Iterable[_Planted]) -> list[list[_Planted]]:
    """The shapes by pocket; pockets in the order of their first shapes."""
    pockets: dict[str, list[_Planted]] = defaultdict(list)
    for shape in shapes:
        pockets[shape.pocket].append(shape)
    return list(pockets.values())


class _Needle:
    """Stitches, and knows what is stitched: ways lead from node to node over stitched pieces."""

    def __init__(self, spines: Sequence[Strand], names: Sequence[str]) -> None:
        self.spines, self.names = spines, names
        self.segments: list[Segment] = []
        self.ways: dict[int, list[tuple[int, float, Step]]] = {}
        self.stitched: list[tuple[Strand, float, float, SegmentKind, str]] = []
        self.here: int | None = None
        self.line = -1

    def stitch_spines(
        self, pieces: Sequence[_Piece], order: Sequence[Step], tips: dict[int, _Planted]
    ) -> None:
        """One new line over spines that hang together, each tip when it is first reached."""
        tips = dict(tips)
        first, on = order[0]
        a, b, _ = pieces[first][3]
        self._begin(a if on else b)
        done: set[int] = set()
        for i, on in order:
            self._tip(tips)
            strand, p, q, (a, b, length) = pieces[i]
            kind: SegmentKind = "backtrack" if i in done else "spine"
            curves = self.spines[strand].between(*((p, q) if on else (q, p)))
            self.segments.append(Segment(kind, self.names[strand], "", self.line, curves, length))
            self.here = b if on else a
            done.add(i)
        self._tip(tips)
        for strand in {piece[0]: None for piece in pieces}:
            self._remember(self.spines[strand], "travel", self.names[strand])

    def fill(self, pockets: Iterable[Sequence[_Planted]]) -> None:
        """Pocket by pocket, each shape in the fill's order."""
        for pocket in pockets:
            for shape in pocket:
                self._go_to(shape.strand.start, shape.pocket)
                self._stitch(shape, "fill", shape.pocket)

    def nearer(self, *orders: list[list[_Planted]]) -> list[list[_Planted]]:
        """The order that begins nearest to the needle."""

        def way(order: list[list[_Planted]]) -> float:
            steps = self._way_to(order[0][0].strand.start) or ()
            return sum(sum(curve.length for curve in self._curves(step)) for step in steps)

        return min(orders, key=way) if orders[0] else []

    def _tip(self, tips: dict[int, _Planted]) -> None:
        if self.here in tips:
            self._stitch(tips.pop(self.here), "tip", "")

    def _begin(self, node: int) -> None:
        self.line += 1
        self.here = node

    def _stitch(self, shape: _Planted, kind: SegmentKind, pocket: str) -> None:
        strand = shape.strand
        self.segments.append(Segment(kind, shape.what, pocket, self.line, strand.curves, strand.length))
        self.here = strand.end
        self._remember(strand, "backtrack", shape.what)

    def _remember(self, strand: Strand, kind: SegmentKind, what: str) -> None:
        """A strand is stitched: from now on its pieces may be gone over again."""
        for p, q, (a, b, length) in strand.pieces():
            piece = len(self.stitched)
            self.stitched.append((strand, p, q, kind, what))
            self.ways.setdefault(a, []).append((b, length, (piece, True)))
            self.ways.setdefault(b, []).append((a, length, (piece, False)))

    def _way_to(self, node: int) -> list[Step] | None:
        """The shortest way over what is stitched; None when there is none."""
        if node not in self.ways or self.here not in self.ways:
            return None
        return shortest_way(self.ways, self.here, node)

    def _curves(self, step: Step) -> tuple[Curve, ...]:
        piece, on = step
        strand, p, q, *_ = self.stitched[piece]
        return strand.between(p, q) if on else strand.between(q, p)

    def _go_to(self, node: int, pocket: str) -> None:
        """Travel to a node, or begin there anew when nothing stitched leads to it."""
        steps = self._way_to(node)
        if steps is None:
            return self._begin(node)
        for step in steps:
            *_, kind, what = self.stitched[step[0]]
            curves = self._curves(step)
            self.segments.append(
                Segment(kind, what, pocket, self.line, curves, sum(curve.length for curve in curves))
            )
        self.here = node
        return None
