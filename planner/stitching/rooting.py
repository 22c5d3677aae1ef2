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
from math import floor

from planner.fills.pocket import Pocket
from planner.fills.shape import Cell, FillOfLayout
from planner.geometry.arrays import ON_IN
from planner.geometry.curves import Motion, Point
from planner.stitching.net import Finder, Nodes, Strand, apart, lengths_along, nearest_shares

# Which spine lies where another does in the first copy, and how places on it are reckoned: begun + step · place.
_Again = dict[int, tuple[int, float, float]]
_KNOWN_AT = (0.37, 0.61)  # shares of a spine at which it is known again: not where strands use to touch


@dataclass(slots=True)
class Rooted:
    """A shape's outline where it grows.

    number: its place in the fill's order; root: the spine it grows from, through other shapes, None for none;
    hosts: the shapes of its own pocket (their numbers) that it stands on, none when it stands on a spine too.
    """

    number: int
    kind: str
    pocket: Pocket
    strand: Strand
    root: int | None = None
    hosts: frozenset[int] = frozenset()

    @property
    def closed(self) -> bool:
        """Whether it ends where it begins."""
        return self.strand.closed


@dataclass(frozen=True, slots=True)
class _Foot:
    """Where an end of a shape stands: at a place on a spine, or on a shape of its cell (which, by number)."""

    on_spine: bool
    which: int
    place: float


@dataclass(frozen=True, slots=True)
class _Knot:
    """Where strands of a cell meet: the foot of one that stands on a spine, or a point of the cell."""

    foot: _Foot | None
    point: Point


@dataclass(frozen=True, slots=True)
class _Standing:
    """A cell's shapes in its own coordinates, tied to what they stand on where a motion lays its first copy.

    knots: where they meet; cuts: of each shape its start, its end and what else cuts it (place, knot's number);
    roots: of each shape the spines it may grow from, the likelier first; hosts: the shapes (by number) that it
    stands on when it stands on no spine.
    """

    motion: Motion
    strands: list[Strand]
    knots: list[_Knot]
    cuts: list[list[tuple[float, int]]]
    roots: list[tuple[int, ...]]
    hosts: list[tuple[int, ...]]


def rooted(nodes: Nodes, spines: Sequence[Strand], fill: FillOfLayout) -> list[Rooted]:
    """The shapes of a fill in order; cuts the spines, and the shapes that others stand on, where they stand."""
    finder = Finder(spines)
    known: dict[int, _Standing] = {}
    for copy in fill.copies:
        if copy.cell not in known:
            known[copy.cell] = _standing(fill.cells[copy.cell], copy.motion, finder)
    standings = [known[copy.cell] for copy in fill.copies]
    spines_of = _known_again(finder, standings, [copy.motion for copy in fill.copies])
    shapes: list[Rooted] = []
    for copy, standing, there in zip(fill.copies, standings, spines_of, strict=True):
        cell, first = fill.cells[copy.cell], len(shapes)
        for i, (strand, root) in enumerate(_laid(standing, copy.motion, nodes, finder.strands, there)):
            hosts = frozenset(first + host for host in standing.hosts[i])
            shapes.append(Rooted(first + i, cell.shapes[i].kind, copy.pocket, strand, root, hosts))
    _root_from_pocket_to_pocket(shapes)
    return shapes


