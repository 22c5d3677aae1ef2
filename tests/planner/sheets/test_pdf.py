"""The printed sheets: what stands on them, how many pages, exact sizes, names in any script."""

from __future__ import annotations

import re
import shutil
import subprocess
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pypdf import PdfReader

from planner.border.circles import diameters_of
from planner.border.layout import Layout, place
from planner.chalk.marking import Stance, mark_size, side_marks
from planner.chalk.steps import steps
from planner.demo import demo_choice, demo_plan
from planner.errors import PlanError
from planner.lengths import format_length
from planner.plan import Units
from planner.sheets.chalk_pdf import chalk_pdf
from planner.sheets.drawing import Drawing
from planner.sheets.figures import LETTERS_PT, STEP_WIDTH_IN, step_figures, strip
from planner.sheets.handout_pdf import handout_pdf, to_bring
from planner.sheets.paper import MARGIN_IN, paper
from planner.sheets.pattern import patterns
from planner.sheets.pattern_pdf import pattern_pdf
from planner.sheets.templates_pdf import AROUND_IN, BAR_HIGH_IN, missing, templates_pdf
from planner.sheets.text import fitted, width, wrap
from tests.planner.landed import STYLES, example, landed

STYLE_NUMBERS = range(len(STYLES))
LONG = "A very long plan name for a summer cloth that was begun in spring and is not bound yet, second try"
DPI = 300


def text_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)


@pytest.mark.parametrize("units", ["in", "cm", "mm"])
@pytest.mark.parametrize("style", STYLE_NUMBERS)
def test_the_chalk_sheet_has_every_reading(style: int, units: str) -> None:
    layout = example(style, units=units)
    words = text_of(chalk_pdf(layout, Stance(), paper("letter")))
    for table in side_marks(layout, Stance()):
        for mark in table.marks:
            assert str(mark.along) in words
            assert str(mark.depth) in words
    assert "true place" in words


@pytest.mark.parametrize("name", ["letter", "a4"])
@pytest.mark.parametrize("style", STYLE_NUMBERS)
def test_a_hand_out_takes_one_to_four_pages(style: int, name: str) -> None:
    layout = example(style, name=LONG, units="mm" if name == "a4" else "in")
    pdf = handout_pdf(layout, paper(name))
    assert 1 <= len(PdfReader(BytesIO(pdf)).pages) <= 4
    words = text_of(pdf)
    for heading in ("What to bring", "How to chalk it", "How to stitch it", "Common troubles", "Take care"):
        assert heading in words
    for caution in ("scrap", "iron", "Needle", "Rotary cutter", "Stand up"):
        assert caution in words


@pytest.mark.parametrize("style", STYLE_NUMBERS)
@pytest.mark.parametrize("stance", [Stance(), Stance(True, False), Stance(False, True), Stance(True, True)])
def test_each_step_has_its_drawing_and_each_mark_its_number(style: int, stance: Stance) -> None:
    layout = example(style)
    tables = side_marks(layout, stance)
    figures = step_figures(tables[0])
    titles = [step.title for step in steps(layout, tables)]
    assert titles[:5] == ["Guide lines", "Miter and middle", "Corner circle", "First curl", "Each circle on"]
    for step in steps(layout, tables):
        assert figures[step.figure].strokes
        assert _red(figures[step.figure]) or step.figure == "middle"
    for name in ("guides", "corner", "first"):
        readings = [label for label in figures[name].labels if label.bare]
        assert len(readings) == 2, f"{name}: along and in from the edge, or both guide lines"
    for table in tables:
        shown = [label.text for label in strip(table).labels]
        assert sorted(shown) == sorted(mark.name for mark in table.marks)


@pytest.mark.parametrize("units", ["in", "cm", "mm"])
@pytest.mark.parametrize("stance", [Stance(), Stance(left_handed=True), Stance(from_middle=True)])
def test_no_reading_hides_the_chalk_of_its_step(units: str, stance: Stance) -> None:
    plan = demo_plan().model_copy(update={"units": units})
    figures = step_figures(side_marks(place(plan, demo_choice()), stance)[0])
    for name in ("guides", "corner", "first"):
        drawing = figures[name]
        inch = drawing.box.width / STEP_WIDTH_IN
        labels = [label for label in drawing.labels if label.bare]
        assert labels
        for label in labels:
            left, foot = label.at
            right = left + width(label.text, LETTERS_PT, bold=True) / 72 * inch
            for stroke in drawing.on("now"):
                dots = [curve.point(share) for curve in stroke.curves for share in np.linspace(0, 1, 300)]
                assert not any(left < x < right and foot - label.size < y < foot for x, y in dots), name


