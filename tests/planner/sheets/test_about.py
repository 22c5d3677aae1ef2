"""What a PDF says of itself, read back by pypdf."""

from __future__ import annotations

from io import BytesIO

import pytest
from pypdf import PdfReader

from planner.chalk.marking import Stance
from planner.fills import fill
from planner.sheets.chalk_pdf import chalk_pdf
from planner.sheets.handout_pdf import handout_pdf
from planner.sheets.paper import paper
from planner.sheets.pattern import patterns
from planner.sheets.pattern_pdf import pattern_pdf
from planner.sheets.practice import exercises
from planner.sheets.practice_pdf import practice_pdf
from planner.sheets.templates_pdf import templates_pdf
from planner.stitching.order import path_of
from tests.planner.landed import example

SAVED = 1_793_000_000.25  # 26 October 2026, 07:33:20 UTC
LAYOUT = example(1, name="Żółta łąka 波")
A4 = paper("a4")
FILL = fill(LAYOUT)
EXERCISES = exercises(LAYOUT, FILL, path_of(LAYOUT, FILL))


def sheets(saved_at: float | None) -> dict[str, bytes]:
    return {
        "chalk sheet": chalk_pdf(LAYOUT, Stance(), A4, saved_at),
        "class hand-out": handout_pdf(LAYOUT, A4, (), saved_at),
        "circle templates": templates_pdf(LAYOUT, [3.0, 9.0], A4, saved_at),
        "practice sheet": practice_pdf(LAYOUT, EXERCISES, A4, saved_at),
        "full-size pattern": pattern_pdf(LAYOUT, patterns(LAYOUT, side="top"), A4, saved_at=saved_at),
    }


def test_every_sheet_says_what_it_is_of_and_when_that_was_saved() -> None:
    for what, body in sheets(SAVED).items():
        reader = PdfReader(BytesIO(body))
        info = reader.metadata
        assert info is not None
        assert info.title == f"Żółta łąka 波: {what}"
        assert info.author == "Cornerwise"
        assert (info.subject or "").startswith("Quilt border of ")
        assert info.creation_date_raw == "D:20261026073320+00'00'"
        root = reader.trailer["/Root"]
        assert root["/Lang"] == "en"  # type: ignore[index]
        assert root["/ViewerPreferences"]["/DisplayDocTitle"].value is True  # type: ignore[index]


def test_what_was_never_saved_has_no_made_up_date() -> None:
    for body in sheets(None).values():
        assert b"CreationDate" not in body
        assert b"D:2000" not in body


def test_the_same_version_gives_the_same_bytes_and_another_only_another_date() -> None:
    assert sheets(SAVED) == sheets(SAVED)
    assert sheets(SAVED) != sheets(SAVED + 60)


@pytest.mark.parametrize(
    "name", ["Žluťoučký kůň", "Zażółć gęślą jaźń", "Привет", "Κεντήστρα", "Đà Lạt, Ñandú"]
)
def test_every_letter_is_in_an_embedded_font_and_can_be_copied(name: str) -> None:
    reader = PdfReader(BytesIO(chalk_pdf(example(0, name=name), Stance(), A4)))
    page = reader.pages[0]
    assert name in page.extract_text()
    fonts = page["/Resources"]["/Font"]  # type: ignore[index]
    for font in fonts.values():
        descriptor = font.get_object().get("/FontDescriptor")
        assert descriptor is not None and "/FontFile2" in descriptor.get_object()
