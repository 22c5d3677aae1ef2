"""Hours as a range, the price, the shopping list, the reading of the form, and all of it for a plan."""

import csv
import io
from dataclasses import fields, replace
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import Literal, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.border.layout import Layout, place
from planner.errors import PlanError
from planner.fills import fill
from planner.fills.styles import FILLS
from planner.plan import Fill, FillKind, Plan, SideLengths, Units
from planner.solver import propose
from planner.stitching.order import path_of
from planner.supplies.basis import DEFAULTS, Basis, usual
from planner.supplies.border import Grain
from planner.supplies.figures import FIGURES, figure_in_words
from planner.supplies.hours import Span, Timed, machine_speed, own_speed, time_in_words
from planner.supplies.price import price
from planner.supplies.reading import LONGEST_SIGN, read_basis
from planner.supplies.shopping import Item, to_csv
from planner.supplies.supplies import supplies_of
from planner.supplies.thread import thread_words
from planner.supplies.work import (
    ESTIMATE_USUALLY,
    ESTIMATE_WITHIN,
    Work,
    estimated_work,
    fillable_area,
    work_of,
)
from tests.thread_figures import FEWER, HELD_OUT, layouts

WORK = Work(stitching_in=6000, starts=8, circles=76, guide_lines=16, spine_in=900, open_in=3)


def quilt(width: float = 60, height: float = 80, border: float = 6) -> Plan:
    return Plan(
        sides_in=SideLengths(top=width, right=height, bottom=width, left=height),
        border_in=SideLengths(top=border, right=border, bottom=border, left=border),
    )


def test_a_timed_piece_gives_her_own_hand() -> None:
    # 90 in in 2 minutes: 0.75 in a second, 15 % either way
    speed = own_speed((Timed(90, 2),), 5, "in")
    assert speed.quick == pytest.approx(0.75 * 1.15)
    assert speed.slow == pytest.approx(0.75 / 1.15)
    plan, basis = quilt(), replace(DEFAULTS, timed_in=90.0, timed_minutes=2.0)
    time = supplies_of(plan, WORK, basis).hours
    stitch = next(task for task in time.tasks if task.what == "Stitch")
    assert time.own
    assert stitch.minutes.quick < 6000 / 0.75 / 60 < stitch.minutes.slow


def test_a_timed_piece_faster_than_the_machine_is_refused() -> None:
    with pytest.raises(PlanError):
        own_speed((Timed(600, 1),), machine_speed(1000, 10), "in")


def test_the_cloth_never_outruns_the_machine() -> None:
    slow_machine = replace(DEFAULTS, stitches_per_minute=200.0)
    time = supplies_of(quilt(), WORK, slow_machine).hours
    assert time.speed == Span(1 / 3, 1 / 3)


@given(st.floats(0, 50_000), st.integers(0, 500), st.integers(0, 5000))
def test_hours_are_a_range_and_grow_with_the_work(stitching: float, starts: int, circles: int) -> None:
    work = replace(WORK, stitching_in=stitching, starts=starts, circles=circles)
    more = replace(work, stitching_in=stitching + 100, starts=starts + 1, circles=circles + 1)
    small, large = supplies_of(quilt(), work).hours.minutes, supplies_of(quilt(), more).hours.minutes
    assert 0 < small.quick < small.slow
    assert small.quick < large.quick
    assert small.slow < large.slow


@pytest.mark.parametrize(
    ("quick", "slow", "words"),
    [
        (0, 4, "5 minutes"),
        (42, 53, "40 to 55 minutes"),
        (95, 140, "1 1/2 to 2 1/2 hours"),
        (29, 101, "1/2 to 2 hours"),
        (300, 480, "5 to 8 hours"),
        (500, 1000, "8 to 17 hours"),
    ],
)
def test_time_in_words_is_rounded_outwards(quick: float, slow: float, words: str) -> None:
    assert time_in_words(Span(quick, slow)) == words


def test_price_by_the_hour_is_a_range_and_by_the_square_inch_one_figure() -> None:
    by_hour = price(
        cloth=Decimal("0"),
        rate="hour",
        each=Decimal("20"),
        minutes=Span(90, 150),
        square_inches=4800,
        materials=Decimal("12.5"),
        minimum=Decimal("0"),
    )
    assert (by_hour.low, by_hour.high) == (Decimal("42.50"), Decimal("62.50"))
    by_area = price(
        cloth=Decimal("0"),
        rate="square_inch",
        each=Decimal("0.015"),
        minutes=Span(90, 150),
        square_inches=4800,
        materials=Decimal("0"),
        minimum=Decimal("100"),
    )
    assert (by_area.low, by_area.high, by_area.minimum_applied) == (
        Decimal("100.00"),
        Decimal("100.00"),
        True,
    )


