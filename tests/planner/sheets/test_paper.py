"""Tiling: every point is on a sheet, no arrangement uses more sheets than it must, and refusals have a cure."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import PlanError
from planner.sheets.paper import (
    MOST_SHEETS,
    OVERLAP_IN,
    PAPERS,
    Paper,
    check_sheets,
    paper,
    row_name,
    tile,
)

papers = st.one_of(
    st.sampled_from(list(PAPERS.values())),
    st.floats(12, 60).map(lambda w: paper("roll", w)),
)


@given(st.floats(2, 400), st.floats(2, 60), papers)
def test_the_windows_cover_the_drawing(width: float, height: float, on: Paper) -> None:
    tiling = tile(width, height, on)
    reach_x = tiling.step_x * (tiling.columns - 1) + tiling.window_width
    reach_y = tiling.step_y * (tiling.rows - 1) + tiling.window_height
    assert reach_x >= width - 1e-6
    assert reach_y >= height - 1e-6
    assert tiling.paper.width == pytest.approx(tiling.window_width + 2 * on.margin)
    assert tiling.step_x > OVERLAP_IN and tiling.step_y > OVERLAP_IN


@given(st.floats(2, 400), st.floats(2, 60), st.sampled_from(sorted(PAPERS)))
def test_the_way_round_with_fewer_sheets_is_taken(width: float, height: float, name: str) -> None:
    on = paper(name)
    least = min(_counted(width, height, on), _counted(width, height, on.turned()))
    assert tile(width, height, on).sheets == least


def _counted(width: float, height: float, on: Paper) -> int:
    """Sheets laid down one after the other until the drawing is covered."""

    def along(length: float, window: float) -> int:
        n, covered = 1, window
        while covered < length - 1e-9:
            n, covered = n + 1, covered + window - OVERLAP_IN
        return n

    return along(width, on.width - 2 * on.margin) * along(height, on.height - 2 * on.margin)


@given(st.floats(2, 400), st.floats(2, 60))
def test_a4_takes_no_more_sheets_than_letter(width: float, height: float) -> None:
    """With 12 mm left white on both, A4 upright was 6 mm narrower inside and took two sheets more for it."""
    assert tile(width, height, paper("a4")).sheets <= tile(width, height, paper("letter")).sheets


def test_a_long_border_lies_across_landscape_sheets() -> None:
    assert tile(60, 7, paper("letter")).paper.width == 11.0
    assert tile(60, 9, paper("letter")).paper.width == 8.5


def test_a_roll_is_cut_where_the_drawing_ends() -> None:
    tiling = tile(53, 8.5, paper("roll", 24.0))
    assert tiling.sheets == 1
    assert tiling.window_width == pytest.approx(53)


def test_500_sheets_are_refused_with_a_paper_that_does() -> None:
    with pytest.raises(PlanError) as refused:
        check_sheets(500, paper("letter"), [(200.0, 24.0)] * 4, "in")
    assert "500 sheets of Letter" in refused.value.message
    assert "roll" in refused.value.cure or "A3" in refused.value.cure
    check_sheets(MOST_SHEETS, paper("letter"), [], "in")


@pytest.mark.parametrize(
    ("name", "roll"), [("a7", None), ("", None), ("roll", None), ("roll", 2.0), ("roll", 1e9)]
)
def test_unknown_paper_is_refused_with_a_cure(name: str, roll: float | None) -> None:
    with pytest.raises(PlanError) as refused:
        paper(name, roll)
    assert refused.value.cure
    assert refused.value.field in {"paper", "roll"}


def test_rows_go_on_after_z() -> None:
    assert [row_name(i) for i in (0, 25, 26, 51, 52)] == ["A", "Z", "AA", "AZ", "BA"]
