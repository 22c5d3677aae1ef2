"""What is chosen among alike places does not hang on the last bit of a float."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from planner.border.layout import place
from planner.fills import fill
from planner.fills.growing import outline
from planner.geometry.arrays import Indices, Numbers
from planner.solver import propose
from tests.contact_sheet import plan_of


@pytest.mark.parametrize(("kind", "style"), [("leaves", "wreath"), ("feathers", "butted")])
def test_the_last_bit_chooses_nothing(kind: str, style: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The drawn curves shaken by 1e-12 in: the same shapes begin at the same places."""
    plan = plan_of(kind, 8, style, 40, 50, None)
    layout = place(plan, propose(plan).proposals[0].choice)
    calm = [shape.start for cell in fill(layout).cells for shape in cell.shapes]
    handles = outline._handles

    def shaken(outlines: list[outline.Outline]) -> tuple[Numbers, Indices]:
        found, counts = handles(outlines)
        return found + 1e-12 * np.sin(1e3 * np.arange(found.size)).reshape(found.shape), counts

    monkeypatch.setattr(outline, "_handles", shaken)
    again = [shape.start for cell in fill(layout).cells for shape in cell.shapes]
    assert len(again) == len(calm)
    assert np.abs(np.array(again) - np.array(calm)).max() < 1e-4


def test_no_leaf_grows_out_of_the_tip_of_another() -> None:
    """A twig bears its leaves below its tip: in a turning border of 6 in nearly one in twenty did not."""
    plan = plan_of("leaves", 6, "turning", 40, 50, None)
    begun = wrong = 0
    for cell in fill(place(plan, propose(plan).proposals[0].choice)).cells:
        leaves = [np.array(shape.points(1e-3)) for shape in cell.shapes if shape.kind == "leaf"]
        tips = np.array([leaf[int(np.argmax(np.hypot(*(leaf - leaf[0]).T)))] for leaf in leaves])
        away = np.hypot(*(np.array([leaf[0] for leaf in leaves])[:, None] - tips).transpose(2, 0, 1))
        begun, wrong = begun + len(leaves), wrong + int((away.min(axis=1, initial=1) < 0.1).sum())
    assert wrong < 0.035 * begun


def test_a_pocket_in_which_nothing_grew_is_filled_too() -> None:
    """In a border of 3.5 in nothing stands in the ring of a full circle: asked which way it grows, it failed."""
    plan = plan_of("ribbon", 3.5, "full_circle", 90, 108, None)
    assert any(cell.shapes for cell in fill(place(plan, propose(plan).proposals[0].choice)).cells)


SPRIGGED = (
    ("leaves", 9, "butted"),
    ("leaves", 5, "butted"),
    ("holly", 6, "butted"),
    ("flowers", 6, "wreath"),
    ("needles", 5, "wreath"),
)


@pytest.mark.parametrize(
    ("kind", "width", "style"),
    [
        pytest.param(*case, marks=() if case in SPRIGGED else pytest.mark.long)
        for case in product(
            ("leaves", "holly", "flowers", "needles"),
            (4, 5, 6, 9, 11),
            ("butted", "wreath", "little_spines", "turning", "easy_going"),
        )
    ],
)
def test_berries_are_at_most_one_shape_in_ten(kind: str, width: float, style: str) -> None:
    """Among leaves of a border of 9 in one in six was a berry."""
    plan = plan_of(kind, width, style, 90, 108, None)
    found = fill(place(plan, propose(plan).proposals[0].choice))
    kinds = [shape.kind for copy in found.copies for shape in found.cells[copy.cell].shapes]
    assert kinds.count("berry") <= 0.1 * len(kinds)
