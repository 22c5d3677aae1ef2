"""The seam strip: lines evenly spaced between the fill and the seam, meeting on the miters."""

from __future__ import annotations

from math import hypot

import pytest
import shapely

from planner.border.band import Band
from planner.border.layout import place
from planner.border.said import said_of
from planner.border.strip import strip_lines
from planner.chalk.marking import Stance, side_marks
from planner.chalk.steps import steps
from planner.fills import fill
from planner.plan import SIDES, Fill, Plan, SideLengths, SideName
from planner.solver import choose
from planner.stitching.order import path_of


def wide_bed() -> Plan:
    """A border wider than what her circles fill, with two sides wider still."""
    return Plan(
        sides_in=SideLengths(top=60.0, right=70.0, bottom=60.25, left=70.0),
        border_in=SideLengths(top=12.0, right=11.0, bottom=12.0, left=11.0),
        tin_in=(2.0, 3.0, 4.0),
        fill=Fill(kind="feathers"),
    )


def bands(*strips: float) -> dict[SideName, Band]:
    """Four sides with these strips between fill and seam."""
    return {side: Band(side, 60.0, 6.0, 1.0, strip, 0.25) for side, strip in zip(SIDES, strips, strict=True)}


@pytest.mark.parametrize(
    ("strip", "depths"),
    [
        (2.0, [2.0, 1.5, 1.0, 0.5]),
        (0.25, [0.25]),
        (1.3, [1.3, 2.6 / 3, 1.3 / 3]),
        (0.1, []),
        (0.0, []),
    ],
)
def test_lines_stand_evenly_from_where_the_fill_ends(strip: float, depths: list[float]) -> None:
    four = bands(strip, strip, strip, strip)
    lines = strip_lines(four, "top", 0.5)
    assert [four["top"].seam - line.start[1] for line in lines] == pytest.approx(depths)


@pytest.mark.parametrize(
    ("one", "other", "numbers"),
    [
        (3.5, 2.5, (6, 6)),  # a mean of 3 in: both are cut in six
        (2.0, 1.0, (3, 3)),
        (4.0, 0.5, (8, 1)),  # the narrow one would get its lines an eighth apart
        (1.0, 0.0, (2, 0)),
    ],
)
def test_lines_go_round_the_quilt_where_both_widths_hold_as_many(
    one: float, other: float, numbers: tuple[int, int]
) -> None:
    four = bands(one, other, one, other)
    lines = [strip_lines(four, side, 0.5) for side in SIDES]
    assert tuple(map(len, lines[:2])) == numbers
    if len(set(numbers)) == 1:
        span = four["top"].span
        for top, right in zip(lines[0], lines[1], strict=True):
            along, deep = top.end
            assert (deep, span - along) == pytest.approx(right.start)  # the next side's coordinates


def test_lines_of_two_sides_meet_on_the_miter() -> None:
    layout = choose(wide_bed()).layout
    quilt, spacing = layout.quilt, layout.plan.strip_spacing_in
    assert all(band.strip > 0.5 for band in quilt.bands.values())
    for i, side in enumerate(SIDES):
        near, band = quilt.bands[SIDES[i - 1]], quilt.bands[side]
        for line in strip_lines(quilt.bands, side, spacing):
            # the miter leads from the corner of the fill to the corner of the seam
            (u, h), (a, b), (c, d) = line.start, (near.edge, band.edge), (near.seam, band.seam)
            assert (u - a) * (d - b) - (h - b) * (c - a) == pytest.approx(0, abs=1e-9)
            assert hypot(u - a, h - b) <= hypot(c - a, d - b) + 1e-9


def test_the_strip_is_stitched_chalked_and_said() -> None:
    layout = choose(wide_bed()).layout
    shapes = [shape for shape in fill(layout).shapes() if shape.kind == "strip"]
    lines = [strip_lines(layout.quilt.bands, side, layout.plan.strip_spacing_in) for side in SIDES]
    assert len(shapes) == sum(map(len, lines)) + 4 * (len(lines[0]) - 1)  # and the miters between them
    tables = side_marks(layout, Stance())
    (step,) = (step for step in steps(layout, tables) if step.title == "Seam strip")
    for table in tables:
        assert all(str(reading) in step.words for reading in table.strip)
        for side in table.sides:
            seam = layout.plan.border_in.of(side)
            strip, number = layout.quilt.own[side].strip, len(table.strip)
            for i, reading in enumerate(table.strip):
                assert reading.value_in == pytest.approx(seam - strip * (number - i) / number, abs=1 / 32)
    assert any("straight lines" in said for said in said_of(layout))


def test_lines_of_a_strip_hang_together_and_leave_no_square_in_the_corners() -> None:
    """Each would be a ring by itself, and where two turn, a circle of 1.17 times their spacing would fit."""
    layout = choose(wide_bed()).layout
    bands, spacing = layout.quilt.bands, layout.plan.strip_spacing_in
    found = fill(layout)
    shapes = [s for s in found.shapes() if s.kind == "strip"]
    lines = shapely.set_precision([shapely.LineString(s.points(1e-3)) for s in shapes], 1e-6)
    assert shapely.union_all(shapely.buffer(lines, 1e-3)).geom_type == "Polygon"
    rooms = shapely.get_parts(shapely.polygonize(lines))
    middle = shapely.Point(layout.quilt.width / 2, layout.quilt.height / 2)
    circles = shapely.maximum_inscribed_circle(rooms[~shapely.contains(rooms, middle)], 1e-3)
    number = len(strip_lines(bands, "top", spacing))
    assert number > 1
    assert 2 * shapely.length(circles).max() <= 1.01 * max(b.strip for b in bands.values()) / number
    stitched = [one for one in path_of(layout, found).segments if one.pocket and one.pocket.kind == "strip"]
    assert len({one.line for one in stitched}) == 1
    assert sum(one.length for one in stitched if one.again) < 0.02 * sum(one.length for one in stitched)


def test_a_choice_without_a_strip_has_none() -> None:
    plan = wide_bed().model_copy(update={"border_in": SideLengths(top=8.0, right=8.0, bottom=8.0, left=8.0)})
    choice = choose(plan).choice
    assert choice.strip_in == 0
    assert not any(shape.kind == "strip" for shape in fill(place(plan, choice)).shapes())
