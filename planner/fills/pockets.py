"""Pockets: the border cut into areas to fill one at a time, each in a frame of its own.

Each side of each curl is a pocket: it runs from the pole of the curl before (where the spine lies on its
guide line) into the curl, out along its tail and back, to the pole of the next. Every pocket is laid so that
it opens downwards and is walked from left to right; pockets that come out alike are one cell. Inches.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan2, pi

from planner.band import CORNERS, Band, previous_side
from planner.curves import Arc, Line, Motion
from planner.fills.contour import Stretch, left_walk, right_walk
from planner.fills.flow import HAIR_IN, Edge
from planner.fills.grow import Ground, Place
from planner.fills.lattice import Frame
from planner.layout import Layout, mirror, run_pieces
from planner.plan import SIDES, SideName
from planner.spine import Piece, turned

SLIVER_IN = 0.04  # kept clear of the seam ditch, and as much inside the binding allowance


@dataclass(frozen=True, slots=True)
class Pocket:
    """A pocket's bare ground in its own frame, and the motion that lays it in the quilt."""

    name: str
    ground: Ground | Frame
    motion: Motion


def pockets(layout: Layout) -> Iterator[Pocket]:
    """Every pocket, corner by corner and side by side, clockwise."""
    for side in SIDES:
        yield from _corner(layout, side)
        yield from _side(layout, side)


def _on(arc: Arc, angle: float) -> float:
    """Share of an arc at which it passes an angle."""
    way = 1 if arc.sweep > 0 else -1
    return turned(arc.begin, angle, way) / arc.sweep


def _place(walk: tuple[Stretch, ...] | list[Stretch], index: int, angle: float) -> Place:
    curve = walk[index].curve
    assert isinstance(curve, Arc)
    return index, _on(curve, angle)


def _edges(band: Band) -> tuple[Edge, ...]:
    """The outer and the inner edge of a side's fillable strip, alike."""
    return (
        Edge(((0, -1, band.room - SLIVER_IN),)),
        Edge(((0, 1, band.height + band.room - SLIVER_IN),)),
    )


def _side(layout: Layout, side: SideName) -> Iterator[Pocket]:
    band, chain = layout.quilt.bands[side], layout.chains[side]
    pieces = run_pieces(layout.plan, layout.choice, band, chain)
    motion = layout.quilt.motion(side)
    k = len(chain.circles)
    mirrored = layout.plan.corner == "mirrored"
    grounds = []
    for i in range(k):
        if mirrored and i == k - 1:
            grounds += list(_last(layout, band, pieces))
        else:
            grounds.append((f"{i + 1}", *_valley(layout, band, pieces, i)))
    for name, ground, back in grounds:
        yield Pocket(f"{side}-start-{name}", ground, motion.after(back))
    if mirrored:
        if chain.ring:
            yield Pocket(f"{side}-ring", _ring(pieces), motion)
        if layout.choice.meeting == "lattice":
            last = chain.circles[-1]
            low, high = SLIVER_IN - band.room, band.height + band.room - SLIVER_IN
            half = band.span / 2 - last.centre[0] - last.radius
            frame = Frame(half, low, high, last.centre[1])
            yield Pocket(f"{side}-middle", frame, motion.after(Motion(e=band.span / 2)))
        for name, ground, back in reversed(grounds):
            yield Pocket(f"{side}-end-{name}", ground, motion.after(mirror(band)).after(back))


def _frame(band: Band, u: float, flip: bool) -> Motion:
    """From band coordinates to a pocket's: its curl at u = 0, upside down if it opens outwards."""
    return Motion(1, 0, 0, -1, -u, band.height) if flip else Motion(1, 0, 0, 1, -u, 0)


def _of(pieces: list[Piece], curl: int, *parts: str) -> list[Piece]:
    return [p for p in pieces if p.curl == curl and p.part in parts]


def _before(layout: Layout, pieces: list[Piece], i: int) -> list[Piece]:
    """What the run comes from before curl i: the stem before it, or the corner C from the miter on."""
    if i > 0:
        return _of(pieces, i - 1, "stem")
    big = layout.choice.corner_diameter_in / 2
    joint = pieces[0].curve.start
    begin = -3 * pi / 4
    sweep = turned(begin, atan2(joint[1] - big, joint[0] - big), 1)
    return [Piece("corner", -1, Arc((big, big), big, begin, sweep))]


