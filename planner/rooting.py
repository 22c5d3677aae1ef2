"""Where each shape of a fill grows: on a spine, on another shape, or on nothing.

A shape's ends are tied to the nearest strand within ON_IN, and that strand is cut there, so that the needle can
pass from one to the other. Lengths are inches.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from planner.fills.shape import FillOfLayout
from planner.net import Finder, Nodes, Strand


@dataclass(slots=True)
class Rooted:
    """A shape's outline where it grows.

    number: its place in the fill's order; root: the spine it grows from, through other shapes, None for none;
    carries: closed shapes of its own pocket that stand on it, by node: they are stitched in passing.
    """

    number: int
    kind: str
    pocket: str
    strand: Strand
    root: int | None = None
    carries: dict[int, list[Rooted]] = field(default_factory=lambda: defaultdict(list))

    @property
    def ends(self) -> tuple[int, int]:
        return self.strand.start, self.strand.end

    @property
    def closed(self) -> bool:
        return self.strand.start == self.strand.end


def rooted(nodes: Nodes, spines: Sequence[Strand], fill: FillOfLayout) -> list[Rooted]:
    """The shapes of a fill that no other carries, in the fill's order; cuts the spines where they stand."""
    lengths = [[[curve.length for curve in shape.curves] for shape in cell.shapes] for cell in fill.cells]
    known = (of_shape for copy in fill.copies for of_shape in lengths[copy.cell])
    shapes = [
        Rooted(i, shape.kind, shape.pocket, Strand(nodes, shape.curves, of_shape))
        for i, (shape, of_shape) in enumerate(zip(fill.shapes(), known, strict=True))
    ]
    ends = [nodes.points[node] for shape in shapes for node in shape.ends]
    on_spine = Finder(spines).on(ends)
    loose = [k for k, found in enumerate(on_spine) if not found]
    strands = [shape.strand for shape in shapes]
    on_shape = dict(
        zip(loose, Finder(strands).on([ends[k] for k in loose], own=[k // 2 for k in loose]), strict=True)
    )
    for k, found in enumerate(on_spine):  # before any shape stands on another: tying moves a shape's ends
        if found:
            shape = shapes[k // 2]
            shape.root, place = found[0]
            shape.strand.tie(nodes, k % 2, spines[shape.root].node_near(nodes, place))
    hosts: list[int | None] = [None] * len(shapes)
    for k in loose:
        i = k // 2
        for j, place in on_shape[k]:
            if j < i or on_spine[2 * j] or on_spine[2 * j + 1]:
                hosts[i] = j
                strands[i].tie(nodes, k % 2, strands[j].node_near(nodes, place))
                break
    free = []
    for shape, host in zip(shapes, hosts, strict=True):
        while shape.root is None and host is not None:
            shape.root, host = shapes[host].root, hosts[host]
        carrier = hosts[shape.number]
        if carrier is not None and shape.closed and shapes[carrier].pocket == shape.pocket:
            shapes[carrier].carries[shape.strand.start].append(shape)
        else:
            free.append(shape)
    return free
