"""Turns: which line of spine stitches what, and in which order its pockets are filled.

Spines that hang together are one line. A pocket leads from where it first touches the spine to where it last does;
so the order of the pockets is a trip of its own, with the spine as the way between: along one side of the spines
and back along the other, which leaves least to travel.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence
from itertools import groupby
from operator import attrgetter

from planner.fills.pocket import Pocket
from planner.stitching.filling import Visit
from planner.stitching.needle import SpinePiece
from planner.stitching.net import Strand
from planner.stitching.postman import Edge, Step, connected_components
from planner.stitching.rooting import Rooted
from planner.stitching.rural_postman import rural_postman


def edges_of(pieces: Iterable[SpinePiece]) -> list[Edge]:
    """The edges of the net that some spine pieces are."""
    return [edge for *_, edge in pieces]


def lines_of(pieces: Sequence[SpinePiece]) -> list[list[SpinePiece]]:
    """The pieces of some spines, those that hang together in one list, in the order of the layout."""
    return [[pieces[i] for i in group] for group in connected_components(edges_of(pieces))]


def by_line(shapes: Sequence[Rooted], lines: Sequence[Sequence[SpinePiece]]) -> dict[int, list[Rooted]]:
    """The shapes that each line stitches, -1 for those that grow from none, in order.

    Shapes of a pocket that hang together are stitched together, by the last line that any of them grows from.
    """
    line_at: dict[int | None, int] = {piece[0]: n for n, line in enumerate(lines) for piece in line}
    found: dict[int, list[Rooted]] = defaultdict(list)
    for pocket in pockets_of(shapes):
        which = [line_at.get(shape.root, -1) for shape in pocket]
        if len(set(which)) == 1:
            found[which[0]] += pocket
            continue
        pieces = [(n, edge) for n, shape in enumerate(pocket) for *_, edge in shape.strand.pieces()]
        for group in connected_components([edge for _, edge in pieces]):
            together = {pieces[i][0] for i in group}
            last = max(which[n] for n in together)
            which = [last if n in together else line for n, line in enumerate(which)]
        for shape, line in zip(pocket, which, strict=True):
            found[line].append(shape)
    return found


def pockets_of(shapes: Iterable[Rooted]) -> list[list[Rooted]]:
    """The shapes by pocket; pockets in the order of their first shapes.

    A seam strip is one, all the way round: a side by itself would be a comb, each of its lines stitched twice.
    """
    pockets: dict[Pocket | str, list[Rooted]] = defaultdict(list)
    for pocket, run in groupby(shapes, attrgetter("pocket")):
        pockets["strip" if pocket.kind == "strip" else pocket] += run
    return list(pockets.values())


def within(shapes: Iterable[Rooted], pockets: Container[Pocket]) -> list[Rooted]:
    """Those shapes that lie in some pockets, in order."""
    runs = groupby(shapes, attrgetter("pocket"))
    return [shape for pocket, run in runs if pocket in pockets for shape in run]


def in_turn(
    pockets: Sequence[Sequence[Rooted]],
    spines: Sequence[Strand],
    line: Sequence[SpinePiece],
    passed: Mapping[int, tuple[float, int]],
    start: int,
) -> list[Visit]:
    """The pockets in the order of filling, each with the node of the spine where it is entered.

    Seen from afar a pocket leads from where it first touches the spine to where it last does, tails apart. So
    the order is a trip of its own, with the spine as the way between. Pockets that touch no spine come first:
    they wait until something leads to them.
    """
    ends = [
        sorted({passed[n] for s in pocket for n in (s.strand.start, s.strand.end) if n in passed})
        for pocket in pockets
    ]
    turns: list[Visit] = [(pockets[i], None) for i, feet in enumerate(ends) if not feet]
    led = [i for i, feet in enumerate(ends) if feet]
    new = [(ends[i][0][1], ends[i][-1][1], float("inf")) for i in led]
    strands = {strand: None for strand, *_ in line}
    among = {start, *(node for a, b, _ in new for node in (a, b))}
    among.update(node for strand in strands for node in (spines[strand].start, spines[strand].end))
    between = [edge for strand in strands for *_, edge in spines[strand].pieces(among)]
    for k, on in rural_postman(new, between, start):
        if k < len(new):
            a, b, _ = new[k]
            turns.append((pockets[led[k]], a if on else b))
    return turns


def passed_by(
    spines: Sequence[Strand], line: Sequence[SpinePiece], order: Sequence[Step]
) -> dict[int, tuple[float, int]]:
    """For each node of a line when it is first passed, and where; on a tail, where that begins."""
    meets = Counter(node for *_, (a, b, _) in line for node in (a, b))
    passed: dict[int, tuple[float, int]] = {}
    gone = 0.0
    for i, on in order:
        strand, p, q, (a, b, length) = line[i]
        spine = spines[strand]
        begun = spine.along(p if on else q)
        tail = meets[a] == 1 or meets[b] == 1
        for place, node in spine.cuts:
            if p <= place <= q:
                here = (gone + abs(spine.along(place) - begun), node)
                if tail:
                    here = (gone, a if meets[b] == 1 else b)
                passed.setdefault(node, here)
        if not tail:
            gone += length
    return passed


def first_foot(shapes: Iterable[Rooted], passed: Mapping[int, tuple[float, int]]) -> int | None:
    """Where the first of some shapes stands on the spine; None where all stand on others, as berries may."""
    feet = [passed[node] for shape in shapes for _, node in shape.strand.cuts if node in passed]
    return min(feet)[1] if feet else None
