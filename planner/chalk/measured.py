"""One side as she measured it: its circles and spine in the side's own ruler coordinates.

Ruler coordinates of a side: x along the raw edge from its first raw corner (clockwise), y in from the raw
edge. The picture of the quilt uses mean lengths; chalk and patterns use this. Lengths in inches.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.border.band import Band, next_side, previous_side
from planner.border.corners import Chain
from planner.border.layout import Layout, corner_arc, mirror, pieces_as_measured, run_pieces
from planner.border.spine import Circle, Piece
from planner.border.strip import miter_lines, strip_lines
from planner.fills.pockets.lattice import Family, Frame, families
from planner.fills.pockets.side_pockets import frame_between, is_woven
from planner.geometry.curves import Arc, Line, Motion
from planner.plan import SideName


@dataclass(frozen=True, slots=True)
class MeasuredRun:
    """One run of a side: its circles and its spine, in travelling order."""

    circles: tuple[Circle, ...]
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class MeasuredLattice:
    """A lattice to chalk with a string: its frame, and of each family one arc in the middle.

    left, right, low, high: the frame; arcs: about the pins; apart: from one arc of a family to the next.
    """

    left: float
    right: float
    low: float
    high: float
    arcs: tuple[Arc, ...]
    apart: float


@dataclass(frozen=True, slots=True)
class MeasuredSide:
    """A side in ruler coordinates.

    length: raw corner to raw corner; border: raw edge to seam; outer, inner: the guide lines' distances from the
    raw edge; near_ and far_: the same of the sides that meet it, from their own raw edges; middle: where the runs
    meet; corner, far_corner: the corner circles, with the arcs of their C; runs: two that mirror each other, or
    one that turns on; strip: the straight lines along its seam, the farthest from it first; mitered: from one of
    these to the next in the first corner.
    """

    side: SideName
    length: float
    border: float
    near_border: float
    far_border: float
    outer: float
    inner: float
    middle: float
    near_guides: tuple[float, float]
    far_guides: tuple[float, float]
    corner: Circle
    corner_arc: Arc
    far_corner: Circle
    far_arc: Arc
    runs: tuple[MeasuredRun, ...]
    ring: Circle | None
    lattice: MeasuredLattice | None
    strip: tuple[Line, ...]
    mitered: tuple[Line, ...]

    def beyond_seam(self, radii: float = 1.0) -> float:
        """How far circles of so many radii in its corners stand out over the seam, inches."""
        tops = (arc.centre[1] + radii * arc.radius for arc in (self.corner_arc, self.far_arc))
        return max(0.0, *(top - self.border for top in tops))


def measured_side(layout: Layout, side: SideName) -> MeasuredSide:
    """The side as measured."""
    band, chain = layout.quilt.own[side], layout.own[side]
    near, far = (layout.quilt.own[beside(side)] for beside in (previous_side, next_side))
    ruler = Motion(1, 0, 0, 1, near.outside, band.outside)
    pieces = tuple(run_pieces(layout.plan, layout.choice, band, chain))
    runs = [_moved(MeasuredRun(chain.circles, pieces), ruler)]
    if layout.mirrored:
        back = tuple(piece for piece in pieces if piece.part != "ring")
        runs.append(_moved(MeasuredRun(chain.circles, back), ruler.after(mirror(band))))
    length = near.outside + band.span + far.outside
    far_ruler = Motion(
        0, 1, -1, 0, length, 0
    )  # the next side's ruler coordinates, laid at this side's far end
    near_arc, far_arc = _corner_arc(layout, side), _corner_arc(layout, next_side(side)).moved(far_ruler)
    return MeasuredSide(
        side,
        length,
        layout.quilt.border(side),
        layout.quilt.border(previous_side(side)),
        layout.quilt.border(next_side(side)),
        band.outside,
        band.outside + band.height,
        near.outside + band.span / 2,
        (near.outside, near.outside + near.height),
        (far.outside, far.outside + far.height),
        Circle(near_arc.centre, near_arc.radius, "corner", 1),
        near_arc,
        Circle(far_arc.centre, far_arc.radius, "corner", 1),
        far_arc,
        tuple(runs),
        chain.ring.moved(ruler) if chain.ring else None,
        _lattice(layout, band, chain, ruler) if is_woven(layout) else None,
        *(
            tuple(line.moved(ruler) for line in lines(layout.quilt.own, side, layout.plan.strip_spacing_in))
            for lines in (strip_lines, miter_lines)
        ),
    )


def ruler_motion(layout: Layout, side: SideName) -> Motion:
    """From quilt coordinates to the ruler coordinates of a side."""
    bands = layout.quilt.bands
    return Motion(1, 0, 0, 1, bands[previous_side(side)].outside, bands[side].outside).after(
        layout.quilt.motion(side).undone()
    )


def _lattice(layout: Layout, band: Band, chain: Chain, ruler: Motion) -> MeasuredLattice:
    frame = frame_between(band, chain.circles[-1])
    here = ruler.after(Motion(e=band.span / 2))
    both = families(frame, layout.room)
    left, low = here.point((-frame.half, frame.low))
    right, high = here.point((frame.half, frame.high))
    return MeasuredLattice(
        left,
        right,
        low,
        high,
        tuple(_middle_arc(family, frame).moved(here) for family in both),
        both[0].apart,
    )


def _middle_arc(family: Family, frame: Frame) -> Arc:
    """The arc in the middle of a family, the longest part of it."""
    radius = family.radii[len(family.radii) // 2]
    return max(family.inside(radius, frame), key=lambda arc: arc.length)


def _moved(run: MeasuredRun, motion: Motion) -> MeasuredRun:
    return MeasuredRun(
        tuple(c.moved(motion) for c in run.circles), tuple(p.moved(motion) for p in run.pieces)
    )


def _corner_arc(layout: Layout, side: SideName) -> Arc:
    """The C in a side's first corner, in the side's ruler coordinates."""
    own = layout.quilt.own
    return corner_arc(layout, pieces_as_measured(layout), side).moved(
        Motion(e=own[previous_side(side)].outside, f=own[side].outside)
    )