def _red(drawing: Drawing) -> bool:
    return any(stroke.layer == "now" for stroke in drawing.strokes)


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="needs poppler-utils")
@pytest.mark.parametrize("diameter", [2.0, 4.0, 6.5])
def test_a_template_measures_its_diameter(diameter: float, tmp_path: Path) -> None:
    """Rendered at 300 dpi: the ink of the outline lies on its circle to 0.1 mm across, away from the marks."""
    source = tmp_path / "t.pdf"
    source.write_bytes(templates_pdf(example(0), [diameter], paper("letter")))
    subprocess.run(["pdftoppm", "-r", str(DPI), "-png", str(source), str(tmp_path / "t")], check=True)
    ink = 255.0 - np.asarray(Image.open(next(tmp_path.glob("t*.png"))).convert("L")).astype(float)
    centre = MARGIN_IN + AROUND_IN + diameter / 2
    y, x = np.nonzero(ink > 100)
    bar = BAR_HIGH_IN + 0.48  # above the first template, with its words
    across, down = (x + 0.5) / DPI - centre, (y + 0.5) / DPI - centre - bar
    far, quarter = np.hypot(across, down), np.abs(np.sin(2 * np.arctan2(down, across)))
    outline = (np.abs(far - diameter / 2) < 0.05) & (quarter > 0.5)
    assert outline.sum() > 200
    assert 2 * np.average(far[outline], weights=ink[y, x][outline]) == pytest.approx(diameter, abs=0.1 / 25.4)


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="needs poppler-utils")
@pytest.mark.parametrize(("units", "long_mm", "marks"), [("in", 152.4, 13), ("cm", 150.0, 16)])
def test_the_bar_to_test_the_printer_is_first_and_true(
    units: Units, long_mm: float, marks: int, tmp_path: Path
) -> None:
    """On the first page, before any template, even of those in several sheets: measured from mark to mark."""
    source = tmp_path / "t.pdf"
    source.write_bytes(templates_pdf(example(0, units=units), [7.9, 3.0], paper("letter")))
    subprocess.run(["pdftoppm", "-r", str(DPI), "-l", "1", "-png", "t.pdf", "t"], check=True, cwd=tmp_path)
    ink = 255.0 - np.asarray(Image.open(next(tmp_path.glob("t*.png"))).convert("L")).astype(float)
    line = int((MARGIN_IN + BAR_HIGH_IN) * DPI)
    row = ink[line - 8 : line - 4].mean(axis=0)  # just above its base line, across every mark
    inked = np.flatnonzero(row > 100)
    runs = np.split(inked, np.flatnonzero(np.diff(inked) > 1) + 1)
    places = [float(np.average(run, weights=row[run])) for run in runs]
    assert len(places) == marks
    assert (places[-1] - places[0]) / DPI * 25.4 == pytest.approx(long_mm, abs=0.1)
    assert np.ptp(np.diff(places)) < 1.5


@pytest.mark.parametrize(
    ("diameters", "name", "pages", "square"),
    [
        ([7.0], "a4", 1, "Check square: 2 in"),  # whole on the sheet, the squares below it
        ([7.0], "letter", 1, "Check square: 2 in"),
        ([3.5, 2.0], "a4", 1, "Check square: 4 in"),
        ([7.0, 3.5, 2.0], "a4", 2, "Check square: 4 in"),
        (
            [7.75],
            "a4",
            3,
            "Check square: 4 in",
        ),  # taped together; the squares on a sheet of their own
        ([3.0] * 6, "letter", 2, "Check square: 4 in"),
    ],
)
def test_templates_lie_whole_beside_the_check_squares(
    diameters: list[float], name: str, pages: int, square: str
) -> None:
    pdf = templates_pdf(example(0), diameters, paper(name))
    assert len(PdfReader(BytesIO(pdf)).pages) == pages
    assert square in " ".join(text_of(pdf).split())


def test_small_templates_fill_the_rows_of_large_ones() -> None:
    """Below the bar two rows of large circles, beside each a small one, and a square in what is left."""
    (page,) = PdfReader(BytesIO(templates_pdf(example(0), [4.8, 4.8, 1.5, 1.5], paper("a4")))).pages
    assert page.extract_text().count("cut on the line") == 4
    assert "Check square: 2 in" in page.extract_text()


def test_templates_are_those_she_lacks() -> None:
    layout = example(1, tin_in=(4.0, 5.0))
    assert diameters_of(layout) == pytest.approx([7.0, 4.0])
    assert missing(layout) == pytest.approx([7.0])
    with pytest.raises(PlanError) as refused:
        templates_pdf(layout, [], paper("a4"))
    assert refused.value.cure


