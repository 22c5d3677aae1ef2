"""The seam strip as part of the fill: a shape a line, a pocket a side."""

from __future__ import annotations

from collections.abc import Iterator

from planner.border.layout import Layout
from planner.border.strip import miter_lines, strip_lines
from planner.fills.pocket import Pocket
from planner.fills.shape import Cell, Shape
from planner.geometry.curves import Motion
from planner.plan import SIDES


def strips(layout: Layout) -> Iterator[tuple[Pocket, Cell, Motion]]:
    """Each side's strip as drawn, the miter in its first corner included, and how it gets into the quilt."""
    bands, spacing = layout.quilt.bands, layout.plan.strip_spacing_in
    for side in SIDES:
        pocket = Pocket("strip", side)
        lines = strip_lines(bands, side, spacing) + miter_lines(bands, side, spacing)
        if lines:
            cell = Cell(tuple(Shape("strip", pocket, (line,)) for line in lines))
            yield pocket, cell, layout.quilt.motion(side)
