"""The backing as a drawing: the figures of its seams, read by another SVG reader, never lie on one another."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import combinations

import pytest

from planner.pictures.panels import LETTER_IN, panels
from planner.supplies.backing import backing

WIDEST = 0.7  # of a letter, against its height


@pytest.mark.parametrize("width", [36.0, 44.0, 60.0, 90.0, 110.0])
@pytest.mark.parametrize("height", [36.0, 108.0])
def test_no_figure_lies_on_another(width: float, height: float) -> None:
    back = backing(width, height, overhang_in=4, cloth_width_in=38, seam_in=0.5, units="in")
    texts = ET.fromstring(panels(back, 4, "in")).findall("text")
    assert len(texts) == len(back.seams_in) + 1
    for one, other in combinations(texts, 2):
        across = abs(float(one.attrib["x"]) - float(other.attrib["x"]))
        down = abs(float(one.attrib["y"]) - float(other.attrib["y"]))
        wide = (len(one.text or "") + len(other.text or "")) / 2 * WIDEST * LETTER_IN
        assert across >= wide or down >= LETTER_IN, (one.text, other.text)