FORMULAS = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", "＝1", "\u00a0=1"]


@pytest.mark.parametrize("cell", FORMULAS)
def test_no_cell_is_a_formula(cell: str) -> None:
    text = to_csv([Item(cell, cell, cell)])
    assert all(row.startswith("'") for row in list(csv.reader(io.StringIO(text, newline="")))[1])


@given(st.text(max_size=20), st.text(max_size=20))
def test_csv_comes_back_as_it_was(what: str, note: str) -> None:
    rows = list(csv.reader(io.StringIO(to_csv([Item(what, "1", note)]), newline="")))
    assert rows[0] == ["what", "how much", "note"]
    assert [cell.removeprefix("'") for cell in rows[1]] == [
        what.removeprefix("'"),
        "1",
        note.removeprefix("'"),
    ]


def test_every_figure_of_the_basis_is_asked_for_and_within_its_limits() -> None:
    assert set(FIGURES) == {one.name for one in fields(Basis)}
    for name, figure in FIGURES.items():
        value = getattr(DEFAULTS, name)
        assert figure.source
        if figure.kind == "choice":
            assert value in figure.choices
        elif figure.kind != "sign":
            assert figure.low <= value <= figure.high


def test_what_is_shown_can_be_typed_back() -> None:
    units: Units
    for units in get_args(Units):
        shown = {
            name: value
            if FIGURES[name].kind == "choice"
            else figure_in_words(name, value, units).replace(",", "")
            for name in FIGURES
            if (value := getattr(usual(units), name))
        }
        basis, errors = read_basis(shown, units)
        assert not errors
        for name in FIGURES:
            if FIGURES[name].kind not in ("choice", "sign"):
                assert float(getattr(basis, name)) == pytest.approx(
                    float(getattr(usual(units), name)), rel=0.03
                )


def test_what_cannot_be_used_is_named_and_the_default_kept() -> None:
    typed = {
        "stitches_per_inch": "many",
        "waste": "300 %",
        "cloth_width_in": "3 in",
        "bobbin": "Z",
        "tail_in": "1,125",
        "each": "NaN",
        "timed_in": "90",
        "seam_in": "3/8",
    }
    basis, errors = read_basis(typed, "in")
    assert {error.field for error in errors} == set(typed) - {"timed_in", "seam_in"} | {"timed_minutes"}
    assert all(error.cure for error in errors)
    assert basis == replace(DEFAULTS, seam_in=0.375, timed_in=90.0)


@given(st.dictionaries(st.sampled_from(list(FIGURES)), st.text(max_size=25)))
def test_no_form_breaks_the_reading(typed: dict[str, str]) -> None:
    basis, _ = read_basis(typed, "mm")
    for name, figure in FIGURES.items():
        if figure.kind == "sign":
            assert len(getattr(basis, name)) <= LONGEST_SIGN
        elif figure.kind != "choice":
            assert figure.low <= getattr(basis, name) <= figure.high


def test_everything_for_a_plan() -> None:
    found = supplies_of(quilt(), WORK)
    # 2 + 2 · 1/16 · 10 = 3.25; half each; two tails of 6 in at 8 starts; 15 %
    assert found.thread.used == "thickness"
    assert found.thread.needle_in == pytest.approx((6000 * 1.625 + 96) * 1.15)
    assert found.thread.bobbins == 3
    assert found.backing_buy.words == "5 1/4 yd"  # 176 in and 5 % are 184.8 in
    assert found.batting.pack is not None
    assert found.batting.pack.name == "twin"
    assert found.open_held
    assert found.price is None
    assert [line.what for line in found.shopping][:4] == [
        "Border cloth",
        "Binding cloth",
        "Backing cloth",
        "Batting",
    ]
    assert all(cut.count >= 1 and cut.length_in > 0 for cut in found.cuts)


@pytest.mark.parametrize("grain", ["across", "along"])
@pytest.mark.parametrize("cut", ["straight", "bias"])
def test_metric_words(grain: Grain, cut: Literal["straight", "bias"]) -> None:
    plan = quilt().model_copy(update={"units": "mm"})
    found = supplies_of(plan, WORK, replace(DEFAULTS, border_grain=grain, binding_cut=cut))
    for line in found.shopping:
        assert " in" not in line.how_much
        assert " yd" not in line.how_much + line.note
    assert thread_words(3937.1, "mm") == "110 m"
    assert thread_words(360, "in") == "10 yd"


