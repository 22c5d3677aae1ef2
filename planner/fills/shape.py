"""What a fill is made of: shapes, gathered in cells, and the copies of those cells laid round the quilt.

The curls of a run repeat, so a cell is grown once and copied by rigid motions. Lengths are inches.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from math import hypot

from planner.curves import Bezier, Curve, Motion, Point, number, svg_path


@dataclass(frozen=True, slots=True)
class Shape:
    """One thing stitched in one go; kind: plume, teardrop, leaf, stem, needle, cone, flower, berry, echo...

    curves: its outline as stitched, each beginning where the one before it ended. It begins at its base
    point, on the spine or on another shape, and ends at its end base. pocket: the area it belongs to.
    """

    kind: str
    pocket: str
    curves: tuple[Curve, ...]

    @property
    def start(self) -> Point:
        return self.curves[0].start

    @property
    def end(self) -> Point:
        return self.curves[-1].end

    @property
    def closed(self) -> bool:
        """Whether it ends where it began."""
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]) < 1e-6

    @property
    def length(self) -> float:
        return sum(curve.length for curve in self.curves)

    def moved(self, motion: Motion, pocket: str) -> Shape:
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
    """The fill of one pocket, in stitching order, in coordinates of its own."""

    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Copy:
    """A cell laid in the quilt: which one, how it gets there, and the pocket it fills ("top-start-3")."""

    cell: int
    motion: Motion
    pocket: str


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
        """One SVG group a cell, a path for each stretch of shapes of one kind; goes into <defs>."""
        return "".join(
            f'<g id="{prefix}{i}">'
            + "".join(
                f'<path class="{kind}" d="{"".join(_path(s) for s in same)}"/>'
                for kind, same in groupby(cell.shapes, key=lambda s: s.kind)
            )
            + "</g>"
            for i, cell in enumerate(self.cells)
        )

    def svg_uses(self, prefix: str = "cell") -> str:
        """The copies as <use> elements, in quilt coordinates."""
        return "".join(
            f'<use href="#{prefix}{c.cell}" transform="matrix({_matrix(c.motion)})"/>' for c in self.copies
        )


def _path(shape: Shape) -> str:
    """SVG path data to a thousandth of an inch, in steps from point to point: half as long as svg_path's.

    Where a curve goes on as the one before it ended, to that thousandth, its first handle goes without saying.
    """
    if not all(isinstance(curve, Bezier) for curve in shape.curves):
        return svg_path(shape.curves)
    x, y = (round(1000 * v) for v in shape.start)
    text, said = f"M{_thousandths(x)}{_thousandths(y)}", ""
    on: tuple[int, int] | None = None  # from the last handle to the point it leads to
    for curve in shape.curves:
        assert isinstance(curve, Bezier)
        steps = [(round(1000 * u) - x, round(1000 * v) - y) for u, v in (curve.p1, curve.p2, curve.p3)]
        (a, b), (c, d), (e, f) = steps
        smooth = on is not None and abs(a - on[0]) <= 1 and abs(b - on[1]) <= 1
        command = "s" if smooth else "c"
        text += command if command != said else ""
        text += "".join(_thousandths(u) + _thousandths(v) for u, v in steps[smooth:])
        on, said = (e - c, f - d), command
        x, y = x + e, y + f
    return text


def _thousandths(value: int) -> str:
    """A number of thousandths as SVG reads it after another number: " 1.25", "-.5", " 0"."""
    if not value:
        return " 0"
    whole, part = divmod(abs(value), 1000)
    digits = f"{whole or ''}.{part:03d}".rstrip("0").rstrip(".")
    return ("-" if value < 0 else " ") + digits


def _matrix(m: Motion) -> str:
    return " ".join(number(v) for v in (m.a, m.b, m.c, m.d, m.e, m.f))
