"""Fills with something behind them, judged by shapely; and the needle that stitches both in one line."""

from __future__ import annotations

from itertools import product
from math import radians
from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from planner.border.layout import Layout, place
from planner.fills import fill
from planner.fills.backgrounds import BACKGROUNDS, background_of
from planner.fills.growing.style import Style
from planner.fills.shape import FillOfLayout
from planner.fills.styles import FILLS
from planner.plan import SIDES, Plan
from planner.solver import propose
from planner.stitching.order import path_of
from planner.supplies.work import ESTIMATE_WITHIN, estimated_work
from tests.outside.fill_judge import CHORD_IN, Drawing, crossings, judge

BEHIND = [kind for kind, one in BACKGROUNDS.items() if one.draw]
OPENED = [kind for kind, one in FILLS.items() if isinstance(one.style, Style)]
STYLES = (
    *product(("mirrored",), ("butted", "full_circle", "little_spines", "wreath", "lattice")),
    ("turning", "any"),
    ("easy_going", "any"),
)
Case = tuple[str, str, float, str, str]  # background, fill, width of the border, corner style, meeting
EVERY: list[Case] = [
    (background, kind, width, *style)
    for background, kind, width, style in product(BEHIND, OPENED, (4.0, 6.0, 8.0, 12.0), STYLES)
]
ORDINARY = [
    ("feathers", 6.0, "mirrored", "wreath"),
    ("leaves", 4.0, "turning", "any"),
    ("feathers", 8.0, "easy_going", "any"),
]
IN_THE_MIDDLE = (
    "echo_line",
    "feathers",
    4.0,
    "mirrored",
    "little_spines",
)  # a drop stands on the middle line


def laid_out(background: str, kind: str, width: float, corner: str, meeting: str) -> Layout | None:
    """A quilt half as large again as its borders are wide, all four alike; None where nothing lands."""
    plan = Plan.model_validate(
        {
            "sides_in": dict.fromkeys(SIDES, 6.5 * width),
            "border_in": dict.fromkeys(SIDES, width),
            "cut_own": True,
            "corner": corner,
            "meeting": meeting,
            "background": background,
            "fill": {"kind": kind},
        }
    )
    found = propose(plan).proposals
    return place(plan, found[0].choice) if found else None


def wide(background: str, kind: str, corner: str) -> Layout:
    """A large quilt with borders of 12 in."""
    across, down = 66.0, 84.0
    plan = Plan.model_validate(
        {
            "sides_in": {"top": across, "right": down, "bottom": across, "left": down},
            "border_in": dict.fromkeys(SIDES, 12),
            "tin_in": [n / 8 for n in range(8, 60, 2)],
            "corner": corner,
            "background": background,
            "fill": {"kind": kind},
        }
    )
    return place(plan, propose(plan).proposals[0].choice)


def _case(case: Case) -> object:
    marks = () if case[1:] in ORDINARY or case == IN_THE_MIDDLE else (pytest.mark.long,)
    return pytest.param(case, marks=marks, id="-".join(map(str, case)))


@pytest.mark.parametrize("case", [_case(case) for case in EVERY])
def test_nothing_is_wrong_with_a_background(case: Case) -> None:
    layout = laid_out(*case)
    if layout is None:
        pytest.skip("nothing lands in so small a quilt")
    found = fill(layout)
    judged = judge(layout, found)
    assert not judged.spine_crossings, "crosses a spine"
    assert not judged.crossings, "shapes cross"
    assert not judged.outside, "outside the border"
    assert not judged.thin, "thinner than the smallest feature"
    assert not [fault for fault in judged.in_the_air if fault[1] != "strip"], "begins in the air"
    assert judged.hole <= 0.5 * layout.room, f"a hole of {judged.hole:.2f} in at {judged.hole_at}"
    assert not list(_in_shapes(Drawing(layout, found), BACKGROUNDS[case[0]].shape)), "lies on a shape"
    path = path_of(layout, found)
    plain = laid_out("none", *case[1:])
    assert plain is not None
    assert path.starts <= path_of(plain, fill(plain)).starts, "the thread is cut for it"
    assert estimated_work(layout).stitching_in == pytest.approx(path.length, rel=ESTIMATE_WITHIN)


@pytest.mark.parametrize(
    ("background", "kind"),
    [("pebbles", "holly"), ("echo_line", "flowers")],
    ids=["a prickle between two points", "a step out to the line over the next pocket's leaf"],
)
def test_nothing_behind_crosses_what_stands_before_it(background: str, kind: str) -> None:
    """24 pebbles lay over prickles; at the inner corners the echo line was reached over a leaf."""
    layout = wide(background, kind, "easy_going")
    assert not judge(layout, fill(layout)).crossings


