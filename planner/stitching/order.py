"""The order of stitching, pocket by pocket, spines first or on the way, in as few lines as the design allows.

Spines that hang together are stitched in one line. Where they come first it retraces no more than it must
(postman.py): out along each tail to its tip, round the tip's own shape, back to the joint, on; then the same line
fills the pockets, each to its end before the next: along one side of the spines and back along the other, which
leaves least to travel. On the way, the order of the pockets is the same, and each piece of spine is stitched when
the needle first comes along it. It travels only over what is stitched already. What nothing stitched leads to is
begun anew, last. Each thread has a pass of its own (passes.py). Lengths are inches, coordinates the quilt's.
DESIGN section 5.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence

from planner.border.layout import Layout
from planner.fills.pocket import Pocket
from planner.fills.shape import FillOfLayout
from planner.geometry.arrays import ROUNDING_IN
from planner.stitching.needle import Needle, SpinePiece, Visit
from planner.stitching.net import Nodes, Strand
from planner.stitching.passes import Pass, passes_of
from planner.stitching.postman import Edge, Step, connected_components, eulerian_trail, least_retrace
from planner.stitching.rooting import Rooted, rooted
from planner.stitching.rural_postman import rural_postman
from planner.stitching.segments import StitchPath
from planner.stitching.zones import Zone
from planner.threads import SpineWhen

_NEARLY_ALL = 0.9  # of the spines bear shapes: then going along them on the way costs less


def path_of(layout: Layout, fill: FillOfLayout | None = None) -> StitchPath:
    """The stitching path of a layout, with its fill or of the spines alone; linear in the number of curls."""
    nodes = Nodes()
    curves = [part.piece.curve for part in layout.spines]
    spines = [
        Strand(
            (curve,),
            [(0.0, nodes.at(curve.start)), (1.0, nodes.at(curve.end))],
            {0.0: 0.0, 1.0: curve.length},
        )
        for curve in curves
    ]
    names = [part.piece.part for part in layout.spines]
    _cut_rings(nodes, spines, names)
    lines = _lines(spines)
    shapes = rooted(nodes, spines, fill) if fill else []
    least = sum(least_retrace([edge for *_, edge in line]).length for line in lines)
    passes = passes_of(layout.plan, shapes, _all_tips(lines, shapes))
    needle = Needle(spines, names, nodes.points)
    for one in passes:
        needle.take(one.thread)
        needle.cover_later(one.covered, spines=one.spines_later)
        _stitch(needle, one, lines, layout.plan.spine)
    zones = (Zone(0.0, layout.quilt.height),)
    return StitchPath(tuple(needle.segments), tuple(needle.net), least, layout.plan.carry_in, zones)


def _stitch(needle: Needle, one: Pass, lines: Sequence[Sequence[SpinePiece]], when: SpineWhen | None) -> None:
    """All that one thread stitches: along its spines, or those of a later thread, line by line; then the rest."""
    if not one.spines and not one.spines_later:
        needle.fill([(shapes, None) for shapes in _pockets(one.shapes)])
        return
    shapes = _by_line(one.shapes, lines)
    for n, line in enumerate(lines):
        edges = [edge for *_, edge in line]
        best, mine = least_retrace(edges), shapes.get(n, [])
        start = max(best.ends, default=edges[0][0])
        order = eulerian_trail(edges, best.doubled, start)
        first = one.spines and (when or _when(needle.spines, line, mine)) == "first"
        tips = _tips(edges, mine) if first else {}
        at_tip = {shape.number for tip in tips.values() for shape in tip}
        if first:
            needle.stitch_spines(line, order, tips)
        elif mine:
            needle.begin(start)
        pockets = _pockets(shape for shape in mine if shape.number not in at_tip)
        turns = _in_turn(pockets, needle.spines, line, order, needle.here)
        if one.spines and not first:
            needle.open_spines(dict.fromkeys(strand for strand, *_ in line), turns)
        needle.fill(turns)
        if one.spines and not first:
            needle.close_spines()
    needle.fill([(pocket, None) for pocket in _pockets(shapes.get(-1, []))])


def _when(spines: Sequence[Strand], line: Sequence[SpinePiece], shapes: Sequence[Rooted]) -> SpineWhen:
    """Whether to stitch a line's spines first or on the way, when she leaves it open.

    On the way is shorter where shapes grow all along them. Where most spines bear none (echo lines, a lattice),
    nothing leads along them, and going back for each costs more.
    """
    bearing = {shape.root for shape in shapes}
    strands = {strand for strand, *_ in line}
    return "on_the_way" if len(strands & bearing) >= _NEARLY_ALL * len(strands) else "first"


def _all_tips(lines: Sequence[Sequence[SpinePiece]], shapes: Sequence[Rooted]) -> set[int]:
    """The shapes, by number, that stand at the tips of tails."""
    by_line = _by_line(shapes, lines)
    tips = (_tips([edge for *_, edge in line], by_line.get(n, [])) for n, line in enumerate(lines))
    return {shape.number for one in tips for tip in one.values() for shape in tip}


def _cut_rings(nodes: Nodes, spines: Sequence[Strand], names: Sequence[str]) -> None:
    """Cut each ring where the run that comes from the other side touches it."""
    for ring, name in zip(spines, names, strict=True):
        if name == "ring":
            for other in spines:
                place, far = ring.nearest(nodes.points[other.end])
                if other is not ring and far <= ROUNDING_IN:
                    ring.cut(place, other.end)


def _lines(spines: Sequence[Strand]) -> list[list[SpinePiece]]:
    """The pieces of the spines, those that hang together in one list, in the order of the layout."""
    pieces = [(i, p, q, edge) for i, spine in enumerate(spines) for p, q, edge in spine.pieces()]
    return [[pieces[i] for i in group] for group in connected_components([edge for *_, edge in pieces])]


def _by_line(shapes: Sequence[Rooted], lines: Sequence[Sequence[SpinePiece]]) -> dict[int, list[Rooted]]:
    """The shapes that each line stitches, -1 for those that grow from none, in order.

    Shapes of a pocket that hang together are stitched together, by the last line that any of them grows from.
    """
    line_at: dict[int | None, int] = {piece[0]: n for n, line in enumerate(lines) for piece in line}
    by_line: dict[int, list[Rooted]] = defaultdict(list)
    for pocket in _pockets(shapes):
        which = [line_at.get(shape.root, -1) for shape in pocket]
        if len(set(which)) > 1:
            pieces = [(n, edge) for n, shape in enumerate(pocket) for *_, edge in shape.strand.pieces()]
            for group in connected_components([edge for _, edge in pieces]):
                together = {pieces[i][0] for i in group}
                last = max(which[n] for n in together)
                which = [last if n in together else line for n, line in enumerate(which)]
        for shape, line in zip(pocket, which, strict=True):
            by_line[line].append(shape)
    return by_line


def _tips(edges: Sequence[Edge], shapes: Sequence[Rooted]) -> dict[int, list[Rooted]]:
    """The shapes that are stitched on reaching the tip of a tail: closed ones that stand just there.

    And with them what stands on nothing but these.
    """
    meets = Counter(node for a, b, _ in edges for node in (a, b))
    tip_of = {s.number: s.strand.start for s in shapes if s.closed and meets[s.strand.start] == 1}
    more = tip_of
    while more:
        more = {
            s.number: tip_of[min(s.hosts)]
            for s in shapes
            if s.number not in tip_of and s.hosts and s.hosts <= tip_of.keys()
        }
        tip_of |= more
    tips: dict[int, list[Rooted]] = defaultdict(list)
    for shape in shapes:
        if shape.number in tip_of:
            tips[tip_of[shape.number]].append(shape)
    return tips


def _pockets(shapes: Iterable[Rooted]) -> list[list[Rooted]]:
    """The shapes by pocket; pockets in the order of their first shapes."""
    pockets: dict[Pocket, list[Rooted]] = defaultdict(list)
    for shape in shapes:
        pockets[shape.pocket].append(shape)
    return list(pockets.values())


def _in_turn(
    pockets: Sequence[Sequence[Rooted]],
    spines: Sequence[Strand],
    line: Sequence[SpinePiece],
    order: Sequence[Step],
    start: int,
) -> list[Visit]:
    """The pockets in the order of filling, each with the node of the spine where it is entered.

    Seen from afar a pocket leads from where it first touches the spine to where it last does, tails apart. So
    the order is a trip of its own, with the spine as the way between. Pockets that touch no spine come first:
    they wait until something leads to them.
    """
    passed = _passed(spines, line, order)
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


def _passed(
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
