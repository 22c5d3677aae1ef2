"""The pockets of a side: one for each side of each curl, and what the meeting in the middle needs.

Each runs from the pole of the curl before (where the spine lies on its guide line) into the curl, out along
its tail and back, to the pole of the next. Inches.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import atan2, inf, pi

from planner.border.band import Band, Quilt, next_side, previous_side
from planner.border.corners.styles import CORNER_STYLES
from planner.border.layout import Layout, mirror, run_pieces
from planner.border.meetings import MEETINGS
from planner.border.spine import Circle, Piece, turned
from planner.fills.growing.contour import Stretch, left_flank, right_flank
from planner.fills.growing.flow import HAIR_IN, BorderEdge
from planner.fills.growing.ground import Ground, Place
from planner.fills.pocket import Pocket
from planner.fills.pockets.lattice import Frame
from planner.fills.pockets.pocket import (
    PocketGround,
    inner_edge,
    of,
    outer_edge,
    past,
    seam_pole,
    where_passed,
)
from planner.geometry.curves import Arc, Motion, Point
from planner.plan import SideName

_SPARE = 0.9  # radians: what a pocket is told of a circle beyond its pole, where its curls all differ


def side_pockets(layout: Layout, side: SideName, off: float = 0.0) -> Iterator[PocketGround]:
    """The pockets of a side in order: of the start run, of the middle, of the end run back from it.

    off: how far the fill stays off its edges; a lattice does not.
    """
    whole = layout.quilt.bands[side]
    layout = replace(layout, quilt=layout.quilt.within(off))
    band, chain = layout.quilt.bands[side], layout.chains[side]
    pieces = run_pieces(layout.plan, layout.choice, band, chain)
    motion = layout.quilt.motion(side)
    k = len(chain.circles)
    mirrored = layout.mirrored
    grounds = []
    for i in range(k):
        if mirrored and i == k - 1:
            grounds += list(_last(layout, band, pieces))
        else:
            grounds.append((Pocket("curl", side, "start", i + 1), *_valley(layout, band, pieces, i)))
    for pocket, ground, back in grounds:
        yield PocketGround(pocket, ground, motion.after(back))
    if mirrored:
        if chain.ring:
            yield PocketGround(Pocket("ring", side), _ring(chain.ring), motion)
        if is_woven(layout):
            frame = frame_between(whole, chain.circles[-1])
            yield PocketGround(Pocket("middle", side), frame, motion.after(Motion(e=band.span / 2)))
        for pocket, ground, back in reversed(grounds):
            image = motion.after(mirror(band)).after(back)
            yield PocketGround(replace(pocket, run="end"), ground, image)


def is_woven(layout: Layout) -> bool:
    """Whether the middle of a side is cross-hatched."""
    return bool(layout.choice.meeting and MEETINGS[layout.choice.meeting].woven)


def frame_between(band: Band, last: Circle) -> Frame:
    """The ground of a lattice between the last curls of both runs of a side."""
    half = band.span / 2 - last.centre[0] - last.radius
    return Frame(half, outer_edge(band), inner_edge(band), last.centre[1])


def _edges(band: Band) -> tuple[BorderEdge, ...]:
    """The outer and the inner edge of a side's fillable strip, alike."""
    return (
        BorderEdge(((0, -1, -outer_edge(band)),)),
        BorderEdge(((0, 1, inner_edge(band)),)),
    )


def _frame(band: Band, u: float, flip: bool) -> Motion:
    """From band coordinates to a pocket's: its curl at u = 0, upside down if it opens outwards."""
    return Motion(1, 0, 0, -1, -u, band.height) if flip else Motion(1, 0, 0, 1, -u, 0)


def _seam(quilt: Quilt, band: Band, frame: Motion) -> tuple[float, float]:
    """From where to where the edge goes to which a pocket opens: outside, it goes round the quilt."""
    if frame.d < 0:
        return -inf, inf
    before, after = (quilt.bands[near(band.side)] for near in (previous_side, next_side))
    return frame.e + inner_edge(before), frame.e + band.span - inner_edge(after)


