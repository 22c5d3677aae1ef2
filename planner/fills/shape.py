"""What a fill is made of: shapes, gathered in cells, and the copies of those cells laid round the quilt.

The curls of a run repeat, so a cell is grown once and copied by rigid motions. Lengths are inches.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot

from planner.fills.pocket import Pocket
from planner.geometry.arrays import DRAWN_IN, SAME_IN
from planner.geometry.curves import Curve, Motion, Point
from planner.geometry.fewer import fewer
from planner.geometry.svg import number, whole_paths

PER_IN = 800  # units of a drawn cell: in coarser ones places would be two thousandths of an inch off


@dataclass(frozen=True, slots=True)
class Shape:
    """One thing stitched in one go; kind: plume, teardrop, leaf, stem, needle, cone, flower, eye, berry...

    curves: its outline as stitched, each beginning where the one before it ended. It begins at its base
    point, on the spine or on another shape, and ends at its end base. pocket: the one it belongs to.
    """

    kind: str
    pocket: Pocket | None
    curves: tuple[Curve, ...]

    @property
    def start(self) -> Point:
        """Where it begins: its base point."""
        return self.curves[0].start

    @property
    def end(self) -> Point:
        """Where it ends."""
        return self.curves[-1].end

    @property
    def closed(self) -> bool:
        """Whether it ends where it began."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]) < SAME_IN

    @property
    def length(self) -> float:
        """How long its outline is, inches."""
        return sum(curve.length for curve in self.curves)

    def moved(self, motion: Motion, pocket: Pocket | None) -> Shape:
        """The shape after a motion, in the pocket it comes to lie in."""
        return Shape(self.kind, pocket, tuple(curve.moved(motion) for curve in self.curves))

    def points(self, tolerance: float) -> list[Point]:
        """Points along the outline, no chord farther than ``tolerance`` from it."""
        points = [self.start]
        for curve in self.curves:
            points += curve.points(tolerance)[1:]
        return points


@dataclass(frozen=True, slots=True)
class Cell:
    """The fill of one pocket, in stitching order, in coordinates of its own.

    begins: the number of another cell with whose shapes it begins.
    """

    shapes: tuple[Shape, ...]
    begins: int | None = None


@dataclass(frozen=True, slots=True)
class Copy:
    """A cell laid in the quilt: which one, how it gets there, and the pocket it fills."""

    cell: int
    motion: Motion
    pocket: Pocket


@dataclass(frozen=True, slots=True)
class FillOfLayout:
    """The whole fill. copies: in stitching order, one a pocket."""

    cells: tuple[Cell, ...]
    copies: tuple[Copy, ...]

    def shapes(self) -> Iterator[Shape]:
        """Every shape in quilt coordinates, in stitching order, pocket by pocket."""
        for copy in self.copies:
            for shape in self.cells[copy.cell].shapes:
                yield shape.moved(copy.motion, copy.pocket)

    def svg_defs(self, prefix: str = "cell") -> str:
        """One SVG group a cell, a path for all shapes of one kind; goes into <defs>.

        In units of which ``PER_IN`` are an inch; so is the width of their strokes. It strays nowhere from what is
        stitched by more than an eighth of its thread.
        """
        return "".join(
            f'<g id="{prefix}{i}">'
            + (f'<use href="#{prefix}{cell.begins}"/>' if cell.begins is not None else "")
            + f"{_drawn(self._own(cell))}</g>"
            for i, cell in enumerate(self.cells)
        )

    def _own(self, cell: Cell) -> tuple[Shape, ...]:
        """The shapes of a cell that are none of another's."""
        return cell.shapes[len(self.cells[cell.begins].shapes) if cell.begins is not None else 0 :]

    def svg_uses(self, prefix: str = "cell") -> str:
        """The copies as <use> elements, in quilt coordinates."""
        return "".join(
            f'<use href="#{prefix}{c.cell}" transform="matrix({_matrix(c.motion)})"/>' for c in self.copies
        )


def _drawn(shapes: tuple[Shape, ...]) -> str:
    alike: defaultdict[str, list[tuple[Curve, ...]]] = defaultdict(list)
    for shape, curves in zip(shapes, fewer([s.curves for s in shapes], DRAWN_IN), strict=True):
        alike[shape.kind].append(curves)
    return "".join(f'<path class="{kind}" d="{whole_paths(c, PER_IN)}"/>' for kind, c in alike.items())


def _matrix(m: Motion) -> str:
    turn = (f"{v / PER_IN:.8f}".rstrip("0").rstrip(".") for v in (m.a, m.b, m.c, m.d))
    return " ".join((*turn, number(m.e), number(m.f)))
