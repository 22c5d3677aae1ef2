"""Where each shape of a fill grows: on a spine, on another shape, or on nothing.

A shape's ends are tied to the nearest spine, or else to the nearest shape of its pocket, within ON_IN, and that
strand is cut there, so that the needle can pass from one to the other. What stands on what is found once for a
cell, where its first copy lies, and holds for all its copies. From pocket to pocket the needle passes where
lines end in the same point. Lengths are inches.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from planner.curves import Motion
from planner.fills.shape import Cell, FillOfLayout
from planner.net import ON_IN, Finder, Nodes, Strand, apart, measured

_KNOWN_AT = (0.37, 0.61)  # shares of a spine at which it is known again: not where strands use to touch


@dataclass(slots=True)
class Rooted:
    """A shape's outline where it grows.

    number: its place in the fill's order; root: the spine it grows from, through other shapes, None for none;
    hosts: the shapes of its own pocket (their numbers) that it stands on, none when it stands on a spine too.
    """

    number: int
    kind: str
    pocket: str
    strand: Strand
    root: int | None = None
    hosts: frozenset[int] = frozenset()

    @property
    def closed(self) -> bool:
        return self.strand.closed


@dataclass(frozen=True, slots=True)
class _Foot:
    """Where an end of a shape stands: at a place on a spine, or on a shape of its cell (which, by number)."""

    on_spine: bool
    which: int
    place: float


@dataclass(frozen=True, slots=True)
class _Standing:
    """A cell's shapes where its first copy lies, tied to what they stand on.

    feet: of each shape's start and end, None in the air; order: the shapes, each after those it stands on.
    """

    motion: Motion
    strands: list[Strand]
    feet: list[tuple[_Foot | None, _Foot | None]]
    order: list[int]

    def hosts(self, first: int) -> Iterator[frozenset[int]]:
        """What each shape stands on, when that is no spine; numbers begin with the first."""
        for feet in self.feet:
            stood = [foot for foot in feet if foot]
            yield frozenset(first + foot.which for foot in stood if not any(foot.on_spine for foot in stood))


def rooted(nodes: Nodes, spines: Sequence[Strand], fill: FillOfLayout) -> list[Rooted]:
    """The shapes of a fill in order; cuts the spines, and the shapes that others stand on, where they stand."""
    finder = Finder(spines)
    known: dict[int, _Standing] = {}
    shapes: list[Rooted] = []
    for copy in fill.copies:
        cell = fill.cells[copy.cell]
        if copy.cell not in known:
            known[copy.cell] = _standing(cell, copy.motion, finder)
        standing = known[copy.cell]
        laid = _laid(standing, copy.motion, nodes, finder)
        first = len(shapes)
        for i, (shape, hosts) in enumerate(zip(cell.shapes, standing.hosts(first), strict=True)):
            shapes.append(Rooted(first + i, shape.kind, copy.pocket, *laid[i], hosts))
    _root_from_pocket_to_pocket(shapes)
    return shapes


def _standing(cell: Cell, motion: Motion, finder: Finder) -> _Standing:
    """Tie a cell's shapes to the spines and to each other; no shape moves any more once others stand on it."""
    strands = [Strand([c.moved(motion) for c in s.curves], (-1, -1), {}) for s in cell.shapes]
    ends = [end for s in strands for end in (s.curves[0].start, s.curves[-1].end)]
    on_spine = finder.on(ends)
    on_shape = Finder(strands).on(ends, own=[k // 2 for k in range(len(ends))]) if ends else []
    feet: list[tuple[_Foot | None, _Foot | None]] = [(None, None)] * len(strands)
    order: list[int] = []
    settled: set[int] = set()

    def foot(k: int) -> _Foot | None:
        hosts = on_spine[k] or [(j, place) for j, place in on_shape[k] if j in settled]
        if not hosts:
            return None
        which, place = hosts[0]
        host = (finder.strands if on_spine[k] else strands)[which]
        if not on_spine[k] and not 1 <= place <= len(host.curves) - 1:
            place = host.nearest(ends[k])[0]  # its first or last curve was tied to something since
        place = _snapped(host, place)
        strands[k // 2].tie(k % 2, host.point(place))
        return _Foot(bool(on_spine[k]), which, place)

    def ready(i: int, how: Callable[[Iterable[bool]], bool]) -> bool:
        """Whether all (or any) of its ends that lie on something lie on a spine or on what is settled."""
        touching = (k for k in (2 * i, 2 * i + 1) if on_spine[k] or on_shape[k])
        return how(bool(on_spine[k]) or any(j in settled for j, _ in on_shape[k]) for k in touching)

    waiting = list(range(len(strands)))
    while waiting:
        now = [i for i in waiting if ready(i, all)] or [i for i in waiting if ready(i, any)] or waiting[:1]
        for i in now:
            feet[i] = (foot(2 * i), foot(2 * i + 1))
        order += now
        settled.update(now)
        waiting = [i for i in waiting if i not in settled]
    for strand, known in zip(strands, measured([strand.curves for strand in strands]), strict=True):
        strand.known = known
    return _Standing(motion, strands, feet, order)


def _snapped(host: Strand, place: float) -> float:
    """A place on a strand; its own end when that is within ON_IN of there."""
    last = float(len(host.curves))
    return next((end for end in (0.0, last) if apart(host.point(end), host.point(place)) <= ON_IN), place)


def _laid(
    standing: _Standing, motion: Motion, nodes: Nodes, finder: Finder
) -> dict[int, tuple[Strand, int | None]]:
    """The shapes of one copy of a cell, each with its root; cuts what they stand on."""
    there = None if motion == standing.motion else motion.after(standing.motion.undone())
    used = list(
        dict.fromkeys(foot.which for feet in standing.feet for foot in feet if foot and foot.on_spine)
    )
    spines = _known_again(finder, used, there) if there else {i: (i, 0.0, 1.0) for i in used}
    laid: dict[int, tuple[Strand, int | None]] = {}
    for i in standing.order:
        shape = standing.strands[i]
        ends, roots = [], []
        for side, foot in enumerate(standing.feet[i]):
            root = node = None
            if foot and not foot.on_spine:
                host, root = laid[foot.which]
                node = host.node_at(nodes, foot.place)
            elif foot and foot.which in spines:
                root, begun, step = spines[foot.which]
                spine, place = finder.strands[root], begun + step * foot.place
                place = place % 1.0 if spine.closed else min(max(place, 0.0), 1.0)
                node = spine.node_at(nodes, place)
            if node is None:
                end = shape.point(side * len(shape.curves))
                node = nodes.at(there.point(end) if there else end)
            ends.append(node)
            roots.append(root)
        strand = Strand(shape.curves, (ends[0], ends[1]), shape.known, there)
        laid[i] = strand, roots[0] if roots[0] is not None else roots[1]
    return laid


def _known_again(finder: Finder, used: Sequence[int], there: Motion) -> dict[int, tuple[int, float, float]]:
    """Which spines lie where a motion carries some, and how places on these are reckoned: begun + step · place."""
    spots = finder.on([there.point(finder.strands[i].point(share)) for i in used for share in _KNOWN_AT])
    known: dict[int, tuple[int, float, float]] = {}
    for i, one, other in zip(used, spots[::2], spots[1::2], strict=True):
        for which, begun in one:
            ended = dict(other).get(which)
            if ended is not None:
                way = ended - begun
                if finder.strands[which].closed:
                    way -= round(way)
                step = way / (_KNOWN_AT[1] - _KNOWN_AT[0])
                known[i] = (which, begun - step * _KNOWN_AT[0], step)
                break
    return known


def _root_from_pocket_to_pocket(shapes: Sequence[Rooted]) -> None:
    """What is in the air in its own pocket hangs on what ends in the same point in another."""
    if all(shape.root is not None for shape in shapes):
        return
    at: dict[int, list[Rooted]] = defaultdict(list)
    for shape in shapes:
        if shape.root is None:
            for _, node in shape.strand.cuts:
                at[node].append(shape)
    reached = [shape for shape in shapes if shape.root is not None]
    while at and reached:
        shape = reached.pop()
        for _, node in shape.strand.cuts:
            for other in at.pop(node, ()):
                if other.root is None:
                    other.root = shape.root
                    reached.append(other)