def _standing(cell: Cell, motion: Motion, finder: Finder) -> _Standing:
    """Tie a cell's shapes to the spines and to each other; no shape moves any more once others stand on it."""
    strands = [Strand(shape.curves, [], {}) for shape in cell.shapes]
    ends = [end for shape in cell.shapes for end in (shape.start, shape.end)]
    on_spine = finder.on([motion.point(end) for end in ends])
    back = motion.undone()
    on_shape = Finder(strands).on(ends, own=[k // 2 for k in range(len(ends))]) if ends else []
    feet: list[tuple[_Foot | None, _Foot | None]] = [(None, None)] * len(strands)
    order: list[int] = []
    settled: set[int] = set()

    def hosted(some: Iterable[int]) -> dict[int, tuple[int, float]]:
        """What some ends stand on, and at which place of it."""
        hosts = {k: on_spine[k] or [(j, place) for j, place in on_shape[k] if j in settled] for k in some}
        found = {k: which[0] for k, which in hosts.items() if which}
        # the first or last curve of a shape was tied to something since
        anew = [
            (k, j, min(floor(place), len(strands[j].curves) - 1))
            for k, (j, place) in found.items()
            if not on_spine[k] and not 1 <= place <= len(strands[j].curves) - 1
        ]
        shares = nearest_shares([strands[j].curves[i] for _, j, i in anew], [ends[k] for k, *_ in anew])
        return found | {k: (j, i + share) for (k, j, i), share in zip(anew, shares, strict=True)}

    def foot(k: int, which: int, place: float) -> _Foot:
        host = (finder.strands if on_spine[k] else strands)[which]
        place = _snapped(host, place)
        spot = host.point(place)
        strands[k // 2].tie(k % 2, back.point(spot) if on_spine[k] else spot)
        return _Foot(bool(on_spine[k]), which, place)

    def ready(i: int, how: Callable[[Iterable[bool]], bool]) -> bool:
        """Whether all (or any) of its ends that lie on something lie on a spine or on what is settled."""
        touching = (k for k in (2 * i, 2 * i + 1) if on_spine[k] or on_shape[k])
        return how(bool(on_spine[k]) or any(j in settled for j, _ in on_shape[k]) for k in touching)

    waiting = list(range(len(strands)))
    while waiting:
        now = [i for i in waiting if ready(i, all)] or [i for i in waiting if ready(i, any)] or waiting[:1]
        hosts = hosted(k for i in now for k in (2 * i, 2 * i + 1))
        for i in now:
            begin, end = (foot(k, *hosts[k]) if k in hosts else None for k in (2 * i, 2 * i + 1))
            feet[i] = (begin, end)
        order += now
        settled.update(now)
        waiting = [i for i in waiting if i not in settled]
    for strand, known in zip(strands, lengths_along([strand.curves for strand in strands]), strict=True):
        strand.known = known
    return _tied(motion, strands, feet, order)


def _tied(
    motion: Motion,
    strands: list[Strand],
    feet: Sequence[tuple[_Foot | None, _Foot | None]],
    order: Iterable[int],
) -> _Standing:
    """The shapes with their knots. feet: of each shape's start and end, None in the air; order: hosts first."""
    knots: list[_Knot] = []
    cuts: list[list[tuple[float, int]]] = [[] for _ in strands]
    roots: list[tuple[int, ...]] = [()] * len(strands)
    for i in order:
        strand, mine = strands[i], []
        grows: list[int] = []
        for place, foot in zip((0.0, float(len(strand.curves))), feet[i], strict=True):
            knot = None
            if foot and not foot.on_spine:
                knot = next((knot for cut, knot in cuts[foot.which] if cut == foot.place), None)
                grows += roots[foot.which]
            elif foot:
                grows.append(foot.which)
            if knot is None:
                knot = len(knots)
                if foot and not foot.on_spine:
                    cuts[foot.which].append((foot.place, knot))
                    knots.append(_Knot(None, strands[foot.which].point(foot.place)))
                else:
                    knots.append(_Knot(foot, strand.point(place)))
            mine.append((place, knot))
        cuts[i], roots[i] = mine, tuple(dict.fromkeys(grows))  # else twice as many with every link of a chain
    hosts = [
        () if any(foot and foot.on_spine for foot in both) else tuple(foot.which for foot in both if foot)
        for both in feet
    ]
    return _Standing(motion, strands, knots, cuts, roots, hosts)


def _snapped(host: Strand, place: float) -> float:
    """A place on a strand; its own end when that is within ON_IN of there."""
    spot = host.point(place)
    return next(
        (end for end in (0.0, float(len(host.curves))) if apart(host.point(end), spot) <= ON_IN), place
    )


def _laid(
    standing: _Standing, motion: Motion, nodes: Nodes, spines: Sequence[Strand], there: _Again
) -> Iterator[tuple[Strand, int | None]]:
    """The shapes of one copy of a cell, each with its root; cuts the spines they stand on."""
    tied: list[int] = []
    for knot in standing.knots:
        if knot.foot and knot.foot.which in there:
            which, begun, step = there[knot.foot.which]
            spine, place = spines[which], begun + step * knot.foot.place
            place = place % 1.0 if spine.closed else min(max(place, 0.0), 1.0)
            tied.append(spine.node_at(nodes, place))
        else:
            tied.append(nodes.at(motion.point(knot.point)))
    for strand, cuts, roots in zip(standing.strands, standing.cuts, standing.roots, strict=True):
        (begin, first), (end, last), *others = cuts
        mine = [(begin, tied[first]), (end, tied[last])]
        if others:
            at = {tied[knot]: place for place, knot in reversed(others)}
            mine[1:1] = sorted(
                (place, node) for node, place in at.items() if node not in (mine[0][1], mine[1][1])
            )
        root = next((there[i][0] for i in roots if i in there), None)
        yield Strand(strand.curves, mine, strand.known, motion), root


def _known_again(finder: Finder, standings: Sequence[_Standing], motions: Sequence[Motion]) -> list[_Again]:
    """Of each copy of a cell, by the spine it stands on where its first copy lies, the spine there."""
    used = [dict.fromkeys(knot.foot.which for knot in one.knots if knot.foot) for one in standings]
    moves = [m.after(one.motion.undone()) for one, m in zip(standings, motions, strict=True)]
    spots = [
        move.point(finder.strands[i].point(share))
        for move, mine in zip(moves, used, strict=True)
        for i in mine
        for share in _KNOWN_AT
    ]
    found = iter(finder.on(spots))
    known: list[_Again] = []
    for standing, motion, mine in zip(standings, motions, used, strict=True):
        there: _Again = {}
        for i in mine:
            one, other = next(found), dict(next(found))
            which, begun = next(((n, place) for n, place in one if n in other), (-1, 0.0))
            if which >= 0:
                way = other[which] - begun
                if finder.strands[which].closed:
                    way -= round(way)
                step = way / (_KNOWN_AT[1] - _KNOWN_AT[0])
                there[i] = (which, begun - step * _KNOWN_AT[0], step)
        known.append({i: (i, 0.0, 1.0) for i in mine} if motion == standing.motion else there)
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