def _seam_corners(quilt: Quilt, band: Band, frame: Motion, flank: Sequence[Stretch]) -> tuple[Point, ...]:
    """The corners of the seam beyond which a pocket's first or last circle stands; the last one's first."""
    low, high = _seam(quilt, band, frame)
    ends = (past(flank[k].arc.centre[0], low, high, band.off) for k in (-1, 0))
    return tuple((u, inner_edge(band)) for u in ends if u is not None)


def _pole(quilt: Quilt, band: Band, frame: Motion, flank: Sequence[Stretch], index: int) -> Place:
    """Where the circle of a stretch of the flank faces the edge to which its pocket opens."""
    low, high = _seam(quilt, band, frame)
    return where_passed(
        flank, index, seam_pole(flank[index].arc.centre, low, high, inner_edge(band), band.off)
    )


def _before(layout: Layout, side: SideName, pieces: list[Piece], i: int) -> list[Piece]:
    """What the run comes from before curl i: the stem before it, or the corner C from the miter on."""
    if i > 0:
        return of(pieces, i - 1, "stem")
    corner, joint = layout.chains[side].near, pieces[0].curve.start
    begin = -3 * pi / 4
    sweep = turned(begin, atan2(joint[1] - corner.centre[1], joint[0] - corner.centre[0]), 1)
    return [Piece("corner", -1, Arc(corner.centre, corner.radius, begin, sweep))]


def _valley(layout: Layout, band: Band, pieces: list[Piece], i: int) -> tuple[Ground, Motion]:
    """The pocket of curl i between two others."""
    (tail,) = of(pieces, i, "tail")
    frame = _frame(band, tail.arc.centre[0], tail.arc.sweep < 0)
    before = _before(layout, band.side, pieces, i)
    own = of(pieces, i, "link", "stem", "tail")
    after = of(pieces, i + 1, "link", "stem")
    if not any(p.part == "stem" for p in after):
        after += [_far_corner(layout, band, after, own)]
    flank = right_flank(p.moved(frame) for p in before + own + after)
    if not CORNER_STYLES[layout.plan.corner].strict:
        flank = _cut_back(layout.quilt, band, frame, flank)
    ground = Ground(
        tuple(flank),
        _pole(layout.quilt, band, frame, flank, 0),
        _pole(layout.quilt, band, frame, flank, len(flank) - 1),
        _edges(band),
        _seam_corners(layout.quilt, band, frame, flank),
    )
    return ground, frame.undone()


def _cut_back(quilt: Quilt, band: Band, frame: Motion, flank: list[Stretch]) -> list[Stretch]:
    """A flank without what its first and last circle have far beyond their poles.

    That depends on the circles after next, and matters to no shape: without it more pockets are alike.
    """
    first, last = flank[0].arc, flank[-1].arc
    begin = _pole(quilt, band, frame, flank, 0)[1] - _SPARE / abs(first.sweep)
    end = _pole(quilt, band, frame, flank, len(flank) - 1)[1] + _SPARE / abs(last.sweep)
    return [
        replace(flank[0], curve=_part(first, max(0.0, begin), 1.0)),
        *flank[1:-1],
        replace(flank[-1], curve=_part(last, 0.0, min(1.0, end))),
    ]


def _part(arc: Arc, begin: float, end: float) -> Arc:
    """An arc from one share of it to another."""
    return Arc(arc.centre, arc.radius, arc.begin + begin * arc.sweep, (end - begin) * arc.sweep)


def _far_corner(layout: Layout, band: Band, link: list[Piece], own: list[Piece]) -> Piece:
    """The corner C at the far end of a turning side, from its joint to the miter."""
    corner = layout.chains[band.side].far
    joint = link[-1].curve.end if link else next(p for p in own if p.part == "stem").curve.end
    begin = atan2(joint[1] - corner.centre[1], joint[0] - corner.centre[0])
    return Piece("corner", -1, Arc(corner.centre, corner.radius, begin, turned(begin, -pi / 4, 1)))


