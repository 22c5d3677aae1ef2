"""A drawing for paper: strokes on named layers and a few labels. Every sheet is made of these.

Coordinates are inches, x right and y down, as everywhere. Which pen a layer is drawn with is said here once,
for PDF and SVG alike.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise
from math import pi
from typing import Literal

from planner.border.spine import Circle
from planner.geometry.curves import Arc, Curve, Line, Motion, Point

Layer = Literal[
    "raw edge",
    "seam",
    "guide line",
    "miter",
    "middle",
    "circle",
    "mark",
    "seam strip",
    "fill",
    "spine",
    "dots",
    "done",
    "now",
    "ruler",
]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Pen:
    """Colour as #rrggbb, width in points (1/72 in), dashes in points."""

    colour: str
    width: float
    dash: tuple[float, ...] = ()


INK = "#1d2733"
PENS: dict[Layer, Pen] = {
    "raw edge": Pen(INK, 1.0),
    "seam": Pen(INK, 0.7, (7, 2, 1, 2)),
    "guide line": Pen("#3b6ea5", 0.6, (6, 3)),
    "miter": Pen("#3b6ea5", 0.6, (6, 3)),
    "middle": Pen("#3b6ea5", 0.6, (2, 2)),
    "circle": Pen("#8a949e", 0.4, (1.5, 1.5)),
    "mark": Pen("#8a949e", 0.4),
    "seam strip": Pen("#4d5a66", 0.7),
    "fill": Pen("#4d5a66", 0.7),
    "spine": Pen(INK, 1.3),
    "dots": Pen(INK, 1.0, (1, 3.5)),
    "done": Pen("#858e97", 0.9),
    "now": Pen("#b3412e", 1.8),
    "ruler": Pen("#b3412e", 0.5),
}


BELOW = 0.1  # of the size of letters, what of them lies below their base line


@dataclass(frozen=True, slots=True)
class Stroke:
    """Curves drawn in one go: each begins where the one before ends. colour: of its own, not its layer's."""

    layer: Layer
    curves: tuple[Curve, ...]
    colour: str = ""

    @property
    def pen(self) -> Pen:
        """What it is drawn with."""
        pen = PENS[self.layer]
        return replace(pen, colour=self.colour) if self.colour else pen

    def moved(self, motion: Motion) -> Stroke:
        """The stroke after a motion."""
        return replace(self, curves=tuple(curve.moved(motion) for curve in self.curves))


@dataclass(frozen=True, slots=True)
class Label:
    """Words at a point, on their base line; size: of the letters, in inches of the drawing.

    bare: the paper is left bare behind them, so that they can be read across lines.
    """

    at: Point
    text: str
    size: float
    anchor: Anchor = "middle"
    layer: Layer = "spine"
    bold: bool = False
    bare: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, inches."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Drawing:
    """box: what is shown; strokes and labels are drawn in order, layers as they come."""

    box: Box
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...] = ()
    title: str = ""

    def on(self, layer: Layer) -> Iterable[Stroke]:
        """The strokes of one layer, in order."""
        return (stroke for stroke in self.strokes if stroke.layer == layer)


def half_round(drawing: Drawing) -> Drawing:
    """The drawing turned half round in its box, its words where they stood and upright."""
    box = drawing.box
    turn = Motion(-1, 0, 0, -1, 2 * box.x + box.width, 2 * box.y + box.height)
    anchors: dict[Anchor, Anchor] = {"start": "end", "middle": "middle", "end": "start"}
    labels = []
    for label in drawing.labels:
        x, y = turn.point(label.at)
        labels.append(replace(label, at=(x, y + (1 - 2 * BELOW) * label.size), anchor=anchors[label.anchor]))
    return replace(drawing, strokes=tuple(one.moved(turn) for one in drawing.strokes), labels=tuple(labels))


def whole(circle: Circle) -> Arc:
    """A circle as one curve, from 3 o'clock round."""
    return Arc(circle.centre, circle.radius, 0.0, 2 * pi)


def line(layer: Layer, *points: Point) -> Stroke:
    """A stroke through points."""
    return Stroke(layer, tuple(Line(a, b) for a, b in pairwise(points)))


def cross(layer: Layer, at: Point, arm: float) -> tuple[Stroke, Stroke]:
    """An upright cross, as chalked at a centre."""
    x, y = at
    return line(layer, (x - arm, y), (x + arm, y)), line(layer, (x, y - arm), (x, y + arm))
