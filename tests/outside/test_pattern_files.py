"""The pattern's SVG and DXF, read back by other people's readers and compared with the layout."""

from __future__ import annotations

import os
import subprocess
import sys
from io import StringIO
from itertools import pairwise
from math import hypot
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as Xml

import ezdxf
import pytest
from ezdxf.math import bulge_center, bulge_radius
from svgpathtools import parse_path

from planner.border.layout import Layout
from planner.chalk.measured import measured_side
from planner.geometry.curves import Arc
from planner.plan import Units
from planner.sheets.pattern import Pattern, patterns, spine_strokes
from planner.sheets.pattern_dxf import COLOURS, TEXT, layer_name, pattern_dxf
from planner.sheets.pattern_svg import EDITOR, pattern_svg, stacked
from tests.planner.landed import STYLES, example

SVG = "{http://www.w3.org/2000/svg}"
STYLE_NUMBERS = range(len(STYLES))


def read(patterns: list[Pattern], units: Units = "in") -> Any:
    return ezdxf.read(StringIO(pattern_dxf(patterns, units, "STAMP7").decode()))  # type: ignore[attr-defined]


def layout_of(style: int) -> Layout:
    return example(style, sides=(60.0, 70.0, 60.25, 69.75) if style != 5 else (60.0, 70.0, 60.0, 70.0))


@pytest.mark.parametrize("style", STYLE_NUMBERS)
def test_svg_path_lengths_are_the_layouts(style: int) -> None:
    layout = layout_of(style)
    found = patterns(layout)
    root = Xml.fromstring(pattern_svg("Test", found, "in", "STAMP7"))
    for pattern in found:
        side = measured_side(layout, pattern.sides[0])
        true = [sum(c.length for c in s) for s in spine_strokes(side.corner_arc, side.runs[0].pieces)]
        group = next(g for g in root if g.get("id") == "-".join(pattern.sides))
        (spine,) = [g for g in group if g.get("class") == "layer-spine"]
        drawn = [parse_path(path.get("d", "")).length() for path in spine]
        assert drawn == pytest.approx(true, rel=1e-4)  # points are written to 1e-4 in


@pytest.mark.parametrize(
    ("units", "suffix", "scale"), [("in", "in", 1.0), ("cm", "cm", 2.54), ("mm", "mm", 25.4)]
)
def test_svg_says_its_size_in_real_units(units: Any, suffix: str, scale: float) -> None:
    root = Xml.fromstring(pattern_svg("Ň <&> 波", patterns(example(0)), units, "STAMP7"))
    wide, high = (float(v) for v in (root.get("viewBox") or "").split()[2:])
    assert (root.get("width"), root.get("height")) == (
        f"{wide * scale:.4f}".rstrip("0").rstrip(".") + suffix,
        root.get("height"),
    )
    assert float((root.get("height") or "").removesuffix(suffix)) == pytest.approx(high * scale, abs=1e-2)
    assert root.findtext(f"{SVG}title") == "Ň <&> 波"


@pytest.mark.parametrize("style", STYLE_NUMBERS)
def test_dxf_is_clean_and_its_arcs_are_the_layouts(style: int) -> None:
    layout = layout_of(style)
    found = patterns(layout)
    document = read(found)
    assert not document.audit().errors and not document.audit().fixes
    assert document.header["$INSUNITS"] == 1  # inches: Autodesk's list of INSUNITS
    drawn = sorted(
        (*bulge_center(a, b, bulge), bulge_radius(a, b, bulge))
        for line in document.modelspace().query('LWPOLYLINE[layer=="SPINE"]')
        for a, b, bulge in _spans(line)
        if bulge
    )
    true = []
    for pattern, shift in stacked(found):
        side = measured_side(layout, pattern.sides[0])
        for stroke in spine_strokes(side.corner_arc, side.runs[0].pieces):
            if len(stroke) == 1 and abs(stroke[0].sweep) > 6.28:  # type: ignore[union-attr]
                continue  # a ring is a CIRCLE
            for curve in stroke:
                if isinstance(curve, Arc):
                    x, y = shift.point(curve.centre)
                    true += [(x, -y, curve.radius)] * (2 if abs(curve.sweep) > 3.14159265358979 else 1)
    assert len(drawn) == len(true)
    for mine, theirs in zip(drawn, _matched(drawn, true), strict=True):
        assert mine == pytest.approx(theirs, abs=1e-9)


def _matched(drawn: list[Any], true: list[Any]) -> list[Any]:
    """For each drawn arc the nearest true one, each used once."""
    left = list(true)
    found = []
    for x, y, _ in drawn:
        nearest = min(left, key=lambda t: hypot(t[0] - x, t[1] - y))
        left.remove(nearest)
        found.append(nearest)
    return found


def _spans(line: Any) -> Any:
    points = list(line.get_points("xyb"))
    for (ax, ay, bulge), (bx, by, _) in pairwise(points):
        yield (ax, ay), (bx, by), bulge


def test_dxf_circles_are_the_layouts() -> None:
    layout = layout_of(1)
    found = patterns(layout, side="left")
    circles = read(found).modelspace().query("CIRCLE")
    side = measured_side(layout, "left")
    ((_, shift),) = stacked(found)
    assert side.ring is not None
    true = [side.corner, *side.runs[0].circles, side.ring, side.ring]  # the ring: marked and stitched
    assert len(circles) == len(true)
    for circle in circles:
        x, y = circle.dxf.center.x, circle.dxf.center.y
        assert any(
            hypot(shift.point(c.centre)[0] - x, -shift.point(c.centre)[1] - y) < 1e-9
            and abs(c.radius - circle.dxf.radius) < 1e-9
            for c in true
        )


