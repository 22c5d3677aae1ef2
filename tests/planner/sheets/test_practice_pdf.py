"""The practice sheet: at full size on the rendered page, with less and less to go by, in the needle's own order."""

from __future__ import annotations

import re
import shutil
import subprocess
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from pypdf import PdfReader

from planner.border.layout import Layout
from planner.fills import fill
from planner.fills.shape import Shape
from planner.geometry.curves import Line
from planner.plan import Fill
from planner.sheets.drawing import half_round
from planner.sheets.paper import paper
from planner.sheets.practice import STAGES, _uncut, exercises
from planner.sheets.practice_pdf import practice_pdf
from planner.sheets.text import width
from planner.stitching.order import path_of
from tests.planner.landed import example, landed, wall_hanging

DPI = 200
LAYOUT = example(0)
FILL = fill(LAYOUT)
PATH = path_of(LAYOUT, FILL)
EXERCISES = exercises(LAYOUT, FILL, PATH)


def rendered(pdf: bytes, folder: Path, number: int) -> NDArray[np.float64]:
    """Darkness of one page, 0 to 255."""
    (folder / "p.pdf").write_bytes(pdf)
    command = ["pdftoppm", "-r", str(DPI), "-f", str(number), "-l", str(number), "-png", "p.pdf", "p"]
    subprocess.run(command, check=True, cwd=folder)
    return 255.0 - np.asarray(Image.open(next(folder.glob("p*.png"))).convert("L")).astype(float)


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="needs poppler-utils")
@pytest.mark.parametrize("name", ["letter", "a4"])
def test_the_circle_of_the_curl_is_at_full_size(name: str, tmp_path: Path) -> None:
    """The page with the spine alone: a circle through its ink has the template's diameter to 0.2 mm."""
    layout = landed("mirrored", "butted", 0.0, 1.7, 2.3, widths=(6.0,) * 4)
    assert layout
    grown = fill(layout)
    todo = exercises(layout, grown, path_of(layout, grown))
    pdf = practice_pdf(layout, todo, paper(name))
    words = [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]
    number = next(n for n, text in enumerate(words, 1) if "A curl 3" in text)
    ink = rendered(pdf, tmp_path, number)
    box = todo[1].drawings[2].box
    edge = np.argmax(ink.sum(axis=1)) / DPI  # the raw edge is the one line across
    strokes = todo[1].drawings[2].strokes
    centre = next(s.curves[0].centre for s in strokes if s.layer == "spine")  # type: ignore[union-attr]
    foot = next(s.curves[0].start[1] for s in strokes if s.layer == "raw edge")
    assert foot > centre[1]  # as she stands there
    x, y = ((v + 0.5) / DPI for v in np.nonzero(ink > 200)[::-1])
    across = x - (paper(name).width - box.width) / 2 - (centre[0] - box.x)
    down = y - edge - (centre[1] - foot)
    radius = layout.choice.run_diameter_in / 2
    near = np.abs(np.hypot(across, down) - radius) < 0.06
    assert near.sum() > 500
    mine = np.stack((across[near], down[near], np.ones(near.sum())), axis=1)
    a, b, c = np.linalg.lstsq(mine, across[near] ** 2 + down[near] ** 2, rcond=None)[0]  # Kåsa's circle
    assert 2 * np.sqrt(c + a * a / 4 + b * b / 4) == pytest.approx(2 * radius, abs=0.2 / 25.4)


def test_each_stage_leaves_more_to_her() -> None:
    for exercise in EXERCISES:
        shown = [
            [s.layer for s in drawing.strokes if s.layer in ("spine", "fill", "dots")]
            for drawing in exercise.drawings
        ]
        assert len(shown) == len(STAGES) == 4
        traced, dotted, spine, bare = map(set, shown)
        assert traced == {"spine", "fill"} and dotted == {"dots"} and spine == {"spine"} and not bare
        assert len(shown[1]) == len(shown[0]) > 10  # the same lines, only as dots
        guides = [sum(s.layer == "guide line" for s in drawing.strokes) for drawing in exercise.drawings]
        assert len(set(guides)) == 1 and guides[0] >= 2
        assert [bool(drawing.labels) for drawing in exercise.drawings] == [True, False, False, False]


