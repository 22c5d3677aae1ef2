"""The README's pictures show the demo quilt as it is laid out today. (Not byte for byte: a line may be finer.)"""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from svgpathtools import parse_path

from planner.border.layout import Layout
from planner.demo import demo_plan
from planner.lengths import format_length
from planner.solver import choose
from server.bootstrap import FILES
from server.demo import PICTURES, drawn

SVG = "{http://www.w3.org/2000/svg}"
AGAIN = "python3 -m server.demo draws it again"


@pytest.fixture(scope="module")
def layout() -> Layout:
    return choose(demo_plan()).layout


@pytest.mark.parametrize("name", PICTURES)
def test_the_picture_is_of_this_layout(name: str, layout: Layout) -> None:
    picture = (FILES / "static" / name).read_text("utf-8")
    root = ElementTree.fromstring(picture)
    assert (root.findtext(f"{SVG}metadata") or "").endswith(layout.stamp), AGAIN
    assert root.findtext(f"{SVG}title") == demo_plan().name
    words = root.findtext(f"{SVG}desc") or ""
    assert format_length(layout.quilt.width, "in") in words, AGAIN
    assert str(len(layout.circles)) in re.findall(r"\d+", words), AGAIN
    spine = next(one for one in root.iter(f"{SVG}path") if one.get("id") == "spine-line")
    true = sum(part.piece.curve.length for part in layout.spines)
    assert parse_path(spine.get("d", "")).length(error=1e-4) == pytest.approx(true, rel=1e-3), AGAIN
    pockets = [one for one in root.iter(f"{SVG}use") if one.get("href", "").startswith("#cell")]
    assert len(pockets) > len(layout.circles), "each curl has its pocket, filled"


def test_it_is_drawn_again_as_it_stands(layout: Layout) -> None:
    """What the command would write belongs to the same layout."""
    for name, picture in drawn().items():
        assert layout.stamp in picture
        window = ElementTree.fromstring(picture).get("viewBox")
        assert window == ElementTree.fromstring((FILES / "static" / name).read_text("utf-8")).get(
            "viewBox"
        ), AGAIN
