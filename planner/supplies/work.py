"""The figures of a layout that the supplies need: from its whole stitching path, or estimated before it is filled.

Filling a large quilt and ordering its stitches takes seconds; spines alone take a blink. So the estimate counts
the spines truly and reckons the fill from their length and the area to cover.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.layout import Layout
from planner.plan import SIDES
from planner.stitching import StitchPath, path_of

# Inches stitched to fill a border, backtracks and travel counted: for each square inch of it, and for each inch
# of its spine. Least squares over twelve borders of 5 to 10 in filled with feathers; none is off by over 8 %.
FILL_OF_AREA = 3.2
FILL_OF_SPINE = 5.1


@dataclass(frozen=True, slots=True)
class Work:
    """What there is to chalk and to stitch. Lengths in inches.

    stitching_in: the needle's whole way, retraced_in of it over what is stitched already; starts: pieces of
    thread; circles and guide_lines: what is chalked with a template and a ruler; spine_in: what is chalked by
    hand between; open_in: the widest place left open in the border; estimated: the fill's share is a guess.
    """

    stitching_in: float
    starts: int
    circles: int
    guide_lines: int
    spine_in: float
    open_in: float
    retraced_in: float = 0.0
    estimated: bool = False


def work_of(layout: Layout, path: StitchPath) -> Work:
    """From the path of the spines and the whole fill."""
    return _work(layout, path, path.length, estimated=False)


def estimated_work(layout: Layout) -> Work:
    """From the path of the spines alone, and the area to fill."""
    path = path_of(layout)
    filling = FILL_OF_AREA * fillable_area(layout) + FILL_OF_SPINE * path.length
    return _work(layout, path, path.length + filling, estimated=True)


def _work(layout: Layout, path: StitchPath, stitching_in: float, *, estimated: bool) -> Work:
    return Work(
        stitching_in=stitching_in,
        starts=path.starts,
        circles=len(layout.corners) + len(layout.circles) + len(layout.rings),
        guide_lines=len(layout.guides),
        spine_in=sum(part.piece.curve.length for part in layout.spines),
        open_in=layout.plan.fill.room_in
        / 2,  # the fill leaves no empty circle wider than that: DESIGN section 5
        retraced_in=path.retraced,
        estimated=estimated,
    )


def fillable_area(layout: Layout) -> float:
    """The border without what the binding covers, square inches."""
    quilt, allowance = layout.quilt, layout.plan.binding_allowance_in
    top, right, bottom, left = (quilt.border(side) for side in SIDES)
    outer = (quilt.width - 2 * allowance) * (quilt.height - 2 * allowance)
    return outer - (quilt.width - left - right) * (quilt.height - top - bottom)
