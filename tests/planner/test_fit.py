"""Words are made fit once: whatever she calls her quilt, every picture, sheet and file of it can be read."""

from __future__ import annotations

from io import BytesIO, StringIO
from xml.etree import ElementTree

import ezdxf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from planner.border.layout import Layout
from planner.chalk.marking import Stance
from planner.demo import demo_plan
from planner.fit import fit
from planner.pictures import picture
from planner.plan import Plan
from planner.sheets.chalk_pdf import chalk_pdf
from planner.sheets.paper import paper
from planner.sheets.pattern import patterns
from planner.sheets.pattern_dxf import pattern_dxf
from planner.sheets.pattern_svg import pattern_svg
from planner.solver import choose

UNFIT = ["\x00", "\uffff", "\ufffe", "\x1b[2J", "\x85", "\u2028", "\U0001ffff", "\ufdd0", "a\nb\tc", "\x7f"]
FIT = ["Zoë's quilt", "波", "👩\u200d👧", "q\N{NO-BREAK SPACE}1", "<&>\"'", "שלום\u200f", "…"]


def named(name: str) -> Layout:
    return choose(Plan.model_validate({**demo_plan().model_dump(), "name": name})).layout


def xml_chars(text: str) -> bool:
    """XML 1.0 (fifth edition), production 2: Char."""
    return all(
        c in "\t\n\r" or " " <= c <= "\ud7ff" or "\ue000" <= c <= "\ufffd" or c >= "\U00010000" for c in text
    )


@given(st.text(st.characters(exclude_categories=())))
def test_what_is_fit_is_xml_and_stays(text: str) -> None:
    assert xml_chars(fit(text))
    assert fit(fit(text)) == fit(text)


@given(st.text(st.characters(exclude_categories=())))
def test_a_bound_of_letters_means_the_same_before_and_after(text: str) -> None:
    """The document promises a bound of what is sent; the plan is held to what was made fit."""
    assert len(fit(text)) == len(text)


def test_a_tag_too_long_by_what_cannot_be_seen_is_refused() -> None:
    too_long = "sun" + "\x85" * 20 + "flower" * 3
    assert len(too_long) == 41
    with pytest.raises(ValueError, match="40"):
        Plan.model_validate({**demo_plan().model_dump(), "tags": [too_long]})


@pytest.mark.parametrize("name", FIT)
def test_what_can_be_written_is_left_alone(name: str) -> None:
    assert named(name).plan.name == name


@pytest.mark.parametrize("name", UNFIT)
def test_every_file_of_a_plan_can_be_read(name: str) -> None:
    layout = named(f"Blue {name} quilt")
    drawn = picture.picture(layout, picture.whole_quilt(layout), title=layout.plan.name)
    svg = pattern_svg(layout.plan.name, patterns(layout), "in", layout.stamp)
    for text in (drawn, svg):
        assert "Blue" in next(ElementTree.fromstring(text).iter("{http://www.w3.org/2000/svg}title")).text  # type: ignore[operator]
    title = PdfReader(BytesIO(chalk_pdf(layout, Stance(), paper("a4")))).metadata
    assert "Blue" in str(title and title.title)
    dxf = pattern_dxf(patterns(layout), "in", layout.stamp).decode()
    assert ezdxf.read(StringIO(dxf)).audit().errors == []  # type: ignore[attr-defined]


def test_a_name_of_another_kind_is_still_refused() -> None:
    with pytest.raises(ValueError, match="string"):
        Plan.model_validate({**demo_plan().model_dump(), "name": 3})