def _valley(layout: Layout, band: Band, pieces: list[Piece], i: int) -> tuple[Ground, Motion]:
    """The pocket of curl i between two others."""
    (tail,) = _of(pieces, i, "tail")
    assert isinstance(tail.curve, Arc)
    frame = _frame(band, tail.curve.centre[0], tail.curve.sweep < 0)
    before = _before(layout, pieces, i)
    own = _of(pieces, i, "link", "stem", "tail")
    after = _of(pieces, i + 1, "link", "stem")
    if not any(p.part == "stem" for p in after):
        after += [_far_corner(layout, band, after, own)]
    walk = right_walk(p.moved(frame) for p in before + own + after)
    ground = Ground(
        tuple(walk),
        _place(walk, 0, pi / 2),
        _place(walk, len(walk) - 1, pi / 2),
        _edges(band),
        (),
    )
    return ground, frame.undone()


def _far_corner(layout: Layout, band: Band, link: list[Piece], own: list[Piece]) -> Piece:
    """The corner C at the far end of a turning side, from its joint to the miter."""
    big = layout.choice.corner_diameter_in / 2
    centre = (band.span - big, big)
    joint = link[-1].curve.end if link else next(p for p in own if p.part == "stem").curve.end
    begin = atan2(joint[1] - centre[1], joint[0] - centre[0])
    return Piece("corner", -1, Arc(centre, big, begin, turned(begin, -pi / 4, 1)))


def _last(layout: Layout, band: Band, pieces: list[Piece]) -> Iterator[tuple[str, Ground, Motion]]:
    """The pockets of a run's last curl, up to the middle of the side."""
    chain = layout.chains[band.side]
    k = len(chain.circles) - 1
    circle = chain.circles[k]
    (tail,) = _of(pieces, k, "tail")
    assert isinstance(tail.curve, Arc)
    flip = tail.curve.sweep < 0
    frame = _frame(band, circle.centre[0], flip)
    before = [p.moved(frame) for p in _before(layout, pieces, k)]
    own = [p.moved(frame) for p in _of(pieces, k, "link", "stem", "tail")]
    middle = band.span / 2 - circle.centre[0]
    top, bottom = -(band.room - SLIVER_IN), band.height + band.room - SLIVER_IN
    if chain.ring:
        (ring,) = _of(pieces, k + 1, "ring")
        assert isinstance(ring.curve, Arc)
        for name, flipped, part in ((f"{k + 1}", flip, "valley"), (f"{k + 1}-back", not flip, "back")):
            frame = _frame(band, circle.centre[0], flipped)
            stem = [p.moved(frame) for p in _of(pieces, k, "link", "stem", "tail")]
            start = [p.moved(frame) for p in _before(layout, pieces, k)] if part == "valley" else []
            whole = ring.curve.moved(frame)
            assert isinstance(whole, Arc)
            half = Arc(whole.centre, whole.radius, whole.begin, -(turned(pi / 2, whole.begin, 1) + 0.7))
            walk = [
                *right_walk(start + (stem if part == "valley" else stem[-2:-1])),
                Stretch(half, 1.0, "ring"),
            ]
            end = _place(walk, len(walk) - 1, pi / 2)
            yield (
                name,
                Ground(
                    tuple(walk),
                    _place(walk, 0, pi / 2),
                    end,
                    _edges(band),
                    ((middle, bottom),),
                    mirror=middle,
                    still=(end,),
                ),
                frame.undone(),
            )
        return
    hook = [p.moved(frame) for p in _of(pieces, k + 1, "tail")]
    right = right_walk(before + own + hook)
    left = left_walk(before + [p for p in own if p.part != "tail"] + hook)
    walk = right + left
    stem_back = next(n for n in range(len(right), len(walk)) if walk[n].label == "stem")
    edges = _edges(band)
    wall: float | None = middle
    if layout.choice.meeting == "lattice":
        edges = (*edges, Edge(((1, 0, circle.radius - HAIR_IN),)))
        middle, wall = circle.radius, None
    yield (
        f"{k + 1}",
        Ground(
            tuple(walk),
            _place(walk, 0, pi / 2),
            _place(walk, stem_back, -pi / 2),
            edges,
            ((middle, top), (middle, bottom)),
            mirror=wall,
        ),
        frame.undone(),
    )


