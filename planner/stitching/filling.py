"""Filling: pocket by pocket, each to its end before the next, over what the needle may go over."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from planner.fills.pocket import Pocket
from planner.stitching.needle import Needle
from planner.stitching.postman import Edge, connected_components, dijkstra
from planner.stitching.rooting import Rooted
from planner.stitching.segments import SegmentKind
from planner.stitching.ways import Stretch, nodes_of, pieces_of

# The shapes of a pocket, and the node of the spine where it is to be entered.
Visit = tuple[Sequence[Rooted], int | None]


def fill(needle: Needle, pockets: Sequence[Visit], unsewn: Iterable[int] = ()) -> None:
    """Pocket by pocket; one without an entry waits until what is stitched leads to all of it.

    unsewn: spines to be stitched on the way to what grows from them. The last pocket beside such a spine takes
    what is left of it; what no pocket stands beside comes last.
    """
    unsewn = list(unsewn)
    for n in unsewn:
        needle.unsewn.add(n)
    needle.add_spines(unsewn)
    beside = Counter(
        n for shapes, _ in pockets for n in needle.ways.spines_of(nodes_of(pieces_of(shapes)[1]))
    )
    waiting = list(pockets)
    while waiting:
        ready = (
            n for n, (shapes, entry) in enumerate(waiting) if entry is not None or _led_to(needle, shapes)
        )
        shapes, _ = waiting.pop(next(ready, 0))
        _pocket(needle, shapes, next((entry for _, entry in waiting if entry is not None), None), beside)
    new, edges = needle.unsewn.left_of(unsewn)
    if edges:
        _join_and_stitch(needle, new, edges, [], [], None, "spine", None)


def _led_to(needle: Needle, shapes: Iterable[Rooted]) -> bool:
    _, edges = pieces_of(shapes)
    return all(
        any(needle.ways.lead_to(node) for i in group for node in edges[i][:2])
        for group in connected_components(edges)
    )


def _pocket(needle: Needle, shapes: Sequence[Rooted], following: int | None, beside: Counter[int]) -> None:
    """A whole pocket, from where the needle is towards where the following one is entered.

    beside: how many pockets still to be filled stand beside each spine.
    """
    pocket, ways = shapes[0].pocket, needle.ways
    new, edges = pieces_of(shapes)
    mine = nodes_of(edges)
    spines = ways.spines_of(mine)
    if needle.unsewn:
        beside.subtract(spines)
        more = needle.unsewn.left_of(n for n in spines if not beside[n])
        new, edges = new + more[0], edges + more[1]
        mine = nodes_of(edges)
    near = mine.union(node for n in spines for _, node in needle.spines[n].cuts)
    if needle.here not in near:
        needle.go_to(near, pocket)
    if needle.here not in near and spines:
        # it ended where nothing leads on: on what another thread leaves apart
        needle.begin(min(node for node in mine if ways.spines_of([node])))
    goal = None if following is None else dijkstra(ways.from_node, following, near).nearest
    among = mine | {needle.here} | ({goal} if goal is not None else set())
    among.update(node for n in spines for node in (needle.spines[n].start, needle.spines[n].end))
    old: list[Stretch] = []
    between: list[Edge] = []
    for n in spines:
        for p, q, edge in needle.spines[n].pieces(among):
            old.append((needle.spines[n], p, q, needle.names[n], None))
            between.append(needle.unsewn.price(n, p, q, edge))
    _join_and_stitch(needle, new, edges, old, between, goal, "fill", pocket)
    needle.add_shapes(shapes)


def _join_and_stitch(
    needle: Needle,
    new: Sequence[Stretch],
    edges: Sequence[Edge],
    old: list[Stretch],
    between: list[Edge],
    goal: int | None,
    kind: SegmentKind,
    pocket: Pocket | None,
) -> None:
    """All that the needle can come to, in one trip; then what nothing leads to, the nearest first."""
    alone = _join(needle, edges, old, between)
    left = {i for group in alone for i in group}
    led = [i for i in range(len(new)) if i not in left]
    if led:
        needle.trip([new[i] for i in led] + old, [edges[i] for i in led], between, goal, kind, pocket)
    for group in _nearest_first(needle, alone, edges):
        needle.trip([new[i] for i in group], [edges[i] for i in group], [], None, kind, pocket)


def _nearest_first(needle: Needle, groups: list[list[int]], edges: Sequence[Edge]) -> Iterator[list[int]]:
    """Groups of edges to which nothing leads, each begun at its node that is nearest to where the needle is."""
    left = {n: {node for i in group for node in edges[i][:2]} for n, group in enumerate(groups)}
    while left:
        at, n = min((needle.far(node), node, n) for n, nodes in left.items() for node in nodes)[1:]
        del left[n]
        needle.begin(at)
        yield groups[n]


def _join(needle: Needle, new: Sequence[Edge], old: list[Stretch], between: list[Edge]) -> list[list[int]]:
    """Add to the old stretches and their edges what joins the new to the needle.

    Returns the new edges that nothing leads to, those that hang together in one list.
    """
    while True:
        edges = [*new, *between]
        groups = [
            (group, {node for i in group for node in edges[i][:2]}) for group in connected_components(edges)
        ]
        apart = [
            (group, nodes) for group, nodes in groups if group[0] < len(new) and needle.here not in nodes
        ]
        way = needle.ways.nearest(needle.here, (node for _, nodes in apart for node in nodes))
        if way is None:
            return [[i for i in group if i < len(new)] for group, _ in apart]
        for piece, _ in way:
            old.append(needle.ways.stretches[piece])
            between.append(needle.ways.edges[piece])