@pytest.mark.parametrize("kind", ["feathers", pytest.param("flowers", marks=pytest.mark.long), "echo"])
def test_numbers_are_read_and_the_paper_cuts_none(kind: str) -> None:
    layout = example(0, fill=Fill(kind=kind))  # type: ignore[arg-type]
    grown = fill(layout)
    for exercise in exercises(layout, grown, path_of(layout, grown)):
        first = half_round(exercise.drawings[0])  # words begin where they stand
        numbers = [int(label.text) for label in first.labels]
        assert numbers == sorted(set(numbers)) and len(numbers) > 4
        boxes = [
            (
                label.at[0],
                label.at[1] - label.size,
                label.at[0] + width(label.text, label.size * 72, bold=True) / 72,
                label.at[1],
            )
            for label in first.labels
        ]
        box = first.box
        for n, (left, top, right, foot) in enumerate(boxes):
            assert box.x < left and right < box.x + box.width and box.y < top and foot < box.y + box.height
            assert not any(left < r and le < right and top < f and t < foot for le, t, r, f in boxes[:n])


@pytest.mark.long
def test_what_lies_behind_the_fill_has_no_numbers() -> None:
    """Hundreds of pebbles would hide the numbers that count; they are traced like all else."""
    layout = wall_hanging(background="pebbles")
    grown = fill(layout)
    behind = sum(shape.kind == "pebble" for shape in grown.shapes())
    corner, _ = exercises(layout, grown, path_of(layout, grown))
    first = corner.drawings[0]
    numbers = max(int(label.text) for label in first.labels)
    drawn = len(list(first.on("fill")))
    assert behind > 500
    assert 10 < numbers < drawn / 2


def test_numbers_go_as_the_needle_goes() -> None:
    """The lowest number stands at what the path stitches first: along a spine, with an arrow the needle's way."""
    for exercise in EXERCISES:
        there = half_round(exercise.drawings[0])  # as the quilt lies
        arrows = [s for s in there.strokes if s.layer == "now"]
        assert arrows
        for arrow in arrows:
            tip = arrow.curves[0].end
            tail = np.mean([arrow.curves[0].start, arrow.curves[1].end], axis=0)
            moves = [m for m in PATH.segments if m.shape is None and not m.again]
            nearest = min(moves, key=lambda m: np.hypot(*np.subtract(m.strand.point(sum(m.places) / 2), tip)))
            ahead = np.subtract(
                nearest.strand.point(nearest.places[0] * 0.49 + nearest.places[1] * 0.51), tip
            )
            assert np.dot(ahead, np.subtract(tip, tail)) > 0


@pytest.mark.parametrize(
    "layout",
    [
        LAYOUT,
        example(5),
        pytest.param(
            landed("mirrored", "butted", 0.0, 3.2, 5.5, sides=(90.0, 96.0, 90.0, 96.0), widths=(12.0,) * 4),
            marks=pytest.mark.long,
        ),
    ],
    ids=["8 in", "easy-going", "12 in"],
)
def test_the_sheet_is_whole_in_every_border(layout: Layout) -> None:
    grown = FILL if layout is LAYOUT else fill(layout)
    pdf = practice_pdf(layout, exercises(layout, grown, path_of(layout, grown)), paper("letter"))
    reader = PdfReader(BytesIO(pdf))
    words = [" ".join(page.extract_text().split()) for page in reader.pages]
    assert "Take care" in words[0] and "Check square" in words[0] and "scrap" in words[0]
    assert all(layout.stamp in page for page in words)
    for page, text in enumerate(words, 1):
        assert (found := re.search(r"page (\d+)", text)) is None or int(found[1]) == page
    titles = " ".join(words)
    assert all(stage.title.lower() in titles.lower() for stage in STAGES)


def test_a_vein_goes_with_its_leaf() -> None:
    """A leaf that the piece would cut is left out, and so is what lies inside it; its neighbour stays whole."""

    def leaf(x: float) -> tuple[Shape, Shape]:
        corners = ((x, 0.0), (x + 0.3, 0.5), (x, 1.0), (x - 0.3, 0.5), (x, 0.0))
        outline = tuple(Line(a, b) for a, b in pairwise(corners))
        return Shape("leaf", None, outline), Shape("stem", None, (Line((x, 0.1), (x, 0.6)),))

    shapes = dict(enumerate((*leaf(0.0), *leaf(2.0))))
    assert _uncut(shapes, lambda p: p[0] < 2.1) == {0: shapes[0], 1: shapes[1]}
    assert _uncut(shapes, lambda p: p[0] < 3.0) == shapes