def _ring(pieces: list[Piece]) -> Ground:
    """The inside of a wreath's ring: once round, with some of the same circle to spare at both ends."""
    ring = pieces[-1].curve
    assert isinstance(ring, Arc)
    spare = Arc(ring.centre, ring.radius, ring.begin - 1, 1)
    whole = Arc(ring.centre, ring.radius, ring.begin, 2 * pi)
    walk = tuple(
        Stretch(arc, 1.0, "ring") for arc in (spare, whole, Arc(ring.centre, ring.radius, ring.begin, 1))
    )
    return Ground(walk, (1, 0.0), (1, 1.0), (), (), heart=(1, 0.0))


def _corner(layout: Layout, side: SideName) -> Iterator[Pocket]:
    """The two pockets of the corner C at the first corner of a side, in that side's band coordinates."""
    quilt = layout.quilt
    band, motion = quilt.bands[side], quilt.motion(side)
    back = motion.undone()
    before_side = previous_side(side)
    near = quilt.bands[before_side]
    name = CORNERS[SIDES.index(side)]
    mirrored = layout.plan.corner == "mirrored"
    arc = next(s.piece.curve for s in layout.spines if s.place == name).moved(back)
    assert isinstance(arc, Arc)
    share = _on(arc, -3 * pi / 4)
    first = Arc(arc.centre, arc.radius, arc.begin, share * arc.sweep)
    second = Arc(arc.centre, arc.radius, arc.begin + first.sweep, arc.sweep - first.sweep)
    out = -1.0 if mirrored else 1.0
    walk = (Stretch(second.reversed(), -1.0, "corner"), Stretch(first.reversed(), -out, "corner"))
    low = band.room - SLIVER_IN
    outer = tuple(Edge((plane,)) for plane in ((0.0, -1.0, low), (-1.0, 0.0, low)))
    pieces = run_pieces(layout.plan, layout.choice, band, layout.chains[side])
    ahead = [p.curve for p in _of(pieces, 0, "link", "stem")]
    behind_pieces = run_pieces(layout.plan, layout.choice, near, layout.chains[before_side])
    if mirrored:
        to_here = back.after(quilt.motion(before_side)).after(mirror(near))
        behind = [p.moved(to_here).curve.reversed() for p in reversed(_of(behind_pieces, 0, "link", "stem"))]
    else:
        to_here = back.after(quilt.motion(before_side))
        k = len(layout.chains[before_side].circles) - 1
        behind = [
            p.moved(to_here).curve
            for p in (*_of(behind_pieces, k, "stem"), *_of(behind_pieces, k + 1, "link"))
        ]
    yield Pocket(
        f"{name}-outside",
        Ground(
            walk,
            _place(walk, 0, -pi / 2),
            _place(walk, 1, pi),
            outer,
            ((-low, -low),),
            partings=((1, 0.0),),
        ),
        motion,
    )
    inside = (
        *(Stretch(_plain(c), out, "stem") for c in behind),
        Stretch(first, out, "corner"),
        Stretch(second, 1.0, "corner"),
        *(Stretch(_plain(c), 1.0, "stem") for c in ahead),
    )
    a, b = near.height + near.room - SLIVER_IN, band.height + band.room - SLIVER_IN
    miter = (len(behind) + 1, 0.0)
    yield Pocket(
        f"{name}-inside",
        Ground(
            inside,
            _place(inside, 0, 0.0),
            _place(inside, len(inside) - 1, pi / 2),
            (Edge(((1.0, 0.0, a), (0.0, 1.0, b))),),
            ((a, b),),
            heart=miter,
            still=(miter,),
        ),
        motion,
    )


def _plain(curve: object) -> Arc | Line:
    assert isinstance(curve, Arc | Line)
    return curve


def key(ground: Ground | Frame) -> tuple[object, ...]:
    """The same for pockets that are alike to a millionth of an inch."""

    def flat(curve: Arc | Line) -> tuple[float, ...]:
        if isinstance(curve, Arc):
            return (*curve.centre, curve.radius, curve.begin, curve.sweep)
        return (*curve.start, *curve.end)

    def near(*values: float) -> tuple[float, ...]:
        return tuple(round(v, 6) + 0.0 for v in values)

    if isinstance(ground, Frame):
        return near(ground.half, ground.low, ground.high, ground.joint)
    return (
        tuple((near(*flat(s.curve), s.flow), s.label) for s in ground.walk),
        near(*ground.begin, *ground.end),
        tuple(near(*plane) for e in ground.edges for plane in e.planes),
        tuple(near(*p) for p in ground.rim),
        near(ground.mirror) if ground.mirror is not None else None,
        near(*(v for place in (*ground.partings, *ground.still) for v in place)),
    )
