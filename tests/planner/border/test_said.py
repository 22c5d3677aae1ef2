"""What is said plainly agrees with the figures of the layout."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import pytest
from pypdf import PdfReader

from planner.border.corners import Ease
from planner.border.layout import place
from planner.border.said import by_side, room_and_strip, said_of
from planner.border.spine import Circle
from planner.chalk.marking import Stance, side_marks
from planner.chalk.steps import _spaced, steps
from planner.demo import demo_plan
from planner.errors import PlanError
from planner.lengths import format_length
from planner.plan import SIDES, Fill
from planner.sheets.paper import paper
from planner.sheets.pattern import patterns
from planner.sheets.pattern_pdf import pattern_pdf
from planner.solver import choose, propose
from server.pages.words import headline
from tests.landing_shares import TINS, quilts
from tests.planner.border.test_strip import wide_bed


@pytest.mark.parametrize("number", [4, pytest.param(60, marks=pytest.mark.long)])
@pytest.mark.parametrize("unequal", [False, True])
def test_every_length_that_is_said_is_one_of_the_layout(number: int, unequal: bool) -> None:
    for plan in quilts(number, unequal=unequal, seed=41):
        try:
            layout = choose(plan.model_copy(update={"tin_in": TINS["12 circles"]})).layout
        except PlanError:  # a border too narrow for what fills it
            assert min(plan.border_in.of(side) for side in SIDES) < 4
            continue
        units, words = plan.units, " ".join(said_of(layout))
        own = layout.quilt.own
        if layout.choice.meeting in ("wreath", "little_spines", "lattice"):
            assert all(format_length(layout.own[side].middle, units) in words for side in SIDES)
        for side in SIDES:
            if own[side].strip > 1 / 32:
                assert format_length(own[side].strip, units) in words
            assert format_length(own[side].room, units) in room_and_strip(layout)
        assert words.count("None") == 0


def test_what_she_expects_is_not_said() -> None:
    """Her own comfortable room, no strip, middles that close: not a word."""
    for plan in quilts(40, unequal=False, seed=43):
        chosen = choose(plan.model_copy(update={"tin_in": TINS["12 circles"], "fill": Fill(kind="feathers")}))
        usual = chosen.choice.room_in == 1.0 and chosen.choice.meeting in ("butted", "full_circle")
        if usual:
            assert said_of(place(chosen.plan, chosen.choice)) == ()
            return
    pytest.fail("no quilt of forty is as expected")


def test_sides_are_listed_as_one_says_them() -> None:
    """What four sides ask for, however they differ, is one sentence with one "and" a list."""
    for widths, words in (
        ((6.0, 6.0, 6.0, 6.0), "6 in"),
        ((1.0, 2.0, 1.0, 2.0), "1 in at the top and bottom and 2 in at the sides"),
        ((1.0, 1.0, 2.0, 1.0), "1 in at the top and sides and 2 in at the bottom"),
        (
            (1.0, 2.0, 3.0, 4.0),
            "1 in at the top, 2 in at the right side, 3 in at the bottom and 4 in at the left side",
        ),
    ):
        said = by_side({side: f"{wide:g} in" for side, wide in zip(SIDES, widths, strict=True)})
        assert said == words


@pytest.mark.parametrize("corner", ["mirrored", "turning"])
def test_chalk_and_pattern_say_room_and_strip(corner: str) -> None:
    """Of two widths too: the room of each side beside the guide lines, the strip's width where its lines are."""
    layout = choose(wide_bed().model_copy(update={"corner": corner})).layout
    words = {step.title: step.words for step in steps(layout, side_marks(layout, Stance()))}
    for side in SIDES:
        band, units = layout.quilt.own[side], layout.plan.units
        assert format_length(band.room, units) in words["Guide lines"]
        assert format_length(band.strip, units) in words["Seam strip"]
    (cover, *_) = PdfReader(
        BytesIO(pattern_pdf(layout, patterns(layout, side="top"), paper("roll", 36)))
    ).pages
    assert room_and_strip(layout) in " ".join(cover.extract_text().split())


@pytest.mark.parametrize(("gap", "touching"), [(1 / 100, True), (1 / 64, True), (1 / 50, False)])
def test_whether_circles_touch_has_one_answer(gap: float, touching: bool) -> None:
    """Between a chalk line and a mark of her ruler: the heading, the proposals and the chalk sheet say the same."""
    chosen = choose(demo_plan())
    eases = dict.fromkeys(SIDES, Ease(0.0, gap))
    assert ("touching" in headline(chosen.plan, chosen.choice, eases)) is touching
    proposal = replace(propose(chosen.plan).proposals[0], ease=eases)
    assert proposal.touches is touching
    r = 2.0
    apart = [Circle((n * (2 * r + gap), 0.0), r, "inner", 1) for n in (0, 1)]
    assert _spaced(apart[0], apart[1], "in").startswith("neighbours touching") is touching
