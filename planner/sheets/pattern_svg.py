"""The pattern as SVG in real units: one user unit is one inch, and the size is stated in the plan's units."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape
from math import ceil, pi

from planner.geometry.arrays import ROUNDING
from planner.geometry.curves import Arc, Curve, Motion
from planner.geometry.svg import number, svg_path
from planner.plan import Units
from planner.sheets.drawing import PENS, Drawing, Label, Layer, Stroke
from planner.sheets.pattern import Pattern
from planner.stamp import svg_metadata

EDITOR = "http://www.inkscape.org/namespaces/inkscape"
LONGEST_ARC = 2 * pi / 3
PIXELS_A_POINT = 1.4  # a little bolder than on paper: screens are read from farther off
BETWEEN_IN = 0.5  # of air between the patterns of two sides


def pattern_svg(name: str, patterns: list[Pattern], units: Units, stamp: str) -> str:
    """All patterns below one another. Groups are named by side and layer, for an editor too; arcs stay arcs."""
    width = max(p.drawing.box.width for p in patterns)
    height = sum(p.drawing.box.height for p in patterns) + BETWEEN_IN * (len(patterns) - 1)
    body = [
        f'<g id="{"-".join(pattern.sides)}" {_layer_named(pattern.drawing.title)} '
        f'transform="translate({number(shift.e)} {number(shift.f)})">'
        f"{drawing_svg(pattern.drawing)}</g>"
        for pattern, shift in stacked(patterns)
    ]
    scale = {"in": 1.0, "cm": 2.54, "mm": 25.4}[units]
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="{EDITOR}" width="{number(width * scale)}{units}" '
        f'height="{number(height * scale)}{units}" viewBox="0 0 {number(width)} {number(height)}" fill="none" '
        f'font-family="sans-serif"><title>{escape(name)}</title>{svg_metadata(stamp)}{"".join(body)}</svg>\n'
    )


def _layer_named(title: str) -> str:
    """A group's name among the layers of the drawing editors that know this way of saying it; others pass it by."""
    return f'inkscape:groupmode="layer" inkscape:label="{escape(title)}"'


def stacked(patterns: list[Pattern]) -> Iterable[tuple[Pattern, Motion]]:
    """Each pattern with the motion that sets it below the ones before, top left at the origin."""
    y = 0.0
    for pattern in patterns:
        box = pattern.drawing.box
        yield pattern, Motion(1, 0, 0, 1, -box.x, y - box.y)
        y += box.height + BETWEEN_IN


def figure_svg(drawing: Drawing, title: str) -> str:
    """A drawing for a page: it fills its place, and its lines keep their width at any size."""
    box = drawing.box
    view = " ".join(number(v) for v in (box.x, box.y, box.width, box.height))
    inside = "".join(_still(stroke) for stroke in drawing.strokes) + "".join(map(_label, drawing.labels))
    return (
        f'<svg viewBox="{view}" role="img" fill="none" font-family="sans-serif" stroke-linejoin="round">'
        f"<title>{escape(title)}</title>{inside}</svg>"
    )


def _still(stroke: Stroke) -> str:
    pen = stroke.pen
    dash = f' stroke-dasharray="{" ".join(number(d) for d in pen.dash)}"' if pen.dash else ""
    return (
        f'<path d="{svg_path(_short(stroke.curves))}" stroke="{pen.colour}" '
        f'stroke-width="{number(pen.width * PIXELS_A_POINT)}"{dash} vector-effect="non-scaling-stroke"/>'
    )


def drawing_svg(drawing: Drawing) -> str:
    """A group for each layer, in the order the layers first appear, in inches."""
    layers = dict.fromkeys(stroke.layer for stroke in drawing.strokes)
    words = "".join(map(_label, drawing.labels))
    text = f'<g class="layer-text" {_layer_named("text")}>{words}</g>' if words else ""
    return "".join(_layer(drawing, layer) for layer in layers) + text


def _layer(drawing: Drawing, layer: Layer) -> str:
    def own(stroke: Stroke) -> str:
        return f' stroke="{stroke.colour}"' if stroke.colour else ""

    pen = PENS[layer]
    dash = f' stroke-dasharray="{" ".join(number(d / 72) for d in pen.dash)}"' if pen.dash else ""
    paths = "".join(
        f'<path{own(stroke)} d="{svg_path(_short(stroke.curves))}"/>' for stroke in drawing.on(layer)
    )
    return (
        f'<g class="layer-{layer.replace(" ", "-")}" {_layer_named(layer)} '
        f'stroke="{pen.colour}" stroke-width="{number(pen.width / 72)}"'
        f'{dash} stroke-linecap="round" stroke-linejoin="round">{paths}</g>'
    )


def _short(curves: Iterable[Curve]) -> Iterator[Curve]:
    """Arcs cut to at most 120 degrees: near a half circle, a rounded end would shift the centre by far more."""
    for curve in curves:
        if not isinstance(curve, Arc):
            yield curve
            continue
        parts = max(1, ceil(abs(curve.sweep) / LONGEST_ARC - ROUNDING))
        for i in range(parts):
            sweep = curve.sweep / parts
            yield Arc(curve.centre, curve.radius, curve.begin + i * sweep, sweep)


def _label(label: Label) -> str:
    bold = ' font-weight="bold"' if label.bold else ""
    bold += ' class="bare"' if label.bare else ""
    return (
        f'<text x="{number(label.at[0])}" y="{number(label.at[1])}" font-size="{number(label.size)}" '
        f'text-anchor="{label.anchor}" fill="{PENS[label.layer].colour}"{bold}>{escape(label.text)}</text>'
    )
