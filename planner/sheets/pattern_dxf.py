"""The pattern as DXF for cutters: layers in trade words, arcs as true arcs (bulges), circles as circles.

y points up in DXF. A bulge is tan(angle/4), positive counter-clockwise; an arc over 180 degrees is cut in two,
since many cutters read no bulge above 1. The same plan gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator
from io import StringIO
from math import pi, tan
from typing import Any

from planner.geometry.arrays import ROUNDING
from planner.geometry.curves import Arc, Bezier, Motion
from planner.plan import Units
from planner.sheets.drawing import Label, Layer, Stroke
from planner.sheets.pattern import Pattern
from planner.sheets.pattern_svg import stacked
from planner.stamp import note_of

COLOURS: dict[Layer, int] = {  # AutoCAD colour index; 7 shows black on white and white on black
    "raw edge": 7,
    "seam": 7,
    "guide line": 5,
    "miter": 5,
    "middle": 5,
    "circle": 8,
    "mark": 8,
    "seam strip": 3,
    "fill": 3,
    "spine": 1,
}
TEXT = "TEXT"  # words and numbers stand on a layer of their own: what is cut carries lines alone
SMOOTH_IN = 0.002  # a plume's outline becomes chords no farther off than half a thread is thick
UP = Motion(1, 0, 0, -1, 0, 0)

Vertex = tuple[float, float, float]


def layer_name(layer: Layer) -> str:
    """``GUIDE_LINE``."""
    return layer.upper().replace(" ", "_")


def pattern_dxf(patterns: list[Pattern], units: Units, stamp: str) -> bytes:
    """All patterns below one another in one drawing, inches ($INSUNITS 1), or millimetres (4) for a metric plan."""
    import ezdxf
    from ezdxf import bbox
    from ezdxf.math import Matrix44

    ezdxf.options.write_fixed_meta_data_for_testing = True  # else the file carries the time it was made
    document = ezdxf.new("R2010", setup=False)
    document.units = ezdxf.units.IN if units == "in" else ezdxf.units.MM
    document.header["$MEASUREMENT"] = int(units != "in")
    document.header.custom_vars.append("Comments", note_of(stamp))
    drawn = {stroke.layer for pattern in patterns for stroke in pattern.drawing.strokes}
    for layer, colour in COLOURS.items():
        if layer in drawn:
            document.layers.add(layer_name(layer), color=colour)
    document.layers.add(TEXT, color=8)
    space = document.modelspace()
    for pattern, motion in stacked(patterns):
        place = UP.after(motion)
        for stroke in pattern.drawing.strokes:
            _add(space, stroke.moved(place))
        for label in pattern.drawing.labels:
            _write(space, label, place)
    lines = list(space.query("LWPOLYLINE CIRCLE"))
    if units != "in":
        for entity in space:
            entity.transform(Matrix44.scale(25.4))
    size = bbox.extents(lines)
    space.reset_extents(size.extmin, size.extmax)
    document.set_modelspace_vport(height=1.05 * size.size.y, center=size.center)
    for kind in sorted({entity.dxftype() for entity in space}):
        document.classes.add_class(kind)
    text = StringIO()
    document.write(text)
    return text.getvalue().encode(document.output_encoding, errors="dxfreplace")


def _add(space: Any, stroke: Stroke) -> None:
    attributes = {"layer": layer_name(stroke.layer)}
    only = stroke.curves[0]
    if len(stroke.curves) == 1 and isinstance(only, Arc) and abs(abs(only.sweep) - 2 * pi) < ROUNDING:
        space.add_circle(only.centre, only.radius, dxfattribs=attributes)
        return
    space.add_lwpolyline(list(_vertices(stroke)), format="xyb", dxfattribs=attributes)


def _vertices(stroke: Stroke) -> Iterator[Vertex]:
    """Points with the bulge of what follows each. y is up here, so a positive sweep turns counter-clockwise."""
    for curve in stroke.curves:
        if isinstance(curve, Arc):
            parts = 2 if abs(curve.sweep) > pi else 1
            for i in range(parts):
                yield (*curve.point(i / parts), tan(curve.sweep / parts / 4))
        elif isinstance(curve, Bezier):
            for x, y in curve.points(SMOOTH_IN)[:-1]:
                yield x, y, 0.0
        else:
            yield (*curve.start, 0.0)
    yield (*stroke.curves[-1].end, 0.0)


def _write(space: Any, label: Label, place: Motion) -> None:
    from ezdxf.enums import TextEntityAlignment

    align = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }[label.anchor]
    text = space.add_text(label.text, height=label.size, dxfattribs={"layer": TEXT})
    text.set_placement(place.point(label.at), align=align)
