"""The order of stitching, thread by thread and pocket by pocket, in as few lines as the design allows.

Spines that hang together are stitched in one line. Where they come first it retraces no more than it must
(postman.py): out along each tail to its tip, round the tip's own shape, back to the joint, on; then the same line
fills the pockets, each to its end before the next (turns.py). On the way, the order of the pockets is the same, and
each piece of spine is stitched when the needle first comes along it. Where she leaves that open, both are tried,
and what has fewer starts, then what is shorter, is kept. It travels only over what is stitched already.
What nothing stitched leads to is begun anew, last. Each thread has a pass of its own (passes.py), in each zone that
lies under the needle at one time (zones.py). Lengths are inches, coordinates the quilt's. DESIGN section 5.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from itertools import zip_longest

from planner.border.layout import Layout
from planner.fills.shape import FillOfLayout
from planner.geometry.arrays import ROUNDING_IN
from planner.plan import Plan
from planner.stitching.filling import fill
from planner.stitching.needle import Dearer, Needle, SpinePiece
from planner.stitching.net import Nodes, Strand
from planner.stitching.passes import Pass, passes_of
from planner.stitching.postman import (
    Edge,
    eulerian_trail,
    least_retrace,
    minimum_t_join,
    odd_nodes,
)
from planner.stitching.rooting import Rooted, rooted
from planner.stitching.segments import StitchPath
from planner.stitching.turns import (
    by_line,
    edges_of,
    first_foot,
    in_turn,
    lines_of,
    passed_by,
    pockets_of,
    within,
)
from planner.stitching.ways import nodes_of, pieces_of
from planner.stitching.zones import Zone, zones_of
from planner.threads import SpineWhen, Working


def path_of(layout: Layout, grown: FillOfLayout | None = None) -> StitchPath:
    """The stitching path of a layout, with its fill or of the spines alone; linear in the number of curls.

    Raises PlanError where the frame she works on reaches too little.
    """
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
    pieces = [(n, p, q, edge) for n, spine in enumerate(spines) for p, q, edge in spine.pieces()]
    shapes = rooted(nodes, spines, grown) if grown else []
    least = sum(least_retrace(edges_of(line)).length for line in lines_of(pieces))
    plan, tips = layout.plan, _tips(edges_of(pieces), shapes)
    zones = zones_of(layout, spines, shapes)
    passes = passes_of(plan, shapes, {shape.number for tip in tips.values() for shape in tip})
    needle = Needle(spines, names, nodes, plan.carry_in)
    order = _in_order(len(zones), passes, plan.working)
    for (n, one), following in zip_longest(order, order[1:]):
        needle = _stitched(needle, one, n, zones[n], pieces, plan)
        if plan.working.needle_down and following and following[1] is one:
            on = zones[following[0]].spines & needle.sewn
            needle.go_to({node for spine in on for _, node in spines[spine].cuts}, None)
    return StitchPath(tuple(needle.segments), tuple(needle.net), least, plan.carry_in, tuple(zones))


def _in_order(zones: int, passes: Sequence[Pass], working: Working) -> list[tuple[int, Pass]]:
    """Each zone with each pass: all threads before the quilt is moved on, or one thread to the end."""
    if working.threads_by == "thread":
        return [(n, one) for one in passes for n in range(zones)]
    return [(n, one) for n in range(zones) for one in passes]


def _stitched(
    needle: Needle, one: Pass, strip: int, zone: Zone, pieces: Sequence[SpinePiece], plan: Plan
) -> Needle:
    """The needle when one thread has stitched its part of one zone, its spines when she says or as is best."""
    whens: tuple[SpineWhen, ...] = (
        "on_the_way",
        "first",
    )  # what is cheaper as a rule, so that the other gives up soon
    if plan.spine or not one.spines or zone.due <= needle.sewn:
        whens = (plan.spine or "on_the_way",)
    best: Needle | None = None
    for when in whens:
        tried = needle.copy()
        tried.most = best.price if best else None
        try:
            _stitch(tried, one, strip, zone, pieces, plan, when)
        except Dearer:
            continue
        if best is None or tried.price <= best.price:
            best = tried
    assert best is not None
    return best


def _stitch(
    needle: Needle,
    one: Pass,
    strip: int,
    zone: Zone,
    pieces: Sequence[SpinePiece],
    plan: Plan,
    when: SpineWhen,
) -> None:
    """All that one thread stitches in one zone: along its spines, or those of a later thread; then the rest."""
    mine = within(one.shapes, zone.pockets)
    old = zone.spines if one.spines_later else zone.spines & needle.sewn if one.spines else frozenset()
    needle.take(one.thread, strip, sorted(old), stay=plan.working.needle_down)
    needle.ways.open(*pieces_of(within(one.covered, zone.pockets)))
    if not one.spines and not one.spines_later:
        fill(needle, [(shapes, None) for shapes in pockets_of(mine)])
        return
    first = one.spines and when == "first"
    here = zone.spines if first or one.spines_later else zone.due | zone.spines & needle.sewn
    lines = lines_of([piece for piece in pieces if piece[0] in here])
    shapes = by_line(mine, lines)
    for n in sorted(range(len(lines)), key=lambda n: not _is_on(needle, lines[n])):
        new = [piece for piece in lines[n] if one.spines and piece[0] not in needle.sewn]
        if shapes.get(n) or any(strand in zone.due for strand, *_ in new):
            _stitch_line(needle, lines[n], new, shapes.get(n, []), first=first)
    fill(needle, [(pocket, None) for pocket in pockets_of(shapes.get(-1, []))])


def _stitch_line(
    needle: Needle,
    line: Sequence[SpinePiece],
    new: Sequence[SpinePiece],
    shapes: Sequence[Rooted],
    *,
    first: bool,
) -> None:
    """What is in reach along spines that hang together. new: what of these is stitched, first or on the way."""
    tips = _tips(edges_of(line), shapes) if first else {}
    at_tip = set[int]()
    if first:
        parts = lines_of(new)
        while parts:
            at_tip |= _stitch_part(needle, parts.pop(_nearest(needle, parts)), tips)
    best = least_retrace(edges_of(line))
    order = eulerian_trail(edges_of(line), best.doubled, max(best.ends, default=line[0][3][0]))
    passed = passed_by(needle.spines, line, order)
    if not _is_on(needle, line):
        foot = _begin(lines_of(new)[0]) if new else first_foot(shapes, passed)
        if foot is None:
            fill(needle, [(pocket, None) for pocket in pockets_of(shapes)])
            return
        needle.begin(foot)
    pockets = pockets_of(shape for shape in shapes if shape.number not in at_tip)
    turns = in_turn(pockets, needle.spines, line, passed, needle.here)
    fill(needle, turns, () if first else dict.fromkeys(strand for strand, *_ in new))


def _stitch_part(
    needle: Needle, part: Sequence[SpinePiece], tips: Mapping[int, Sequence[Rooted]]
) -> set[int]:
    """New spines that hang together in one line, each tip when it is first reached; the shapes of these."""
    edges = edges_of(part)
    if needle.go_to(nodes_of(edges), None):
        start = needle.here
        best = minimum_t_join(edges, odd_nodes(edges) ^ {start}, 1)
    else:
        start, best = _begin(part), least_retrace(edges)
        needle.begin(start)
    mine = {node: tips[node] for node in sorted(nodes_of(edges) & tips.keys())}
    needle.stitch_spines(part, eulerian_trail(edges, best.doubled, start), mine)
    return {shape.number for tip in mine.values() for shape in tip}


def _begin(part: Sequence[SpinePiece]) -> int:
    """Where a line over spines that hang together is best begun."""
    return max(least_retrace(edges_of(part)).ends, default=part[0][3][0])


def _nearest(needle: Needle, parts: Sequence[Sequence[SpinePiece]]) -> int:
    """Which of some parts the needle comes to first over what is stitched."""
    nodes = [nodes_of(edges_of(part)) for part in parts]
    there = needle.nearest(set().union(*nodes))
    return next((n for n, mine in enumerate(nodes) if there in mine), 0)


def _is_on(needle: Needle, line: Sequence[SpinePiece]) -> bool:
    """Whether the needle is on some spines."""
    return any(node == needle.here for strand, *_ in line for _, node in needle.spines[strand].cuts)


def _cut_rings(nodes: Nodes, spines: Sequence[Strand], names: Sequence[str]) -> None:
    """Cut each ring where the run that comes from the other side touches it."""
    for ring, name in zip(spines, names, strict=True):
        if name == "ring":
            for other in spines:
                place, far = ring.nearest(nodes.points[other.end])
                if other is not ring and far <= ROUNDING_IN:
                    ring.cut(place, other.end)


def _tips(edges: Sequence[Edge], shapes: Sequence[Rooted]) -> dict[int, list[Rooted]]:
    """The shapes that are stitched on reaching the tip of a tail: closed ones that stand just there.

    And with them what stands on nothing but these.
    """
    meets = Counter(node for a, b, _ in edges for node in (a, b))
    ends = {node for node, edges_there in meets.items() if edges_there == 1}
    tip_of = {s.number: s.strand.start for s in shapes if s.strand.start in ends and s.closed}
    hosted = [shape for shape in shapes if shape.hosts]
    more = tip_of
    while more:
        more = {
            s.number: tip_of[min(s.hosts)]
            for s in hosted
            if s.number not in tip_of and s.hosts <= tip_of.keys()
        }
        tip_of |= more
    tips: dict[int, list[Rooted]] = defaultdict(list)
    for shape in shapes:
        if shape.number in tip_of:
            tips[tip_of[shape.number]].append(shape)
    return tips
