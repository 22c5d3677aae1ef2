"""The pockets of a corner: outside and inside the large circle that stands there. Inches."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf, pi

from planner.border.band import CORNERS, previous_side
from planner.border.layout import Layout, mirror, run_pieces
from planner.fills.growing.contour import Stretch
from planner.fills.growing.flow import BorderEdge
from planner.fills.growing.ground import Ground
from planner.fills.pocket import Pocket
from planner.fills.pockets.hatched import mouth_of
from planner.fills.pockets.pocket import (
    PocketGround,
    inner_edge,
    of,
    on,
    outer_edge,
    past,
    seam_pole,
    where_passed,
)
from planner.geometry.curves import Point
from planner.plan import SIDES, SideName


def corner_pockets(
    layout: Layout, side: SideName, off: float = 0.0, *, hatched: bool
) -> Iterator[PocketGround]:
    """The two pockets of the corner C at the first corner of a side, in that side's band coordinates.

    off: how far the fill stays off its edges; hatched: the circle is closed, and the pocket inside lies before its
    mouth.
    """
    quilt = layout.quilt.within(off)
    band, motion = quilt.bands[side], quilt.motion(side)
    back = motion.undone()
    before_side = previous_side(side)
    near = quilt.bands[before_side]
    name = CORNERS[SIDES.index(side)]
    mirrored = layout.mirrored
    arc = next(s.piece.arc for s in layout.spines if s.place == name).moved(back)
    first, second = arc.parted(on(arc, -3 * pi / 4))
    out = -1.0 if mirrored else 1.0
    flank = (Stretch(second.reversed(), -1.0, "corner"), Stretch(first.reversed(), -out, "corner"))
    low, low_near = -outer_edge(band), -outer_edge(near)
    outer = tuple(BorderEdge((plane,)) for plane in ((0.0, -1.0, low), (-1.0, 0.0, low_near)))
    pieces = run_pieces(layout.plan, layout.choice, band, layout.chains[side])
    ahead = [p.curve for p in of(pieces, 0, "link", "stem")]
    behind_pieces = run_pieces(layout.plan, layout.choice, near, layout.chains[before_side])
    if mirrored:
        to_here = back.after(quilt.motion(before_side)).after(mirror(near))
        behind = [p.moved(to_here).curve.reversed() for p in reversed(of(behind_pieces, 0, "link", "stem"))]
    else:
        to_here = back.after(quilt.motion(before_side))
        k = len(layout.chains[before_side].circles) - 1
        behind = [
            p.moved(to_here).curve for p in (*of(behind_pieces, k, "stem"), *of(behind_pieces, k + 1, "link"))
        ]
    yield PocketGround(
        Pocket("outside", side),
        Ground(
            flank,
            where_passed(flank, 0, -pi / 2),
            where_passed(flank, 1, pi),
            outer,
            ((-low_near, -low),),
            partings=((1, 0.0),),
        ),
        motion,
    )
    mouth = mouth_of(arc) if hatched else None
    if mouth:
        first, second = mouth.parted(on(mouth, pi / 4))
    inside = (
        *(Stretch(c, out, "stem") for c in behind),
        Stretch(first, out, "corner"),
        Stretch(second, 1.0, "corner"),
        *(Stretch(c, 1.0, "stem") for c in ahead),
    )
    a, b = inner_edge(near), inner_edge(band)
    seam: tuple[BorderEdge, ...] = (BorderEdge(((1.0, 0.0, a), (0.0, 1.0, b))),)
    ends = (_centre(inside[-1])[0], a), (_centre(inside[0])[1], b)
    if all(past(u, low, inf, off) is not None for u, low in ends):
        seam = (BorderEdge(((1.0, 0.0, a),)), BorderEdge(((0.0, 1.0, b),)))  # no way round the seam's corner
    miter = (len(behind) + 1, 0.0)
    yield PocketGround(
        Pocket("inside", side),
        Ground(
            inside,
            where_passed(inside, 0, pi / 2 - seam_pole(_centre(inside[0])[::-1], b, inf, a, off)),
            where_passed(inside, len(inside) - 1, seam_pole(_centre(inside[-1]), a, inf, b, off)),
            seam,
            ((a, b),),
            heart=None if hatched else miter,
            still=() if hatched else (miter,),
            partings=(miter,) if hatched else (),
        ),
        motion,
        mouth,
    )


def _centre(stretch: Stretch) -> Point:
    return stretch.arc.centre
