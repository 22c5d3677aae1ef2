"""Paper on which a pattern is printed at true scale, measured from the rendered page.

Sizes: A4 210 x 297 mm, A3 297 x 420 mm (ISO 216, as the npm package paper-sizes documents it); Letter 8.5 x
11 in (ANSI). PDF's unit is 1/72 in (ISO 32000-1, 8.3.2): Letter 612 x 792, A4 595.275591 x 841.889764.
"""

from __future__ import annotations

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
from planner.plan import Units
from planner.sheets.drawing import Box
from planner.sheets.free import free_square
from planner.sheets.paper import MARGIN_IN, OVERLAP_IN, paper
from planner.sheets.pattern import patterns
from planner.sheets.pattern_pdf import pattern_pdf, sets_of
from planner.sheets.pdf import Book
from tests.planner.landed import example

DPI = 300
PIXEL_MM = 25.4 / DPI


def rendered(pdf: bytes, tmp_path: Path, first: int, last: int, dpi: int = DPI) -> list[NDArray[np.uint8]]:
    """Pages as grey or coloured pixels, (rows, columns, 3)."""
    source = tmp_path / "sheet.pdf"
    source.write_bytes(pdf)
    command = [
        "pdftoppm",
        "-r",
        str(dpi),
        "-f",
        str(first),
        "-l",
        str(last),
        "-png",
        str(source),
        str(tmp_path / "page"),
    ]
    subprocess.run(command, check=True)
    return [np.asarray(Image.open(page).convert("RGB")) for page in sorted(tmp_path.glob("page*.png"))]


@pytest.fixture(scope="module")
def layout() -> Layout:
    return example(0)


@pytest.fixture(scope="module")
def letter(layout: Layout) -> bytes:
    return pattern_pdf(layout, patterns(layout, side="top"), paper("letter"))


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("letter", {612.0, 792.0}),
        ("a4", {595.275591, 841.889764}),
        ("a3", {841.889764, 1190.551181}),
    ],
)
def test_page_boxes_are_the_standard_sizes(layout: Layout, name: str, size: set[float]) -> None:
    reader = PdfReader(BytesIO(pattern_pdf(layout, patterns(layout, side="top"), paper(name))))
    assert len(reader.pages) > 1
    for page in reader.pages:
        box = [float(page.mediabox.width), float(page.mediabox.height)]
        assert sorted(box) == pytest.approx(sorted(size), abs=1e-3)  # written with seven figures


def test_viewers_are_told_not_to_scale(letter: bytes) -> None:
    root = PdfReader(BytesIO(letter)).trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"  # type: ignore[index]


@pytest.mark.parametrize(("units", "side_mm"), [("in", 101.6), ("cm", 100.0), ("mm", 100.0)])
def test_the_check_square_measures_what_it_says(units: Units, side_mm: float, tmp_path: Path) -> None:
    """Edges found as the darkest rows and columns of the rendered square."""
    book = Book("square", units)
    book.page(8.5, 11)
    book.check_square(1.0, 10.0)
    page = 255.0 - rendered(book.done(), tmp_path, 1, 1)[0].mean(axis=2)
    inside = page[int(7.5 * DPI) : int(9.5 * DPI), :]  # rows that cross both upright edges
    left, right = _centres(np.median(inside, axis=0))
    assert (right - left) * PIXEL_MM == pytest.approx(side_mm, abs=0.2)
    edges = _centres(np.median(page[:, int(1.5 * DPI) : int(4.5 * DPI)], axis=1))  # words between them
    assert (edges[-1] - edges[0]) * PIXEL_MM == pytest.approx(side_mm, abs=0.2)


def test_the_cover_has_a_square_and_every_sheet_the_words(letter: bytes) -> None:
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(letter)).pages]
    assert "Check square: 4 in each way" in pages[0]
    assert all("Print at 100 % (actual size)" in words for words in pages)


