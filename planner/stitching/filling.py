"""Filling: pocket by pocket, each to its end before the next, over what the needle may go over."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from planner.fills.pocket import Pocket
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Point
from planner.stitching.islands import tour
from planner.stitching.needle import Needle
from planner.stitching.postman import Edge, connected_components, dijkstra
from planner.stitching.rooting import Rooted
from planner.stitching.segments import SegmentKind
from planner.stitching.ways import Stretch, nodes_of, pieces_of

# The shapes of a pocket, and the node of the spine where it is to be entered.
Visit = tuple[Sequence[Rooted], int | None]
# Stretches to which nothing leads, and their edges.
Island = tuple[Sequence[Stretch], Sequence[Edge]]
_NEAR = 4.0  # a pocket so many carries away is looked at first: its next island may be within one


@dataclass(frozen=True, slots=True)
class _Waiting:
    """A pocket still to be filled. entry: as of a visit; stretches and edges: the pieces of its shapes; groups: the
    nodes of those that hang together, where it has no entry; ends: where its shapes begin and end (n, 2)."""

    shapes: Sequence[Rooted]
    entry: int | None
    stretches: list[Stretch]
    edges: list[Edge]
    groups: list[set[int]]
    ends: Numbers

    @staticmethod
    def of(needle: Needle, shapes: Sequence[Rooted], entry: int | None) -> _Waiting:
        """The pocket of some shapes."""
        stretches, edges = pieces_of(shapes)
        apart = connected_components(edges) if entry is None else []
        groups = [{node for i in group for node in edges[i][:2]} for group in apart]
        nodes = {node for shape in shapes for node in (shape.strand.start, shape.strand.end)}
        ends = np.array([needle.nodes.points[node] for node in sorted(nodes)]).reshape(-1, 2)
        return _Waiting(shapes, entry, stretches, edges, groups, ends)

    def led_to(self, needle: Needle) -> bool:
        """Whether what the needle may go over leads to all of it."""
        return all(any(needle.ways.lead_to(node) for node in group) for group in self.groups)


def fill(needle: Needle, pockets: Sequence[Visit], unsewn: Iterable[int] = ()) -> None:
    """Pocket by pocket; one without an entry waits until what is stitched leads to all of it.

    unsewn: spines to be stitched on the way to what grows from them. The last pocket beside such a spine takes
    what is left of it; what no pocket stands beside comes last.
    """
    unsewn = list(unsewn)
    for n in unsewn:
        needle.unsewn.add(n)
    needle.add_spines(unsewn)
    waiting = [_Waiting.of(needle, shapes, entry) for shapes, entry in pockets]
    beside = Counter(n for one in waiting for n in needle.ways.spines_of(nodes_of(one.edges)))
    while waiting:
        ready = (n for n, one in enumerate(waiting) if one.entry is not None or one.led_to(needle))
        n = next(ready, -1)
        now = waiting.pop(n if n >= 0 else _nearest_pocket(needle, waiting))
        _pocket(needle, now, waiting, beside)
    new, edges = needle.unsewn.left_of(unsewn)
    if edges:
        _join_and_stitch(needle, new, edges, [], [], None, "spine", None, [])


def _nearest_pocket(needle: Needle, waiting: Sequence[_Waiting]) -> int:
    """The pocket to which the thread is carried, where it may be; else the first."""
    here = needle.at
    if not needle.carry_in or here is None:
        return 0
    far = [np.hypot(*(one.ends - here).T).min() for one in waiting]
    n = int(np.argmin(far))
    return n if far[n] <= _NEAR * needle.carry_in else 0


def _near(points: Numbers, waiting: Sequence[_Waiting], far: float) -> Numbers:
    """Where the shapes of those pockets begin and end that have one so near some points (n, 2)."""
    low, high = points.min(axis=0) - far, points.max(axis=0) + far
    near = [one.ends for one in waiting if ((one.ends > low) & (one.ends < high)).all(axis=1).any()]
    return np.concatenate((np.zeros((0, 2)), *near))


def _pocket(needle: Needle, now: _Waiting, waiting: Sequence[_Waiting], beside: Counter[int]) -> None:
    """A whole pocket, from where the needle is towards where the following one is entered.

    waiting: the pockets after it; beside: how many pockets still to be filled stand beside each spine.
    """
    following = next((one.entry for one in waiting if one.entry is not None), None)
    pocket, ways = now.shapes[0].pocket, needle.ways
    new, edges = now.stretches, now.edges
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
    for piece in ways.between(mine):
        old.append(ways.stretches[piece])
        between.append(ways.edges[piece])
    apart = _join_and_stitch(needle, new, edges, old, between, goal, "fill", pocket, waiting)
    needle.add_shapes(*(pieces_of(now.shapes) if apart else (now.stretches, now.edges)))


def _join_and_stitch(
    needle: Needle,
    new: Sequence[Stretch],
    edges: Sequence[Edge],
    old: list[Stretch],
    between: list[Edge],
    goal: int | None,
    kind: SegmentKind,
    pocket: Pocket | None,
    waiting: Sequence[_Waiting],
) -> bool:
    """All that the needle can come to, in one trip; then what nothing leads to, in an order with few starts.

    Returns whether there was any: a ring that stands alone is cut where it is begun.
    """
    alone = _join(needle, edges, old, between)
    left = {i for group in alone for i in group}
    led = [i for i in range(len(new)) if i not in left]
    if led:
        needle.trip([new[i] for i in led] + old, [edges[i] for i in led], between, goal, kind, pocket)
    if alone:
        islands = [([new[i] for i in group], [edges[i] for i in group]) for group in alone]
        _stitch_islands(needle, islands, kind, pocket, waiting)
    return bool(alone)


def _stitch_islands(
    needle: Needle,
    islands: Sequence[Island],
    kind: SegmentKind,
    pocket: Pocket | None,
    waiting: Sequence[_Waiting],
) -> None:
    """Each by itself, begun where the thread is carried to, or as near as may be."""
    doors = [_doors(needle, island) for island in islands]
    places = [np.array([at for at, _ in some]) for some in doors]
    onward = _near(np.concatenate(places), waiting if needle.carry_in else (), needle.carry_in)
    for leg in tour(places, needle.at, onward, needle.carry_in):
        begin, end = (doors[leg.island][n][1] for n in (leg.begin, leg.end))
        stretches, edges = islands[leg.island]
        if isinstance(begin, float) or isinstance(end, float):
            strand, _, _, what, shape = stretches[0]
            begin, end = (
                strand.node_at(needle.nodes, one) if isinstance(one, float) else one for one in (begin, end)
            )
            stretches = [(strand, p, q, what, shape) for p, q, _ in strand.pieces()]
            edges = [edge for *_, edge in strand.pieces()]
        needle.begin(begin)
        needle.trip(stretches, edges, [], end if leg.carried else None, kind, pocket)


def _doors(needle: Needle, island: Island) -> list[tuple[Point, int | float]]:
    """Where an island may be begun and left: its nodes; of a ring that stands alone, places all round it."""
    stretches, edges = island
    strand = stretches[0][0]
    doors: list[tuple[Point, int | float]] = [
        (needle.nodes.points[node], node) for node in sorted(nodes_of(edges))
    ]
    if needle.carry_in and strand.closed and all(one[0] is strand for one in stretches):
        places = np.arange(0.5, len(strand.curves), 0.5).tolist()
        doors += [(strand.point(place), place) for place in places]
    return doors


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
            left = [i for group, _ in apart for i in group if i < len(new)]
            return [[left[i] for i in group] for group in connected_components([new[i] for i in left])]
        for piece, _ in way:
            old.append(needle.ways.stretches[piece])
            between.append(needle.ways.edges[piece])
