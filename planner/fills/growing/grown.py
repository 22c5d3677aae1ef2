"""A pocket as it has grown: its shapes, its ground, and what lies beside it. Inches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.fills.growing.contour import Contour, points_along
from planner.fills.growing.flow import BorderEdge
from planner.fills.growing.outline import Drawn, Outline
from planner.geometry.arrays import CHORD_IN, NOUGHT, Mask, Numbers, square
from planner.geometry.curves import Motion

# What is stitched in one only of two pockets that face each other: in the first, in its image.
Halves = tuple[list[Outline], list[Outline]]
# Which shapes of other pockets lie beside a copy of a pocket (m,), and whether that is the image of another copy.
Setting = tuple[Mask, bool]


@dataclass(frozen=True, slots=True)
class Grown:
    """A pocket's shapes as they grew: groups that stay or go together, each with the q of its base.

    begin, end: q of the spine that is its own; rim: corners of the border between its last flow line and its
    first (n, 2); verges: strips of flow lines (lines, levels, 2), the first from the first line on, the
    second from the last line back; ends: where the first and the last line would end, had the fill all the room
    (2, 2); edges: those of the border; mirror: x of the line in which the pocket faces its own image, if it does.
    """

    groups: tuple[tuple[float, Sequence[Outline]], ...]
    contour: Contour
    begin: float
    end: float
    rim: Numbers
    verges: tuple[Numbers, Numbers]
    ends: Numbers
    edges: Sequence[BorderEdge]
    mirror: float | None

    @property
    def own(self) -> Mask:
        """Which samples of the contour are its own."""
        return (self.contour.q > self.begin) & (self.contour.q < self.end)

    @property
    def spine(self) -> list[Numbers]:
        """Points along the spine it faces, (n, 2) each."""
        return [points_along(s.curve, CHORD_IN) for s in self.contour.stretches if s.label != "tip"]

    @property
    def whole(self) -> list[tuple[int, Outline]]:
        """The outlines that are not nested in others, each with the number of its group."""
        return [(i, o) for i, (_, group) in enumerate(self.groups) for o in group if not o.within]

    @property
    def ways(self) -> Numbers:
        """Which way each group grows, from its base to its farthest point; before the first one as that does.

        Unit vectors (groups + 1, 2).
        """
        shapes = [group[0].points for _, group in self.groups]
        far = [points[int(np.argmax(square(points - points[0])))] - points[0] for points in shapes]
        ways = np.array([*far[:1], *far] or [np.zeros(2)])
        return np.asarray(ways / (np.hypot(*ways.T)[:, None] + NOUGHT))

    @property
    def domain(self) -> Numbers:
        """The outline of the ground that may be filled (n, 2)."""
        first, last = (verge[0] for verge in self.verges)
        return np.concatenate(
            (self.contour.point[self.own], last, self.ends[1:], self.rim, self.ends[:1], first[::-1])
        )


@dataclass(frozen=True, slots=True)
class Beside:
    """What lies beside a pocket, in its frame.

    shapes: those of other pockets, wherever a copy of this one lies; settings: what lies beside its copies; spines:
    of the pockets with which it shares a flow line, (n, 2) each; verges: their ground beyond it, or None where the
    pocket ends at its own first or last flow line; images: motions to the copies of the pocket itself; left: holes
    across such a line that the other pocket could not fill, as round outlines (n, 2).
    """

    shapes: Drawn
    settings: Sequence[Setting]
    spines: Sequence[Numbers]
    verges: tuple[Numbers | None, Numbers | None]
    images: Sequence[Motion]
    left: Sequence[Numbers]