@pytest.mark.parametrize("name", ["letter", "a4", "a3"])
def test_no_check_square_covers_a_line(layout: Layout, name: str, tmp_path: Path) -> None:
    """On the rendered page: inside the frame of a square there is no ink but its own words'."""
    pdf = pattern_pdf(layout, patterns(layout, side="top"), paper(name))
    dpi, found = 60, 0
    for page in rendered(pdf, tmp_path, 2, 99, dpi):
        red, green, blue = (page[..., i].astype(int) for i in range(3))
        teal = (green - red > 25) & (np.abs(green - blue) < 12)  # the squares' pen, and nothing else's
        rows, columns = np.nonzero(teal)
        if not len(rows):
            continue
        found += 1
        inside = page[rows.min() + 2 : rows.max() - 1, columns.min() + 2 : columns.max() - 1].astype(int)
        grey = np.ptp(inside, axis=2) < 25
        assert not (grey & (inside.sum(axis=2) < 500)).any()
    assert found or name != "a3"  # a sheet that large has empty paper


@pytest.mark.parametrize("dots", [0, 1, 12])
def test_a_square_is_found_wherever_one_is_free(dots: int) -> None:
    """Against every place tried in turn, a tenth of an inch apart."""
    random = np.random.default_rng(dots)
    within = Box(0.5, 0.5, 7.5, 10.0)
    taken = random.uniform((0, 0), (8.5, 11), size=(dots, 2))
    spot = free_square(taken, within, 2.0)

    def free(x: float, y: float, clear: float) -> bool:
        beside = (taken > (x - clear, y - 2.0 - clear)) & (taken < (x + 2.0 + clear, y + clear))
        return not beside.all(axis=1).any()

    tried = [(x, y) for x in np.arange(0.65, 5.9, 0.1) for y in np.arange(2.65, 10.3, 0.1)]
    assert (spot is not None) >= any(free(x, y, 0.2) for x, y in tried)
    if spot:
        assert free(*spot, 0.05)


def test_neighbouring_tiles_show_the_same_overlap(layout: Layout, letter: bytes, tmp_path: Path) -> None:
    """The spine on one tile meets its neighbour within 0.1 mm: dark ink in the overlap strip, row by row."""
    (one,) = sets_of([patterns(layout, side="top")[0].drawing], paper("letter"), "in")
    assert one.tiling.rows == 1
    pages = rendered(letter, tmp_path, 2, 1 + one.tiling.sheets)
    margin = MARGIN_IN * DPI
    checked = 0
    for left, right in pairwise(pages):
        window = one.tiling.window_width * DPI
        share = np.linspace(0.15, 0.35, 9)  # beside the trim line, clear of the check squares' words
        for part in share:
            offset = part * OVERLAP_IN * DPI
            here = _spine_rows(left, margin + window - OVERLAP_IN * DPI + offset)
            there = _spine_rows(right, margin + offset)
            assert len(here) == len(there)
            assert np.allclose(here, there, atol=0.1 / PIXEL_MM)
            checked += len(here)
    assert checked > 30


def test_a_shifted_tile_would_be_noticed(layout: Layout, letter: bytes, tmp_path: Path) -> None:
    """The comparison above can fail: shift one page by half a millimetre and the rows no longer agree."""
    page = rendered(letter, tmp_path, 3, 3)[0]
    shifted = np.roll(page, round(0.5 / PIXEL_MM), axis=0)
    at = (MARGIN_IN + 0.3 * OVERLAP_IN) * DPI
    assert not np.allclose(_spine_rows(page, at), _spine_rows(shifted, at), atol=0.1 / PIXEL_MM)


def _spine_rows(page: NDArray[np.uint8], column: float) -> NDArray[np.float64]:
    """Centres of the solid near-black strokes (raw edge, spine) that cross a column, pixels from the top.

    The column lies between two pixels; both neighbours are read and weighed.
    """
    low = int(np.floor(column - 0.5))
    weight = column - 0.5 - low
    strip = (1 - weight) * page[:, low].astype(float) + weight * page[:, low + 1].astype(float)
    dark = 255.0 - strip.max(axis=1)
    dark[: int((MARGIN_IN + 0.25 + 0.1) * DPI)] = 0.0  # the dashed seam, and the words above it
    dark[int((MARGIN_IN + 0.25 + 8.04) * DPI) :] = 0.0  # the words below the raw edge
    return _centres(np.where(dark > 100, dark, 0.0), floor=1.0)


def _centres(profile: NDArray[np.float64], floor: float = 20.0) -> NDArray[np.float64]:
    """Weighted centres of the runs of ink in a profile, in pixels."""
    found = []
    inked = np.flatnonzero(profile > floor)
    for run in np.split(inked, np.flatnonzero(np.diff(inked) > 1) + 1):
        if run.size:
            found.append(float(np.average(run + 0.5, weights=profile[run])))
    return np.array(found)
