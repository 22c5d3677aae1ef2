"""Where each shape of a fill grows: on a spine, on another shape, or on nothing.

A shape's ends are tied to the nearest spine, or else to the nearest shape of its pocket, within ON_IN, and that
strand is cut there, so that the needle can pass from one to the other. What stands on what is found once for a
cell, where its first copy lies, and holds for all its copies. From pocket to pocket the needle passes where
lines end in the same point. Lengths are inches.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from planner.curves import Motion, Point
from planner.fills.shape import Cell, FillOfLayout
from planner.net import ON_IN, Finder, Nodes, Strand, apart, measured

_KNOWN_AT = (0.37, 0.61)  # shares of a spine at which it is known again: not where strands use to touch


@dataclass(slots=True)
class Rooted:
    """A shape's outline where it grows.

    number: its place in the fill's order; root: the spine it grows from, through other shapes, None for none.
    Shapes of its own pocket that stand on it are stitched with it: those that lead back to where they stand or
    end in the air in passing (carries, by node), the others when it is done (then).
    """

    number: int
    kind: str
    pocket: str
    strand: Strand
    root: int | None = None
    carries: dict[int, list[Rooted]] = field(default_factory=lambda: defaultdict(list))
    then: list[Rooted] = field(default_factory=list)

    @property
    def ends(self) -> tuple[int, int]:
        return self.strand.start, self.strand.end

    @property
    def closed(self) -> bool:
        return self.strand.start == self.strand.end

    def nodes(self) -> Iterator[int]:
        """The nodes on it and on all that is stitched with it."""
        yield from (node for _, node in self.strand.cuts)
        for shapes in (*self.carries.values(), self.then):
            for shape in shapes:
                yield from shape.nodes()


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


def rooted(nodes: Nodes, spines: Sequence[Strand], fill: FillOfLayout) -> list[Rooted]:
    """The shapes of a fill that stand on no other of their pocket, in order; cuts the spines where they stand."""
    finder = Finder(spines)
    known: dict[int, _Standing] = {}
    free: list[Rooted] = []
    number = 0
    for copy in fill.copies:
        cell = fill.cells[copy.cell]
        if copy.cell not in known:
            known[copy.cell] = _standing(cell, copy.motion, finder)
        standing = known[copy.cell]
        kinds = [shape.kind for shape in cell.shapes]
        shapes = _laid(standing, copy.motion, nodes, finder)
        grown = [Rooted(number + i, kinds[i], copy.pocket, *shapes[i]) for i in range(len(kinds))]
        for shape, feet in zip(grown, standing.feet, strict=True):
            hosts = [None if foot is None or foot.on_spine else grown[foot.which] for foot in feet]
            stood = [host for host in hosts if host is not None]
            if not stood or any(foot and foot.on_spine for foot in feet):
                free.append(shape)
            elif shape.closed or len(stood) == 1:
                stood[0].carries[shape.ends[hosts.index(stood[0])]].append(shape)
            else:
                stood[0].then.append(shape)
        number += len(kinds)
    _root_from_pocket_to_pocket(free)
    return free


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
        hosts = [i for i, _ in on_spine[k]] or [j for j, _ in on_shape[k] if j in settled]
        if not hosts:
            return None
        host = (finder.strands if on_spine[k] else strands)[hosts[0]]
        place = _snapped(host, ends[k])
        strands[k // 2].tie(k % 2, host.point(place))
        return _Foot(bool(on_spine[k]), hosts[0], place)

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


def _snapped(host: Strand, point: Point) -> float:
    """The place on a strand nearest to a point; its own end when that is within ON_IN of there."""
    place = host.nearest(point)[0]
    last = float(len(host.curves))
    return next((end for end in (0.0, last) if apart(host.point(end), host.point(place)) <= ON_IN), place)


def _laid(
    standing: _Standing, motion: Motion, nodes: Nodes, finder: Finder
) -> dict[int, tuple[Strand, int | None]]:
    """The shapes of one copy of a cell, each with its root; cuts what they stand on."""
    there = motion.after(standing.motion.undone())
    same = motion == standing.motion
    used = dict.fromkeys(foot.which for feet in standing.feet for foot in feet if foot and foot.on_spine)
    spines = {i: i if same else _known_again(finder, finder.strands[i], there) for i in used}
    laid: dict[int, tuple[Strand, int | None]] = {}
    for i in standing.order:
        shape = standing.strands[i]
        curves = shape.curves if same else tuple(curve.moved(there) for curve in shape.curves)
        ends, roots = [], []
        for foot, end in zip(standing.feet[i], (curves[0].start, curves[-1].end), strict=True):
            root = host = None
            if foot and foot.on_spine:
                root = spines[foot.which]
                host = None if root is None else finder.strands[root]
            elif foot:
                host, root = laid[foot.which]
            if foot is None or host is None:
                ends.append(nodes.at(end))
            else:
                place = foot.place if same or not foot.on_spine else host.nearest(end)[0]
                ends.append(host.node_at(nodes, place))
            roots.append(root)
        strand = Strand(curves, (ends[0], ends[1]), shape.known)
        laid[i] = strand, roots[0] if roots[0] is not None else roots[1]
    return laid


def _known_again(finder: Finder, spine: Strand, there: Motion) -> int | None:
    """Which spine lies where a motion carries one."""
    found = finder.on([there.point(spine.point(share)) for share in _KNOWN_AT])
    both = [i for i, _ in found[0] if any(i == j for j, _ in found[1])]
    return both[0] if both else None


def _root_from_pocket_to_pocket(shapes: Sequence[Rooted]) -> None:
    """What is in the air in its own pocket hangs on what ends in the same point in another."""
    if all(shape.root is not None for shape in shapes):
        return
    nodes = {shape.number: tuple(shape.nodes()) for shape in shapes}
    at: dict[int, list[Rooted]] = defaultdict(list)
    for shape in shapes:
        if shape.root is None:
            for node in nodes[shape.number]:
                at[node].append(shape)
    reached = [shape for shape in shapes if shape.root is not None]
    while at and reached:
        shape = reached.pop()
        for node in nodes[shape.number]:
            for other in at.pop(node, ()):
                if other.root is None:
                    other.root = shape.root
                    reached.append(other)
