"""The ground of a pocket, laid out so that the pocket opens downwards, from left to right.

Pockets that come out alike in that frame of their own are filled once and copied. Inches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2

from planner.border.band import Band
from planner.border.spine import Piece, turned
from planner.fills.growing.contour import Stretch
from planner.fills.growing.ground import Ground, Place
from planner.fills.pocket import Pocket
from planner.fills.pockets.lattice import Frame
from planner.geometry.curves import Arc, Line, Motion, Point

SLIVER_IN = 0.04  # kept clear of the seam ditch, and as much inside the binding allowance


@dataclass(frozen=True, slots=True)
class PocketGround:
    """A pocket before it is filled: its bare ground in its own frame, and the motion that lays it in the quilt.

    mouth: the arc from which it grows where that closes a circle that is cross-hatched.
    """

    pocket: Pocket
    ground: Ground | Frame
    motion: Motion
    mouth: Arc | None = None


def inner_edge(band: Band) -> float:
    """h of the inner edge of a side's fillable strip."""
    return band.edge - SLIVER_IN - band.off


def outer_edge(band: Band) -> float:
    """h of its outer edge."""
    return SLIVER_IN + band.off - band.room


def on(arc: Arc, angle: float) -> float:
    """Share of an arc at which it passes an angle."""
    way = 1 if arc.sweep > 0 else -1
    return turned(arc.begin, angle, way) / arc.sweep


def where_passed(flank: Sequence[Stretch], index: int, angle: float) -> Place:
    """Where a stretch of the flank, an arc, passes an angle."""
    return index, on(flank[index].arc, angle)


def past(u: float, low: float, high: float, off: float) -> float | None:
    """The end of a seam from u = ``low`` to ``high`` past which a circle stands at u; None where it faces the seam.

    off: how far the fill stays off the seam: its corner there is as far from where the seam itself ends.
    """
    return low if u < low + off else high if u > high - off else None


def seam_pole(centre: Point, low: float, high: float, seam: float, off: float) -> float:
    """The angle at which a circle faces a seam at h = ``seam`` that goes from u = ``low`` to ``high``.

    Straight across, at the circle's pole; or towards the end of the seam, if the circle stands past it: there
    three pockets meet.
    """
    u, h = centre
    end = past(u, low, high, off)
    return atan2(seam - h, 0.0 if end is None else end - u)


def of(pieces: Sequence[Piece], curl: int, *parts: str) -> list[Piece]:
    """Some parts of one curl."""
    return [p for p in pieces if p.curl == curl and p.part in parts]


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
        tuple((near(*flat(s.curve), s.flow), s.label) for s in ground.flank),
        near(*ground.begin, *ground.end),
        tuple(near(*plane) for e in ground.edges for plane in e.planes),
        tuple(near(*p) for p in ground.rim),
        near(ground.mirror) if ground.mirror is not None else None,
        near(*(v for place in (*ground.partings, *ground.still) for v in place)),
    )