def test_a_clockwise_curl_has_a_negative_bulge() -> None:
    """Positive is counter-clockwise (Autodesk, SetBulge); the corner C turns clockwise as she sees it."""
    first = read(patterns(example(0), side="top")).modelspace().query('LWPOLYLINE[layer=="SPINE"]')[0]
    assert next(iter(first.get_points("b")))[0] < 0


@pytest.mark.parametrize("style", STYLE_NUMBERS)
def test_layers_carry_trade_words_and_none_is_empty(style: int) -> None:
    document = read(patterns(layout_of(style)))
    names = {layer.dxf.name for layer in document.layers} - {"0", "Defpoints"}
    used = {entity.dxf.layer for entity in document.modelspace()}
    assert names == used
    assert names <= {layer_name(layer) for layer in COLOURS} | {TEXT}
    assert {"RAW_EDGE", "GUIDE_LINE", "MITER", "SPINE", "SEAM"} <= names


def test_what_is_cut_carries_no_cross_and_no_number() -> None:
    layout = layout_of(1)
    space = read(patterns(layout)).modelspace()
    assert {entity.dxf.layer for entity in space.query("TEXT")} == {TEXT}
    for layer in ("SPINE", "CIRCLE"):
        kinds = {entity.dxftype() for entity in space if entity.dxf.layer == layer}
        assert kinds <= {"CIRCLE", "LWPOLYLINE"}
    assert not [entity for entity in space.query("LWPOLYLINE") if entity.dxf.layer == "CIRCLE"]
    assert len([e for e in space if e.dxf.layer == "MARK"]) == 2 * len(
        [e for e in space if e.dxf.layer == "CIRCLE"]
    )


@pytest.mark.parametrize(("units", "code", "scale"), [("in", 1, 1.0), ("cm", 4, 25.4), ("mm", 4, 25.4)])
def test_dxf_is_in_the_plans_units_and_tells_its_extents(units: Any, code: int, scale: float) -> None:
    """$INSUNITS 1 inches, 4 millimetres; $EXTMIN and $EXTMAX: Autodesk's list of header variables."""
    found = patterns(layout_of(0), side="top")
    document = read(found, units)
    assert document.header["$INSUNITS"] == code
    assert document.header["$MEASUREMENT"] == (code == 4)
    side = measured_side(layout_of(0), "top")
    deep = max(
        side.border, side.corner.centre[1] + side.corner.radius
    )  # the corner circle reaches past the seam
    (low, high) = (document.header[name] for name in ("$EXTMIN", "$EXTMAX"))
    radii = sorted(c.dxf.radius for c in document.modelspace().query("CIRCLE"))
    assert radii[-1] == pytest.approx(side.corner.radius * scale, rel=1e-9)
    assert high[0] - low[0] == pytest.approx((side.middle + 0.5) * scale, rel=1e-6)
    assert high[1] - low[1] == pytest.approx(deep * scale, rel=1e-6)


def test_an_editor_shows_the_layers_of_the_svg_by_name() -> None:
    root = Xml.fromstring(pattern_svg("Test", patterns(layout_of(0)), "in", "STAMP7"))
    label, mode = (f"{{{EDITOR}}}{name}" for name in ("label", "groupmode"))
    sides = [group for group in root if group.get(mode) == "layer"]
    assert [group.get(label) for group in sides] == ["Top side", "Right side", "Bottom side", "Left side"]
    names = [layer.get(label) for layer in sides[0]]
    assert names[0] == "raw edge" and names[-1] == "text" and "spine" in names


MAKE_ALL = """
import hashlib
from planner.chalk.marking import Stance
from planner.sheets.chalk_pdf import chalk_pdf
from planner.sheets.handout_pdf import handout_pdf
from planner.sheets.paper import paper
from planner.sheets.pattern import patterns
from planner.sheets.pattern_dxf import pattern_dxf
from planner.sheets.pattern_pdf import pattern_pdf
from planner.sheets.pattern_svg import pattern_svg
from planner.sheets.templates_pdf import templates_pdf
from tests.planner.landed import example

layout, a4 = example(1, name="Zofie \u6ce2 \u017b"), paper("a4")
found = patterns(layout)
for body in (
    pattern_dxf(found, "in", layout.stamp), pattern_svg("Same", found, "in", layout.stamp).encode(),
    pattern_pdf(layout, found, a4),
    chalk_pdf(layout, Stance(), a4), handout_pdf(layout, a4), templates_pdf(layout, [3.0, 9.0], a4),
):
    print(hashlib.sha256(body).hexdigest())
"""


def test_same_plan_same_bytes_in_every_format_whatever_the_hash_seed() -> None:
    """Each time in a process of its own: sets and dictionaries come in another order there."""

    def sums(seed: str) -> list[str]:
        root = Path(__file__).parents[2]
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        done = subprocess.run(
            [sys.executable, "-c", MAKE_ALL],
            cwd=root,
            env=environment,
            capture_output=True,
            text=True,
            check=True,
        )
        return done.stdout.split()

    first = sums("1")
    assert len(set(first)) == 6
    assert sums("2") == first
