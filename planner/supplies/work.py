"""The figures of a layout that the supplies need: from its whole stitching path, or estimated before it is filled.

Filling a large quilt and ordering its stitches takes seconds. So the estimate adds up the spines and reckons the
fill from their length and the area to cover.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from planner.curves import Point
from planner.layout import Layout
from planner.plan import SIDES
from planner.route import hanging_together
from planner.segments import StitchPath

# Inches stitched to fill a border, backtracks and travel counted: for each square inch of it, and for each inch
# of its spine. Least squares over eleven borders of 5 to 10 in filled with feathers: none up to 8 in is off by
# over 3 %, the one of 10 in by 11 %.
FILL_OF_AREA = 3.0
FILL_OF_SPINE = 4.7


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
    return Work(
        stitching_in=path.length,
        starts=path.starts,
        retraced_in=path.retraced,
        estimated=False,
        **_drawn(layout),
    )


def estimated_work(layout: Layout) -> Work:
    """From the lengths of the spines, and the area to fill.

    The needle goes along every tail and back, and once along all else; but a line begins and ends in a tip, so
    that two of its tails are passed once. (Within 1/100 of what ``path_of`` finds for the spines.)
    """
    tails = [part.piece.curve.length for part in layout.spines if part.piece.part == "tail"]
    lines = _lines(layout)
    retraced = sum(sorted(tails)[: -2 * lines])
    drawn = _drawn(layout)
    spines = drawn["spine_in"] + retraced
    filling = FILL_OF_AREA * fillable_area(layout) + FILL_OF_SPINE * spines
    return Work(stitching_in=spines + filling, starts=lines, retraced_in=retraced, estimated=True, **drawn)


def _lines(layout: Layout) -> int:
    """How many lines the spines are; a ring joins all."""
    if layout.rings:
        return 1
    numbers: dict[tuple[float, float], int] = {}

    def number(point: Point) -> int:
        return numbers.setdefault((round(point[0], 4), round(point[1], 4)), len(numbers))

    curves = [part.piece.curve for part in layout.spines]
    return len(hanging_together([(number(one.start), number(one.end), 0.0) for one in curves]))


def _drawn(layout: Layout) -> dict[str, Any]:
    """What there is to chalk, and what the fill leaves open."""
    return {
        "circles": len(layout.corners) + len(layout.circles) + len(layout.rings),
        "guide_lines": len(layout.guides),
        "spine_in": sum(part.piece.curve.length for part in layout.spines),
        # the fill leaves no empty circle wider than that: each fill sees to that
        "open_in": layout.plan.fill.room_in / 2,
    }


def fillable_area(layout: Layout) -> float:
    """The border without what the binding covers, square inches."""
    quilt, allowance = layout.quilt, layout.plan.binding_allowance_in
    top, right, bottom, left = (quilt.border(side) for side in SIDES)
    outer = (quilt.width - 2 * allowance) * (quilt.height - 2 * allowance)
    return outer - (quilt.width - left - right) * (quilt.height - top - bottom)