def _last(layout: Layout, band: Band, pieces: list[Piece]) -> Iterator[tuple[Pocket, Ground, Motion]]:
    """The pockets of a run's last curl, up to the middle of the side."""
    chain = layout.chains[band.side]
    k = len(chain.circles) - 1
    circle, beside = chain.circles[k], Pocket("curl", band.side, "start", k + 1)
    (tail,) = of(pieces, k, "tail")
    flip = tail.arc.sweep < 0
    frame = _frame(band, circle.centre[0], flip)
    before = [p.moved(frame) for p in _before(layout, band.side, pieces, k)]
    own = [p.moved(frame) for p in of(pieces, k, "link", "stem", "tail")]
    middle = band.span / 2 - circle.centre[0]
    top, bottom = outer_edge(band), inner_edge(band)
    if chain.ring:
        on = of(pieces, k + 1, "link")
        walk = _before(layout, band.side, pieces, k) + of(pieces, k, "link", "stem", "tail") + on
        yield _to_ring(layout, band, beside, pieces, walk, flip)
        yield _to_ring(
            layout, band, replace(beside, kind="back"), pieces, of(pieces, k, "stem") + on, not flip
        )
        return
    hook = [p.moved(frame) for p in of(pieces, k + 1, "tail")]
    right = right_flank(before + own + hook)
    left = left_flank(before + [p for p in own if p.part != "tail"] + hook)
    flank = right + left
    stem_back = next(n for n in range(len(right), len(flank)) if flank[n].label == "stem")
    edges = _edges(band)
    wall: float | None = middle
    if is_woven(layout):
        edges = (*edges, BorderEdge(((1, 0, circle.radius - HAIR_IN),)))
        middle, wall = circle.radius, None
    yield (
        beside,
        Ground(
            tuple(flank),
            _pole(layout.quilt, band, frame, flank, 0),
            where_passed(flank, stem_back, -pi / 2),
            edges,
            ((middle, top), (middle, bottom)),
            mirror=wall,
        ),
        frame.undone(),
    )


def _to_ring(
    layout: Layout, band: Band, pocket: Pocket, pieces: list[Piece], walk: list[Piece], flip: bool
) -> tuple[Pocket, Ground, Motion]:
    """A pocket that goes along some of the last curl and half round the ring, to its pole on the middle line."""
    last, ring = (
        layout.chains[band.side].circles[-1],
        of(pieces, len(layout.chains[band.side].circles), "ring")[0],
    )
    frame, middle = _frame(band, last.centre[0], flip), band.span / 2 - last.centre[0]
    whole = ring.arc.moved(frame)
    half = Arc(whole.centre, whole.radius, whole.begin, -(turned(pi / 2, whole.begin, 1) + 0.7))
    flank = [*right_flank(p.moved(frame) for p in walk), Stretch(half, 1.0, "ring")]
    end = where_passed(flank, len(flank) - 1, pi / 2)
    ground = Ground(
        tuple(flank),
        _pole(layout.quilt, band, frame, flank, 0),
        end,
        _edges(band),
        ((middle, inner_edge(band)),),
        mirror=middle,
        still=(end,),
    )
    return pocket, ground, frame.undone()


def _ring(ring: Circle) -> Ground:
    """The inside of a ring: once round, with some of the same circle to spare at both ends.

    From where a full circle sits on its guide line, or from where a wreath is nearest the seam: what stands in it
    then stands on the middle line, upright as one looks from the quilt's centre.
    """
    begin = -pi / 2 if ring.row == "outer" else pi / 2
    arcs = (Arc(ring.centre, ring.radius, *part) for part in ((begin - 1, 1), (begin, 2 * pi), (begin, 1)))
    flank = tuple(Stretch(arc, 1.0, "ring") for arc in arcs)
    return Ground(flank, (1, 0.0), (1, 1.0), (), (), heart=(1, 0.0))
