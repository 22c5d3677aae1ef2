"""The seam strip as part of the fill: a shape a line, a pocket a side."""

from __future__ import annotations

from collections.abc import Iterator

from planner.border.layout import Layout
from planner.border.strip import strip_lines
from planner.fills.pocket import Pocket
from planner.fills.shape import Cell, Shape
from planner.geometry.curves import Motion
from planner.plan import SIDES


def strips(layout: Layout) -> Iterator[tuple[Pocket, Cell, Motion]]:
    """Each side's strip as drawn, where it has one, and how it gets into the quilt."""
    for side in SIDES:
        pocket = Pocket("strip", side)
        lines = strip_lines(layout.quilt.bands, side, layout.plan.strip_spacing_in)
        if lines:
            cell = Cell(tuple(Shape("strip", pocket, (line,)) for line in lines))
            yield pocket, cell, layout.quilt.motion(side)
