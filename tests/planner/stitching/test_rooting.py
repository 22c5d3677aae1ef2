"""Where shapes grow: what stands on a chain of others knows its spine once."""

from __future__ import annotations

from math import pi

from planner.fills.pocket import Pocket
from planner.fills.shape import Cell, Copy, FillOfLayout, Shape
from planner.geometry.curves import Arc, Line, Motion
from planner.stitching.net import Finder, Nodes, Strand
from planner.stitching.rooting import _standing, rooted

LINKS = 10


def test_a_chain_of_circles_grows_from_one_spine() -> None:
    """Each stands on the one before it with both its ends: their roots would double with every link."""
    pocket = Pocket("curl", "top", "start", 1)
    line = Line((-1.0, 0.0), (1.0, 0.0))
    nodes = Nodes()
    spine = Strand(
        (line,), [(0.0, nodes.at(line.start)), (1.0, nodes.at(line.end))], {0.0: 0.0, 1.0: line.length}
    )
    circles = [
        tuple(Arc((0.0, 0.2 * n + 0.1), 0.1, begin, pi) for begin in (-pi / 2, pi / 2)) for n in range(LINKS)
    ]
    cell = Cell(tuple(Shape("pebble", pocket, two) for two in circles))
    assert _standing(cell, Motion(), Finder([spine])).roots == [(0,)] * LINKS
    shapes = rooted(nodes, [spine], FillOfLayout((cell,), (Copy(0, Motion(), pocket),)))
    assert [shape.root for shape in shapes] == [0] * LINKS
    assert all(shape.closed for shape in shapes)
    assert [shape.hosts for shape in shapes] == [frozenset(), *(frozenset({n}) for n in range(LINKS - 1))]
