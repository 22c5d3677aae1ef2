"""The small pictures of the ways that land: their fill is the border's own, and all of it that they show."""

from __future__ import annotations

import re

import numpy as np
import pytest
from scipy.spatial import cKDTree

from planner.demo import demo_plan
from planner.fills import fill
from planner.fills.shape import Shape
from planner.pictures import card
from planner.pictures.card import card_fill, card_picture
from planner.plan import Plan
from planner.solver import choose
from planner.solver.changes import apply_change
from tests.planner.landed import SPINE_LAST

VIEW = re.compile(r'viewBox="(\S+) (\S+) (\S+) (\S+)"')


@pytest.mark.parametrize(
    "plan",
    [
        demo_plan(),
        apply_change(demo_plan(), {"corner": "turning", "cut_own": True}),
        apply_change(demo_plan(), {"corner": "easy_going", "cut_own": True}),
    ],
    ids=["mirrored", "turning", "easy-going"],
)
def test_no_shape_that_would_show_is_left_out(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    """Against the whole fill: what begins and ends inside either half has a shape that was grown in its place.

    Which variant of a pocket stands where goes by how many there are: a small picture may show another.
    """
    monkeypatch.setattr("planner.fills.variants_of", lambda copies, *_: ([], copies))
    layout = choose(plan).layout
    some: list[Shape] = []
    monkeypatch.setattr(card, "filled", lambda grown, _: some.extend(grown.shapes()) or "")
    halves = [tuple(map(float, view)) for view in VIEW.findall(card_fill(layout))[1:]]
    assert len(halves) == 2
    whole = list(fill(layout).shapes())
    assert len(some) < len(whole) / 3
    grown = cKDTree([shape.start for shape in some])
    seen = [
        shape.start
        for left, _, wide, high in halves
        for shape in whole
        if shape.pocket and shape.pocket.side in ("top", "left")
        if all(left + 0.2 < x < left + wide - 0.2 and 0 < y < high - 0.2 for x, y in shape.points(0.05))
    ]
    assert len(seen) > 30
    assert np.sum(grown.query(seen)[0] > 0.02) <= len(seen) / 20  # drops beside a pocket not grown


def test_the_fill_lies_over_the_spines() -> None:
    layout = choose(demo_plan()).layout
    under, over = (
        VIEW.findall(text) for text in (card_picture(layout.plan, layout.choice), card_fill(layout))
    )
    assert [[float(v) for v in view] for view in under] == [
        pytest.approx([float(v) for v in view], abs=0.002) for view in over
    ]


def test_the_spine_is_drawn_in_its_own_thread() -> None:
    """As in the large picture: on cream cloth the one thread of before is not seen."""
    layout = choose(demo_plan()).layout
    plan = layout.plan.model_copy(update=SPINE_LAST)
    colours = re.findall(r'<path stroke="(#\w+)"', card_picture(plan, layout.choice))
    assert colours == ["#2f6b43", "#2f6b43"]
    assert (
        re.findall(r'<path stroke="(#\w+)"', card_picture(layout.plan, layout.choice))
        == [layout.plan.look.thread] * 2
    )