def test_the_border_to_fill() -> None:
    # 60 x 80 with 6 in borders, 1/4 in under the binding: 59.5 · 79.5 − 48 · 68
    plan = quilt().model_copy(update={"cut_own": True})
    layout = place(plan, propose(plan).proposals[0].choice)
    assert fillable_area(layout) == pytest.approx(59.5 * 79.5 - 48 * 68)


def near_what_is_stitched(layout: Layout) -> float:
    """How far the estimate is off, a share of what is stitched; fails when that is too far."""
    counted = work_of(layout, path_of(layout, fill(layout)))
    estimated = estimated_work(layout)
    assert estimated.estimated
    assert not counted.estimated
    assert estimated.stitching_in == pytest.approx(counted.stitching_in, rel=ESTIMATE_WITHIN)
    assert estimated.spine_in == counted.spine_in
    return estimated.stitching_in / counted.stitching_in - 1


@pytest.mark.parametrize("kind", FILLS)
def test_the_estimate_is_near_what_is_stitched(kind: FillKind) -> None:
    """On small quilts that the figures were not fitted to."""
    for layout in islice(layouts(kind, HELD_OUT, longest_in=40.0), 2):
        near_what_is_stitched(layout)


@pytest.mark.long
@pytest.mark.parametrize("kind", FILLS)
def test_the_estimate_of_every_width_and_corner(kind: FillKind) -> None:
    off = [near_what_is_stitched(layout) for layout in islice(layouts(kind, HELD_OUT), FEWER)]
    assert sum(each**2 for each in off) <= len(off) * ESTIMATE_USUALLY**2


def test_the_accuracy_that_is_told_is_the_one_that_holds() -> None:
    told = (Path(__file__).parents[3] / "README.md").read_text()
    figures = f"{100 * ESTIMATE_WITHIN:.0f} %, usually {100 * ESTIMATE_USUALLY:.0f} %"
    assert f"| thread, before every stitch of the fill is counted | {figures} |" in told


@pytest.mark.parametrize("meeting", ["butted", "full_circle", "little_spines", "wreath", "lattice"])
def test_the_estimated_spines_are_those_of_their_path(meeting: str) -> None:
    wanted = quilt().model_copy(update={"cut_own": True, "meeting": meeting})
    layout = place(wanted, propose(wanted).proposals[0].choice)
    path, work = path_of(layout), estimated_work(layout)
    assert work.spine_in + work.retraced_in == pytest.approx(path.length, rel=0.01)
    assert work.starts == path.starts


def test_the_starts_are_estimated_as_counted_wherever_circles_stand() -> None:
    """Joints at whole 1/32 in, where two curves end in 3.34375 and in 3.3437499…, are one."""
    twin = Plan(
        sides_in=SideLengths(top=68.25, right=88.125, bottom=68, left=88.375),
        border_in=SideLengths(top=6, right=6, bottom=6, left=6),
        tin_in=(2.5, 3, 3.5, 4, 5),
        meeting="little_spines",
    )
    for proposal in propose(twin).proposals[:4]:
        layout = place(twin, proposal.choice)
        assert estimated_work(layout).starts == path_of(layout).starts == 4


def test_what_a_seam_strip_takes_is_known_without_filling() -> None:
    """Two widths, straight lines along the wider seams that nothing leads to: their thread and their starts."""
    wide = Plan(
        sides_in=SideLengths(top=36, right=40, bottom=36.25, left=40),
        border_in=SideLengths(top=9.5, right=6, bottom=9.5, left=6),
        cut_own=True,
        fill=Fill(kind="echo"),
    )
    layout = place(wide, propose(wide).proposals[0].choice)
    assert all(layout.quilt.own[side].strip > 1 for side in ("top", "bottom"))
    near_what_is_stitched(layout)
    assert estimated_work(layout).starts == path_of(layout, fill(layout)).starts


def test_no_inches_in_a_metric_cutting_list() -> None:
    plan = quilt().model_copy(update={"units": "mm"})
    for cut in ("straight", "bias"):
        found = supplies_of(plan, WORK, replace(DEFAULTS, binding_cut=cut))
        assert not any(" in wide" in one.note or " yd" in one.note for one in found.cuts)