@pytest.mark.parametrize("style", STYLE_NUMBERS)
def test_every_circle_that_is_to_be_cut_or_printed_has_its_template(style: int) -> None:
    """The chalk sheet's own words against the templates: hooks are drawn round a circle too."""
    layout = example(style)
    marks = [mark for table in side_marks(layout, Stance()) for mark in table.marks]
    named = {mark_size(layout, mark) for mark in marks}
    told = {
        size.removesuffix(" circle (cut or print it)") for size in named if size.endswith("(cut or print it)")
    }
    assert {format_length(size, "in") for size in missing(layout)} == told
    assert all(size.removesuffix(" in") in " ".join(to_bring(layout)) for size in told)


def test_a_circle_too_large_for_card_is_refused() -> None:
    with pytest.raises(PlanError) as refused:
        templates_pdf(example(0), [80.0], paper("a4"))
    assert "string" in refused.value.cure


@pytest.mark.parametrize(
    "name",
    [
        "Größe à l'été",
        "Žluťoučký kůň",
        "Zażółć gęślą jaźń",
        "波と桜のキルト",
        "中文拼布",
        "퀼트",
        "Привет",
        "🧵\n\t",
        "",
    ],
)
def test_names_in_any_script_are_set(name: str) -> None:
    layout = example(0, name=name)
    for pdf in (chalk_pdf(layout, Stance(), paper("a4")), handout_pdf(layout, paper("a4"))):
        assert len(PdfReader(BytesIO(pdf)).pages) > 0
    assert width(name, 10) >= 0


@pytest.mark.parametrize(
    ("name", "head", "note"),
    [
        ("Größe", "Größe", ""),
        ("My quilt 🧵", "My quilt", ""),
        ("中文拼布", "中文拼布", "If the name shows as empty boxes"),
        ("לחאף", "Quilt {stamp}", "letters that these sheets cannot set"),
        ("รุ้ง", "Quilt {stamp}", "letters that these sheets cannot set"),
    ],
)
def test_a_name_that_cannot_be_set_is_no_row_of_question_marks(name: str, head: str, note: str) -> None:
    layout = example(0, name=name)
    for pdf in (
        chalk_pdf(layout, Stance(), paper("a4")),
        handout_pdf(layout, paper("a4")),
        pattern_pdf(layout, patterns(layout, side="top"), paper("a4")),
    ):
        words = " ".join(PdfReader(BytesIO(pdf)).pages[0].extract_text().split())
        assert head.format(stamp=layout.stamp).replace(" ", "") in words.replace(" ", "")
        assert "?" not in words
        assert note in words
        assert note or "letters" not in words


def test_japanese_names_can_be_copied_from_the_sheet() -> None:
    assert "波と桜のキルト" in text_of(handout_pdf(example(0, name="波と桜のキルト"), paper("a4")))


def test_lines_are_wrapped_and_fitted_to_their_room() -> None:
    for line in wrap(LONG * 3 + " " + "x" * 300, 10, 200):
        assert width(line, 10) <= 200
    for room in range(60, 300, 7):
        assert any(
            "52 7/8 in" in line for line in wrap("Mark the middle 52 7/8 in from its corner.", 10, room)
        )
    assert width(fitted(LONG, 10, 120), 10) <= 120
    assert fitted("short", 10, 120) == "short"


def test_same_layout_same_bytes() -> None:
    def once(layout: Layout) -> bytes:
        return chalk_pdf(layout, Stance(), paper("a4")) + handout_pdf(layout, paper("a4"))

    assert once(example(1)) == once(example(1))


@pytest.mark.parametrize("name", ["letter", "a4"])
@pytest.mark.parametrize("units", ["in", "cm", "mm"])
@pytest.mark.parametrize("height", [60.0, 106.0, 130.0, 170.0, 240.0])
def test_no_few_readings_stand_alone_on_a_page(height: float, units: str, name: str) -> None:
    """A table is whole on its page, or each page holds several of its rows; the closing words follow rows."""
    layout = landed(*STYLES[1], sides=(90.0, height, 90.0, height), units=units)
    assert layout
    for page in PdfReader(BytesIO(chalk_pdf(layout, Stance(), paper(name)))).pages[1:]:
        text = page.extract_text()
        assert sum("clockwise" in line or "360" in line for line in text.splitlines()) >= 6
        assert re.search(r"\bsides?(, continued)? *\n", text), "whose readings these are"
        assert "From the edge" in text
