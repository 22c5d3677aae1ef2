"""Fills: real geometry grown from the spine, one file a fill over one growing engine.

A new fill is one new file with a ``STYLE``, and one line in ``STYLES``.
"""

from __future__ import annotations

from dataclasses import replace

from planner.band import CORNERS
from planner.fills import echo, feathers, flowers, leaves, needles
from planner.fills.grow import Needs, Style, grow
from planner.fills.lattice import Frame, weave
from planner.fills.pockets import key, pockets
from planner.fills.shape import Cell, Copy, FillOfLayout
from planner.layout import Layout
from planner.plan import SIDES, FillKind, SideName

STYLES: dict[FillKind, Style] = {
    "feathers": feathers.STYLE,
    "leaves": leaves.STYLE,
    "needles": needles.STYLE,
    "flowers": flowers.STYLE,
    "echo": echo.STYLE,
}


def fill(layout: Layout, side: SideName | None = None) -> FillOfLayout:
    """The fill of a layout: each kind of pocket grown once, copied wherever it comes again.

    side: only this side and its first corner, for its pattern.
    """
    names = (f"{side}-", f"{CORNERS[SIDES.index(side)]}-") if side else ("",)
    plan = layout.plan
    style = STYLES[plan.fill.kind]
    needs = Needs(plan.fill.room_in, plan.fill.smallest_feature_in, plan.seed)
    cells: list[Cell] = []
    known: dict[tuple[object, ...], int] = {}
    copies = []
    for pocket in pockets(layout):
        if not pocket.name.startswith(names):
            continue
        alike = key(pocket.ground)
        if alike not in known:
            known[alike] = len(cells)
            ground = pocket.ground
            cell = weave(ground, needs.room) if isinstance(ground, Frame) else grow(ground, style, needs)
            cells.append(Cell(tuple(replace(s, pocket=pocket.name) for s in cell.shapes)))
        copies.append(Copy(known[alike], pocket.motion, pocket.name))
    return FillOfLayout(tuple(cells), tuple(copies))
