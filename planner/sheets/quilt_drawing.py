"""The whole quilt as a drawing for paper: cloth edges, spines and, when there is one, the fill."""

from __future__ import annotations

from planner.border.layout import Layout
from planner.fills.shape import Shape
from planner.plan import SIDES
from planner.sheets.drawing import Box, Drawing, Stroke, line

AROUND_IN = 0.5


def quilt_drawing(layout: Layout, shapes: tuple[Shape, ...] = ()) -> Drawing:
    """In quilt coordinates, as the picture on the screen shows it."""
    quilt = layout.quilt
    width, height = quilt.width, quilt.height
    top, right, bottom, left = (quilt.border(side) for side in SIDES)
    edge = line("raw edge", (0, 0), (width, 0), (width, height), (0, height), (0, 0))
    seam = line(
        "done",
        (left, top),
        (width - right, top),
        (width - right, height - bottom),
        (left, height - bottom),
        (left, top),
    )
    fill = [Stroke("fill", shape.curves) for shape in shapes]
    spines = [Stroke("spine", (part.piece.curve,)) for part in layout.spines]
    box = Box(-AROUND_IN, -AROUND_IN, width + 2 * AROUND_IN, height + 2 * AROUND_IN)
    return Drawing(box, (edge, seam, *fill, *spines))