def _in_shapes(drawing: Drawing, shape: str) -> list[BaseGeometry]:
    """Lines of a background that lie within a shape of the fill."""
    behind = np.array([s.kind == shape for s, *_ in drawing.shapes])
    bodies = np.array(drawing.bodies) & ~behind
    cloth = [
        shapely.make_valid(shapely.Polygon(points))
        for points, body in zip(drawing.cloths, bodies, strict=True)
        if body
    ]
    middles = np.asarray([shapely.Point(p[len(p) // 2]) for p in drawing.points])[behind]
    hit = shapely.STRtree(cloth).query(middles, predicate="within")[0]
    return list(middles[np.unique(hit)])


@pytest.mark.parametrize(
    ("kind", "corner"),
    [("feathers", "mirrored"), ("needles", "turning"), ("needles", "easy_going")],
    ids=[
        "open middles",
        "a needle over the line between two pockets",
        "three pockets in a corner of the seam",
    ],
)
def test_the_echo_line_goes_on_from_pocket_to_pocket(kind: str, corner: str) -> None:
    """Seen as a graph it is two rings, one along either edge, with the steps that lead out to it; none has a thorn.

    Where a needle reached into the next pocket both lines dipped between them, and crossed; at the corner of a seam
    they ended before they met.
    """
    layout = wide("echo_line", kind, corner)
    rings = rings_of(fill(layout))
    width, height = layout.quilt.width, layout.quilt.height
    assert len(rings) == 2
    assert sum(ring.covers(shapely.Point(width / 2, height / 2)) for ring in rings) == 1
    for ring in rings:
        x, y = np.diff(shapely.get_coordinates(ring.exterior), axis=0).T
        turns = np.abs(np.angle(np.exp(1j * np.diff(np.arctan2(y, x)))))
        assert turns.max() < radians(30)


@pytest.mark.parametrize(
    ("kind", "width", "corner", "meeting"),
    [
        ("feathers", 3.5, "mirrored", "wreath"),
        ("holly", 6.0, "easy_going", "any"),
        ("ribbon", 6.0, "mirrored", "wreath"),
    ],
    ids=[
        "what stands in one of two images only",
        "a circle all but past the corner of the seam",
        "two steps out from the same shape",
    ],
)
def test_the_echo_line_crosses_nothing(kind: str, width: float, corner: str, meeting: str) -> None:
    """A step out to it lay over a drop on the middle line, or over another step; round short corners it looped."""
    layout = laid_out("echo_line", kind, width, corner, meeting)
    assert layout is not None
    found = fill(layout)
    assert len(rings_of(found)) == 2
    assert not list(crossings(Drawing(layout, found)))


@pytest.mark.parametrize(
    ("across", "down", "widths", "circles", "more"),
    [
        (82, 100, (4, 4), range(8, 60, 2), {"meeting": "wreath", "fill": {"kind": "feathers"}}),
        (30.039, 28.2475, (3, 4), range(8, 64, 2), {"corner": "turning", "fill": {"kind": "needles"}}),
    ],
    ids=[
        "two corners of a ground a rounding apart: nothing at all was drawn",
        "nothing of a pocket near enough for a step out to the line: its part was left out",
    ],
)
def test_the_echo_line_goes_on_all_round(
    across: float, down: float, widths: tuple[float, float], circles: range, more: dict[str, Any]
) -> None:
    level, upright = widths
    plan = Plan.model_validate(
        {
            "sides_in": {"top": across, "right": down, "bottom": across, "left": down},
            "border_in": {"top": level, "right": upright, "bottom": level, "left": upright},
            "tin_in": [n / 8 for n in circles],
            "background": "echo_line",
            **more,
        }
    )
    for proposal in propose(plan).proposals[:3]:
        assert len(rings_of(fill(place(plan, proposal.choice)))) == 2


def rings_of(found: FillOfLayout) -> list[shapely.Polygon]:
    """What the echo lines of a fill enclose, each ring without the next one within it."""
    shapes = [s.moved(copy.motion, None) for copy in found.copies for s in found.cells[copy.cell].shapes]
    curves = [curve for s in shapes if s.kind == "echo_line" for curve in s.curves]
    parts = [shapely.set_precision(shapely.LineString(c.points(CHORD_IN)), 1e-7) for c in curves]
    return list(shapely.get_parts(shapely.polygonize(parts)))


def test_lines_that_go_to_the_edge_leave_nothing_open() -> None:
    plan = Plan.model_validate(
        {
            "sides_in": dict.fromkeys(SIDES, 40),
            "border_in": dict.fromkeys(SIDES, 6),
            "background": BEHIND[0],
            "fill": {"kind": "echo"},
        }
    )
    assert background_of(plan).draw is None


def test_old_plans_have_nothing_behind_their_fill() -> None:
    assert next(iter(BACKGROUNDS)) == Plan.model_fields["background"].default == "none"
    assert BACKGROUNDS["none"].draw is None and BACKGROUNDS["none"].reach == float("inf")
