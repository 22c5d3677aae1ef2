"""The chalk sheet's readings: rebuilt from the table, the circles must stand where the layout has them."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.border.layout import Layout
from planner.chalk.marking import (
    WITHIN_IN,
    Mark,
    Reading,
    SideMarks,
    Stance,
    clock,
    round_words,
    rounded,
    side_marks,
)
from planner.chalk.measured import measured_side
from planner.plan import SIDES
from tests.planner.landed import STYLES, example, layouts

stances = st.builds(Stance, left_handed=st.booleans(), from_middle=st.booleans())
SLACK = 1e-9


def circles_of(table: SideMarks) -> list[Mark]:
    """What is chalked round a template: a pin with its string stands far from its arc."""
    return [mark for mark in table.marks if mark.kind != "string"]


def rebuilt(table: SideMarks, length: float) -> list[tuple[float, float, float]]:
    """(x, y, radius) of each mark's circle in ruler coordinates, from what is printed alone."""
    found = []
    for mark in circles_of(table):
        along = float(printed(str(mark.along), mark.along.units))
        if table.stance.from_middle:
            x = table.measured.middle + (along if mark.half == "left" else -along)
        else:
            x = along if table.stance.left_handed else length - along
        found.append((x, printed(str(mark.depth), mark.depth.units), mark.circle.radius))
    return found


def printed(text: str, units: str) -> float:
    """Inches of a printed reading, read the way she would: the + is half a mark more."""
    plus = text.endswith("+")
    parts = text.rstrip("+").split()
    if units != "in":
        return (float(parts[0]) * (10 if units == "cm" else 1) + (0.5 if plus else 0)) / 25.4
    value = 0.0
    for part in parts:
        top, _, bottom = part.partition("/")
        value += int(top) / int(bottom or 1)
    return value + (1 / 32 if plus else 0)


@pytest.mark.parametrize("style", range(len(STYLES)))
@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data(), stances)
def test_circles_rebuilt_from_the_table_stand_where_they_should(
    style: int, data: st.DataObject, stance: Stance
) -> None:
    layout = data.draw(layouts(style))
    for table in side_marks(layout, stance):
        for side in table.sides:
            length = layout.plan.sides_in.of(side)
            for (x, y, _), mark in zip(rebuilt(table, table.measured.length), circles_of(table), strict=True):
                true = mark.circle.centre
                assert hypot(x - true[0], y - true[1]) <= WITHIN_IN + SLACK
                assert mark.off_in >= hypot(x - true[0], y - true[1]) - 1e-9
            assert length == pytest.approx(table.measured.length, abs=1 / 16)


@pytest.mark.parametrize("style", range(len(STYLES)))
@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.data(), stances)
def test_neighbours_never_overlap_by_more_than_a_mark(
    style: int, data: st.DataObject, stance: Stance
) -> None:
    layout = data.draw(layouts(style))
    for table in side_marks(layout, stance):
        circles = sorted(rebuilt(table, table.measured.length))
        for (ax, ay, ar), (bx, by, br) in pairwise(circles):
            assert hypot(ax - bx, ay - by) >= ar + br - 1 / 16 - SLACK


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(layouts())
def test_every_circle_of_every_side_has_its_mark(layout: Layout) -> None:
    tables = side_marks(layout, Stance())
    assert sorted(side for table in tables for side in table.sides) == sorted(SIDES)
    for table in tables:
        for side in table.sides:
            curls = [mark for mark in table.marks if mark.kind == "curl"]
            halves = 2 if layout.plan.corner == "mirrored" else 1
            shared = [mark for mark in table.marks if mark.kind == "ring" and mark.name.isdecimal()]
            if (
                layout.choice.meeting == "full_circle"
            ):  # the last curl of both runs is one, on the middle line
                assert len(shared) == 1
            assert len(curls) + 2 * len(shared) == halves * layout.choice.counts.of(side)
            assert [mark.kind for mark in table.marks].count("corner") == 2


def test_a_plus_is_spent_only_where_it_is_needed() -> None:
    assert str(rounded(4 + 3 / 8 + 0.01, "in", 0.027)) == "4 3/8"
    assert str(rounded(4 + 3 / 8 + 0.03, "in", 0.027)) == "4 3/8+"
    assert str(rounded(365.4 / 25.4, "cm", 0.02)) == "36.5"
    assert str(rounded(365.4 / 25.4, "mm", 0.02)) == "365"


def test_millimetres_never_need_a_plus() -> None:
    for style in range(len(STYLES)):
        for table in side_marks(example(style, units="mm"), Stance()):
            assert "+" not in "".join(f"{m.along}{m.depth}" for m in table.marks)


@pytest.mark.parametrize(
    ("half_marks", "text"),
    [(0, "0"), (1, "0+"), (2, "1/16"), (8, "1/4"), (32, "1"), (33, "1+"), (460, "14 3/8")],
)
def test_readings_are_written_as_on_a_ruler(half_marks: int, text: str) -> None:
    assert str(Reading(half_marks, "in")) == text


def test_both_datums_agree_to_the_roundings_of_two_readings() -> None:
    layout = example(5)  # easy-going: the two halves of a side differ
    length = layout.plan.sides_in.top
    right = side_marks(layout, Stance())[0]
    left = side_marks(layout, Stance(left_handed=True))[0]
    for mine, hers in zip(right.marks, reversed(left.marks), strict=True):
        assert mine.circle == hers.circle
        assert mine.along.value_in + hers.along.value_in == pytest.approx(length, abs=1 / 16)


def test_the_mirror_of_a_curl_turns_the_other_way_at_the_same_reading_from_the_middle() -> None:
    table = side_marks(example(0), Stance())[0]
    first, last = table.marks[1], table.marks[-2]
    assert (first.name, last.name) == ("1", "1")
    assert first.turn != last.turn
    assert first.along.value_in + last.along.value_in == pytest.approx(table.measured.length, abs=1 / 16)


def test_the_corner_c_goes_round_the_outside() -> None:
    """Common practice, no source: the corner C takes about three quarters of its circle."""
    for style in range(5):
        side = measured_side(example(style), "top")
        assert 200 < abs(side.corner_arc.sweep) * 57.29578 < 300
        outermost = side.corner_arc.point(0.5)
        assert outermost[0] < side.corner.centre[0] and outermost[1] < side.corner.centre[1]


def test_the_corner_c_begins_and_ends_on_the_spines_it_joins() -> None:
    for style in range(6):
        layout = example(style, sides=(60.0, 70.0, 60.25, 69.875))
        for side in SIDES:
            here = measured_side(layout, side)
            first = here.runs[0].pieces[0].curve.start
            assert here.corner_arc.end == pytest.approx(first, abs=1e-9)
            if len(here.runs) == 1:
                last = [p for p in here.runs[0].pieces if p.part != "tail"][-1].curve.end
                assert here.far_arc.start == pytest.approx(last, abs=1e-9)


def test_clock_and_way_round_in_words() -> None:
    assert [clock(h) for h in (0, 3, 10.4, 11.8)] == ["12", "3", "10:30", "12"]
    assert round_words(268) == "3/4 round"
    assert round_words(226) == "5/8 round"
    assert round_words(292) == "just over 3/4 round"
    assert round_words(305) == "just under 7/8 round"
    assert round_words(90) == "1/4 round"
    assert round_words(360) == "once round"
