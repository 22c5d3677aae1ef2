"""The pattern shows all of the fill that lies on it, wherever a shape begins."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from io import StringIO
from math import dist

import ezdxf
import numpy as np
import pytest

from planner.border.layout import Layout, as_measured
from planner.chalk.measured import measured_side, ruler_motion
from planner.fills import fill
from planner.fills.shape import Shape
from planner.geometry.curves import Curve, Line
from planner.plan import Fill, Plan, SideLengths, SideName
from planner.sheets.drawing import Box, Label, Stroke
from planner.sheets.free import points_along
from planner.sheets.paper import PAPERS
from planner.sheets.pattern import patterns
from planner.sheets.pattern_dxf import pattern_dxf
from planner.sheets.pattern_pdf import sets_of, tile_page
from planner.sheets.pattern_svg import pattern_svg
from planner.sheets.pdf import Book, book_of
from planner.sheets.text import width
from planner.solver import choose
from planner.stitching.order import path_of
from tests.planner.border.test_strip import wide_bed
from tests.planner.landed import example


@pytest.mark.parametrize(
    ("points", "shown"),
    [
        (((1.0, 1.0), (2.0, 2.0)), True),
        (((40.0, 3.0), (20.0, 3.0)), True),  # begins past the middle, as half of a lattice's frame does
        (((40.0, 3.0), (41.0, 4.0)), False),  # on the other half
        (((10.0, 9.0), (10.0, 5.0)), True),  # begins beyond the seam
        (((10.0, 9.0), (12.0, 9.5)), False),
    ],
)
def test_a_shape_is_kept_by_where_it_lies(points: tuple[tuple[float, float], ...], shown: bool) -> None:
    layout = example(3)

    def grow(here: Layout, side: SideName) -> Iterable[Shape]:
        on = ruler_motion(here, side).undone()
        yield Shape("hatch", "", (Line(*(on.point(p) for p in points)),))

    (pattern,) = patterns(layout, side="top", grow=grow)
    assert bool(list(pattern.drawing.on("fill"))) is shown


def test_a_lattices_frame_is_whole_up_to_the_middle() -> None:
    layout = example(3, fill=Fill(kind="echo"))
    side = measured_side(layout, "top")
    (pattern,) = patterns(layout, side="top", grow=lambda here, name: fill(here, name).shapes())
    half = layout.choice.middle_in / 2
    inner_corner = (side.middle - half, side.border - 0.04)  # a sliver is kept clear of the seam's ditch
    points = [curve.start for stroke in pattern.drawing.on("fill") for curve in stroke.curves]
    points += [curve.end for stroke in pattern.drawing.on("fill") for curve in stroke.curves]
    assert min(abs(x - inner_corner[0]) + abs(y - inner_corner[1]) for x, y in points) < 1e-6


@pytest.mark.parametrize("filled", [False, True], ids=["spines alone", "filled"])
@pytest.mark.parametrize("corner", ["mirrored", "turning"])
def test_the_seam_strip_is_on_every_pattern_once(corner: str, filled: bool) -> None:
    """She marks its lines, filled or not: every one from its miter to the pattern's end, in every format."""
    layout = choose(wide_bed().model_copy(update={"corner": corner})).layout
    plan = layout.plan

    def grow(here: Layout, side: SideName) -> Iterable[Shape]:
        return fill(here, side).shapes()

    for side in ("top", "left"):
        here = measured_side(layout, side)  # type: ignore[arg-type]
        (pattern,) = patterns(layout, side=side, grow=grow if filled else None)  # type: ignore[arg-type]
        level = [
            s.curves[0]
            for s in pattern.drawing.on("seam strip")
            if s.curves[0].start[1] == s.curves[0].end[1]
        ]
        assert len(level) > 1
        box = pattern.drawing.box
        for drawn, straight in zip(level, here.strip, strict=True):
            assert drawn.start == straight.start
            assert drawn.end[0] == pytest.approx(min(straight.end[0], box.x + box.width))
        assert not any(lies_on(level, stroke) for stroke in pattern.drawing.on("fill"))
    every = patterns(layout, grow=grow if filled else None)
    strokes = sum(len(list(pattern.drawing.on("seam strip"))) for pattern in every)
    assert pattern_svg("", every, plan.units, "").count('<g class="layer-seam-strip"') == len(every)
    drawing = ezdxf.read(StringIO(pattern_dxf(every, plan.units, "").decode()))
    assert len(drawing.modelspace().query('LWPOLYLINE[layer=="SEAM_STRIP"]')) == strokes


