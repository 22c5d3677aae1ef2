"""Zones: what of the quilt lies under the needle at one time, and what is stitched there. Inches.

A quilt turned freely is one zone. Border by border, a zone is a border with the corner it begins at, and what of
its neighbours its pockets stand on. On a frame it is a strip over the full width, as deep as she reaches: what lies
wholly inside is stitched, a pocket with every spine it stands on; the next strip begins a little above the topmost
that is not finished. What the last strip reaches waits for it, so that the lower border is not stitched in two.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, inf

import numpy as np

from planner.border.band import CORNERS
from planner.border.layout import Layout
from planner.errors import PlanError
from planner.fills.pocket import Pocket
from planner.geometry.arrays import NEIGHBOUR_CHORD_IN, ON_IN, ROUNDING_IN, Numbers
from planner.geometry.curves import Bezier, Curve
from planner.geometry.polylines import moved
from planner.lengths import format_length
from planner.plan import SIDES, SideName, Units
from planner.stitching.net import Strand
from planner.stitching.postman import connected_components
from planner.stitching.rooting import Rooted

MARGIN_IN = (
    0.25  # a strip begins so far above what is to be stitched in it: room for the foot (common practice)
)
_REACH_MARK_IN: dict[Units, float] = {"in": 0.25, "cm": 5 / 25.4, "mm": 5 / 25.4}  # a reach is said in these

Extent = tuple[float, float]  # from where to where, down the quilt


@dataclass(frozen=True, slots=True)
class Zone:
    """Where the needle comes without the quilt being moved on.

    begin, end: from the top raw edge; of a border stitched by itself (side) along it, from where that begins.
    spines: those in reach (their numbers); due: those of them that must be stitched now, since pockets stand on
    them or they come no more within reach; pockets: those that are filled in it.
    """

    begin: float
    end: float
    side: SideName | None = None
    spines: frozenset[int] = frozenset()
    due: frozenset[int] = frozenset()
    pockets: frozenset[Pocket] = frozenset()


def zones_of(layout: Layout, spines: Sequence[Strand], shapes: Sequence[Rooted]) -> list[Zone]:
    """The zones in the order in which they are stitched. Raises PlanError where a frame reaches too little."""
    working = layout.plan.working
    if working.way == "border_by_border":
        return _borders(layout, _standing_on(spines, shapes))
    if working.way == "frame" and working.reach_in is not None:
        return _strips(layout, working.reach_in, spines, shapes, _standing_on(spines, shapes))
    every, pockets = frozenset(range(len(spines))), frozenset(shape.pocket for shape in shapes)
    return [Zone(0.0, layout.quilt.height, None, every, every, pockets)]


def _standing_on(spines: Sequence[Strand], shapes: Iterable[Rooted]) -> dict[Pocket, set[int]]:
    """Of each pocket, in the order of the fill, the spines that it stands on."""
    at: dict[int, list[int]] = {}
    for n, spine in enumerate(spines):
        for _, node in spine.cuts:
            at.setdefault(node, []).append(n)
    standing: dict[Pocket, set[int]] = {}
    for shape in shapes:
        mine = standing.setdefault(shape.pocket, set())
        mine.update(n for _, node in shape.strand.cuts for n in at.get(node, ()))
        if shape.root is not None:
            mine.add(shape.root)
    return standing


def _borders(layout: Layout, standing: Mapping[Pocket, set[int]]) -> list[Zone]:
    """The four borders, clockwise from the top left corner."""
    at = [SIDES[CORNERS.index(p.place)] if p.place in CORNERS else p.place for p in layout.spines]
    quilt = layout.quilt
    zones = []
    for side in SIDES:
        pockets = frozenset(pocket for pocket in standing if pocket.side == side)
        spines = {n for n, place in enumerate(at) if place == side}
        spines.update(n for pocket in pockets for n in standing[pocket])
        length = quilt.width if side in ("top", "bottom") else quilt.height
        zones.append(Zone(0.0, length, side, frozenset(spines), frozenset(spines), pockets))
    return zones


def _strips(
    layout: Layout,
    reach_in: float,
    spines: Sequence[Strand],
    shapes: Sequence[Rooted],
    standing: Mapping[Pocket, set[int]],
) -> list[Zone]:
    """Strips of a frame, from the top down."""
    of_spine = _extents(spines)
    of_pocket = dict[Pocket, Extent]()
    for shape, extent in zip(shapes, _extents([shape.strand for shape in shapes]), strict=True):
        of_pocket[shape.pocket] = _both(of_pocket.get(shape.pocket, extent), extent)
    for pocket, mine in standing.items():
        for n in mine:
            of_pocket[pocket] = _both(of_pocket[pocket], of_spine[n])
    left = dict[int | Pocket, Extent](enumerate(of_spine)) | dict[int | Pocket, Extent](of_pocket.items())
    deepest = max(end - begin for begin, end in left.values()) + MARGIN_IN
    if deepest > reach_in + ROUNDING_IN:
        raise _reaches_too_little(deepest, reach_in, layout.plan.units)
    joints = _joints(spines)
    # from here down all waits for the last strip: the inner side of the lower border alone, from the strip
    # above, would have its spine gone over again all along
    lowest = max(end for _, end in left.values()) - reach_in
    zones = []
    while left:
        topmost = min(begin for begin, _ in left.values())
        top = topmost - MARGIN_IN
        end = top + reach_in + ROUNDING_IN
        waiting = {one for one, (begin, _) in left.items() if top < lowest <= begin - MARGIN_IN}
        beyond = {one for one, (_, last) in left.items() if last > end} - waiting
        pockets = frozenset(p for p in of_pocket if p in left and p not in waiting | beyond)
        inside = [n for n, (begin, last) in enumerate(of_spine) if top <= begin and last <= end]
        due = {n for pocket in pockets for n in standing[pocket]}
        until = max(min((left[one][0] for one in beyond), default=inf) - MARGIN_IN, topmost)
        due.update(n for n in inside if n not in left or (n not in waiting and of_spine[n][0] <= until))
        nodes = {node for n in due for node in joints[n]}
        due = _joined(due, [n for n in inside if n not in waiting or joints[n] & nodes], joints)
        inside = [n for n in inside if n not in waiting or n in due]
        left = {one: at for one, at in left.items() if one not in pockets and one not in due}
        zones.append(
            Zone(
                max(top, 0.0), min(end, layout.quilt.height), None, frozenset(inside), frozenset(due), pockets
            )
        )
    return zones


def _joints(spines: Sequence[Strand]) -> list[set[int]]:
    """Of each spine the nodes where another joins it."""
    ends = {node for spine in spines for node in (spine.start, spine.end)}
    return [{node for _, node in spine.cuts if node in ends} for spine in spines]


def _joined(due: set[int], inside: Sequence[int], joints: Sequence[set[int]]) -> set[int]:
    """Spines that are due, with those between them that join them: what hangs loose waits."""
    found = set(due)
    for group in _connected(inside, joints):
        if len(_connected(sorted(group & due), joints)) > 1:
            found |= _between(group, due, joints)
    return found


def _between(group: set[int], due: set[int], joints: Sequence[set[int]]) -> set[int]:
    """Connected spines, but for those that are not due and lead to none that is."""
    kept, meets = set(group), Counter(node for n in group for node in joints[n])
    while loose := {n for n in kept - due if sum(meets[node] > 1 for node in joints[n]) < 2}:
        kept -= loose
        meets.subtract(node for n in loose for node in joints[n])
    return kept


def _connected(some: Sequence[int], joints: Sequence[set[int]]) -> list[set[int]]:
    """Some spines in their connected groups."""
    edges = [(min(joints[n]), node, 0.0) for n in some for node in joints[n]]
    owner = [n for n in some for _ in joints[n]]
    return [{owner[i] for i in group} for group in connected_components(edges)]


def _reaches_too_little(deepest: float, reach_in: float, units: Units) -> PlanError:
    mark = _REACH_MARK_IN[units]
    least = ceil(deepest / mark - ROUNDING_IN) * mark
    needed, given = format_length(least, units), format_length(reach_in, units)
    return PlanError(
        f"The frame reaches {given}, but a pocket is stitched in one go, with every spine it stands on: whole "
        f"pockets need {needed}.",
        field="working.reach_in",
        cure=f"Give {needed} of reach, choose smaller circles, or stitch border by border.",
    )


def _both(one: Extent, other: Extent) -> Extent:
    return min(one[0], other[0]), max(one[1], other[1])


def _extents(strands: Iterable[Strand]) -> list[Extent]:
    """From where to where each strand reaches down the quilt; a thread's width to spare."""
    known: dict[int, Numbers] = {}
    extents = []
    for strand in strands:
        corners = known.setdefault(id(strand.curves), _corners(strand.curves))
        down = (moved(corners, strand.motion) if strand.motion else corners)[:, 1]
        extents.append((float(down.min()) - ON_IN, float(down.max()) + ON_IN))
    return extents


def _corners(curves: Iterable[Curve]) -> Numbers:
    """Points between which some curves lie: a Bézier curve's own; points close together on others."""
    points = [
        point
        for c in curves
        for point in ((c.p0, c.p1, c.p2, c.p3) if isinstance(c, Bezier) else c.points(NEIGHBOUR_CHORD_IN))
    ]
    return np.array(points)
