"""What a PDF says to one who hears it: the tree is read back by pypdf, and each piece found on its page."""

from __future__ import annotations

import re
from io import BytesIO
from typing import Any

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

LAYOUT, A4 = example(1), paper("a4")
FILL = fill(LAYOUT)
SHEETS = {
    "chalk": chalk_pdf(LAYOUT, Stance(), A4),
    "handout": handout_pdf(LAYOUT, A4),
    "pattern": pattern_pdf(LAYOUT, patterns(LAYOUT, side="top"), A4),
    "practice": practice_pdf(LAYOUT, exercises(LAYOUT, FILL, path_of(LAYOUT, FILL)), A4),
    "templates": templates_pdf(LAYOUT, [9.0, 3.0], A4),
}


def leaves(element: Any, kinds: tuple[str, ...] = ()) -> list[tuple[tuple[str, ...], Any]]:
    """Every element that holds content, with the kinds it stands under."""
    element = element.get_object()
    here = (*kinds, str(element.get("/S", "")))
    inside = element["/K"]
    if isinstance(inside, int):
        return [(here, element)]
    return [leaf for one in inside for leaf in leaves(one, here)]


@pytest.mark.parametrize("name", SHEETS)
def test_every_piece_of_the_tree_is_on_its_page_and_every_piece_of_a_page_in_the_tree(name: str) -> None:
    reader = PdfReader(BytesIO(SHEETS[name]))
    root: Any = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"].value is True
    found = leaves(root["/StructTreeRoot"])
    nums = root["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    for number, page in enumerate(reader.pages):
        content = page.get_contents()
        assert content is not None
        stream = content.get_data().decode("latin-1")
        marks = [int(n) for n in re.findall(r"<</MCID (\d+)>> BDC", stream)]
        assert stream.count(" BDC") + stream.count(" BMC") == stream.count("EMC")
        mine = [e for _, e in found if e["/Pg"].get_object() == page.get_object()]
        assert sorted(e["/K"] for e in mine) == marks == list(range(len(marks)))
        assert page["/StructParents"] == number
        assert [ref.get_object()["/K"] for ref in nums[2 * number + 1]] == marks


@pytest.mark.parametrize("name", SHEETS)
def test_nothing_is_drawn_outside_what_is_marked(name: str) -> None:
    for page in PdfReader(BytesIO(SHEETS[name])).pages:
        content = page.get_contents()
        assert content is not None
        stream = content.get_data().decode("latin-1")
        outside = re.sub(r"/\w+ (?:<</MCID \d+>> BDC|BMC)\b.*?\bEMC\b", "", stream, flags=re.DOTALL)
        assert not re.search(r"\b(?:Tj|TJ|Do|S|f|f\*|B)\s*$", outside, flags=re.MULTILINE)


def test_a_table_is_a_table_and_a_figure_has_words() -> None:
    root: Any = PdfReader(BytesIO(SHEETS["chalk"])).trailer["/Root"]
    found = leaves(root["/StructTreeRoot"])
    cells = [kinds for kinds, _ in found if kinds[-1] in ("/TH", "/TD")]
    assert cells and all(kinds[-3:-1] == ("/Table", "/TR") for kinds in cells)
    assert all(element.get("/Alt") for kinds, element in found if kinds[-1] == "/Figure")
    assert {kinds[-1] for kinds, _ in found} == {"/H1", "/H2", "/H3", "/P", "/TH", "/TD", "/Figure"}