def lies_on(lines: list[Curve], stroke: Stroke) -> bool:
    """Whether a stroke is a part of one of some level lines."""
    points = [curve.point(t) for curve in stroke.curves for t in (0.0, 0.5, 1.0)]
    return any(
        all(abs(y - one.start[1]) < 1e-6 and one.start[0] <= x <= one.end[0] for x, y in points)
        for one in lines
    )


@pytest.mark.parametrize("kind", ["", "feathers", "echo"])
def test_numbers_stand_in_free_paper_and_in_their_circles(kind: str) -> None:
    """Each number of the pattern, bare or filled: none is struck through but where there is no room at all."""
    layout = example(0, fill=Fill(kind=kind or "feathers"), sides=(50.0, 50.0, 50.0, 50.0))
    grown = (lambda here, name: fill(here, name).shapes()) if kind else None
    (pattern,) = patterns(layout, side="top", grow=grown)
    side = measured_side(layout, "top")
    numbers = {label.text: label for label in pattern.drawing.labels if label.bold}
    assert sorted(map(int, [text for text in numbers if text.isdecimal()])) == list(
        range(1, len(side.runs[0].circles) + 1)
    )
    ink = np.array(points_along(s for s in pattern.drawing.strokes if s.layer != "circle"))
    circles = {str(i): circle for i, circle in enumerate(side.runs[0].circles, 1)}
    for text, label in numbers.items():
        wide, (x, y) = width(label.text, 72 * label.size, bold=True) / 72, label.at
        inside = (ink > (x, y - 0.75 * label.size)) & (ink < (x + wide, y))
        assert label.bare or not inside.all(axis=1).any(), text
        if text in circles:
            assert dist((x + wide / 2, y - label.size / 2), circles[text].centre) <= circles[text].radius
    assert not any(label.bare for label in numbers.values())


def test_a_variegated_thread_falls_on_the_pattern_as_it_is_stitched() -> None:
    """The same lines, cut where the colour changes; size bounded by the thread there is."""
    layout = example(4, fill=Fill(kind="needles"))
    more = {"threads": [{"colours": ["#1f5a34", "#8fbf6a"], "repeat_in": 5.0}]}
    layout = replace(layout, plan=Plan.model_validate(layout.plan.model_dump() | more))
    grown = fill(as_measured(layout, "top"), "top")

    def inked(sewn: bool) -> list[Stroke]:
        (pattern,) = patterns(
            layout,
            side="top",
            grow=lambda here, name: grown.shapes(),
            sew=(lambda here, name: path_of(here, grown)) if sewn else None,
        )
        return list(pattern.drawing.on("fill"))

    mean, falls = inked(False), inked(True)
    assert len({stroke.colour for stroke in mean}) == 1
    assert len({stroke.colour for stroke in falls}) > 2
    lengths = [sum(curve.length for stroke in one for curve in stroke.curves) for one in (mean, falls)]
    assert lengths[1] == pytest.approx(lengths[0], rel=0.01)


@pytest.mark.parametrize("across", [80.0, 62.0, 51.0, 47.0])
def test_no_check_square_stands_on_words(across: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """Words that begin before a sheet are moved onto it: the square keeps clear of where they come to stand."""
    squares: list[Box] = []
    written: list[Box] = []

    def square(book: Book, x: float, y: float, side: float | None = None) -> None:
        squares.append(Box(x, y - (side or 4.0), side or 4.0, side or 4.0))

    def word(book: Book, label: Label, at: tuple[float, float]) -> None:
        long = width(label.text, label.size * 72, bold=label.bold) / 72
        written.append(Box(at[0], at[1] - label.size, long, label.size))

    monkeypatch.setattr(Book, "check_square", square)
    monkeypatch.setattr(Book, "label", word)
    plan = Plan(
        sides_in=SideLengths(top=across, right=60, bottom=across, left=60),
        border_in=SideLengths(top=6, right=6, bottom=6, left=6),
        cut_own=True,
    )
    layout = choose(plan).layout
    (pattern,) = patterns(layout, side="top")
    book = book_of(layout, "pattern", None)
    (one,) = sets_of([pattern.drawing], PAPERS["letter"], "in")
    tested = 0
    for column in range(one.tiling.columns):
        squares.clear(), written.clear()
        tile_page(book, layout, one, column, 0)
        for here in squares:
            tested += 1
            for words in written:
                assert (
                    words.x + words.width <= here.x
                    or words.x >= here.x + here.width
                    or words.y + words.height <= here.y
                    or words.y >= here.y + here.height
                )
    assert tested
