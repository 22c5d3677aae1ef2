"""Side by side: each variant solved for itself, the best of each row found, failures told in their place."""

import re
from dataclasses import replace

import pytest

from planner.border.corners import Ease
from planner.border.reach import measure
from planner.border.room import longest_plume
from planner.compare import Variant, by_corner, by_fill, by_width, compare, with_width
from planner.deciding import MEASURES, Solved
from planner.errors import PlanError
from planner.pictures.swatch import frame_of, swatch
from planner.plan import LARGEST_QUILT_IN, SIDES, Fill, Plan, SideLengths
from planner.solver import propose
from planner.solver.rank import best, ranked
from planner.supplies.basis import DEFAULTS


def plan(border: float = 8.0, **changed: object) -> Plan:
    made = Plan(
        sides_in=SideLengths(top=60.0, right=72.0, bottom=60.0, left=72.5),
        border_in=SideLengths(**dict.fromkeys(SIDES, border)),
        tin_in=(2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 6.5),
        typed={"border": "8", "sides_in.top": "60", "tin_in": "2 1/2; 3"},
    )
    return made.model_copy(update=changed)


def test_the_centre_stays_and_the_quilt_grows() -> None:
    wider = with_width(plan(), 9.5, "centre")
    assert wider.sides_in.top == 63
    assert wider.sides_in.left == 75.5
    centre = wider.sides_in.top - wider.border_in.left - wider.border_in.right
    assert centre == 60 - 16
    assert wider.typed == {"tin_in": "2 1/2; 3"}


def test_the_outer_size_stays_and_the_centre_shrinks() -> None:
    wider = with_width(plan(), 9.5, "outer")
    assert wider.sides_in == plan().sides_in
    assert {wider.border_in.of(side) for side in SIDES} == {9.5}


def test_the_plan_as_it_is_stays_untouched() -> None:
    assert with_width(plan(), 8.0, "centre") is not None
    assert with_width(plan(), 8.0, "centre").typed == plan().typed


def test_a_quilt_of_borders_alone_is_told_so() -> None:
    """Found by schemathesis: borders as wide as the quilt, made narrower, left a side of nothing."""
    nothing = plan(2.0, sides_in=SideLengths(top=4.0, right=2.0, bottom=4.0, left=2.0))
    with pytest.raises(PlanError, match="nothing of the quilt"):
        with_width(nothing, 1.0, "centre")


def test_a_choice_of_hers_is_kept_in_its_own_column() -> None:
    third = propose(plan()).proposals[2].choice
    found = compare(by_width(plan(choice=third), [7.0, 8.0], "centre"))
    solved = found.columns[1].solved
    assert solved is not None
    assert solved.chosen.choice == third


@pytest.mark.parametrize("corner", ["mirrored", "turning"])
@pytest.mark.parametrize("border", [6.0, 8.0, 9.0, 25.0])
def test_the_best_is_what_the_workbench_puts_first(border: float, corner: str) -> None:
    one = plan(border, corner=corner)
    ranking = ranked(one)
    assert best(one) == (replace(ranking[0], why="") if ranking else None)


def test_the_best_of_each_row_is_the_least() -> None:
    found = compare(by_width(plan(), [7.0, 8.0, 9.0], "centre"))
    solved = [column.solved for column in found.columns]
    measured = {one.name: one for one in MEASURES}
    assert any(row.best for row in found.rows)
    for row in found.rows:
        measure = measured[row.name]
        if measure.cost is None or not row.best:
            continue
        costs = [measure.cost(one) for one in solved if one is not None]
        assert min(costs) in {costs[i] for i in row.best}
        assert row.why
        assert all(row.cells[i] == row.cells[min(row.best)] for i in row.best)
        assert len(row.best) < len(costs)


def test_a_reach_is_told_beside_what_its_own_side_can_take() -> None:
    """Sides of two widths have two rooms: the wide one takes a longer plume than the narrow one's longest."""
    across, down = (274.0, 273.5), (280.5, 280.0)  # cm
    two = Plan(
        units="cm",
        sides_in=SideLengths(
            top=across[0] / 2.54, right=down[0] / 2.54, bottom=across[1] / 2.54, left=down[1] / 2.54
        ),
        border_in=SideLengths(top=25 / 2.54, right=22 / 2.54, bottom=25 / 2.54, left=22 / 2.54),
        tin_in=tuple(d / 2.54 for d in (6, 7.5, 9, 10, 12, 15, 18)),
        fill=Fill(kind="needles"),
    )
    solved = compare([Variant("it", two), Variant("again", two)]).columns[0].solved
    assert solved
    rooms = {side: band.room for side, band in solved.layout.quilt.own.items()}
    assert rooms["top"] > rooms["left"] + 0.25
    assert measure(solved.layout).run > longest_plume(two.fill, rooms["left"])
    assert solved.reach <= solved.longest


def test_alike_in_all_is_best_in_none() -> None:
    found = compare(by_corner(plan(), ["mirrored", "turning"]))
    size = next(row for row in found.rows if row.name == "Border cloth")
    assert size.cells[0] == size.cells[1]
    assert not size.best


def test_what_does_not_work_says_why_in_its_place() -> None:
    found = compare(by_width(plan(), [2.0, 8.0, 31.0], "outer"))
    assert [column.solved is None for column in found.columns] == [True, False, True]
    for column in (found.columns[0], found.columns[2]):
        assert column.obstacles[0].message
        assert column.obstacles[0].cure
    assert all(row.cells[0] is None and row.cells[2] is None for row in found.rows)


def test_a_quilt_too_large_is_told_in_its_place() -> None:
    found = compare(by_width(plan(), [8.0, LARGEST_QUILT_IN / 2], "centre"))
    assert found.columns[1].variant.plan is None
    assert found.columns[1].obstacles


@pytest.mark.parametrize("widths", [[8.0], [float(w) for w in range(4, 14)]])
def test_two_to_nine(widths: list[float]) -> None:
    with pytest.raises(PlanError):
        compare(by_width(plan(), widths, "centre"))


def test_fills_take_what_they_need() -> None:
    variants = by_fill(plan(), ["feathers", "needles"])
    assert variants[0].plan is not None
    assert variants[1].plan is not None
    assert variants[0].plan.fill == plan().fill
    assert (variants[1].plan.fill.kind, variants[1].plan.fill.room_in) == ("needles", None)


def test_her_own_basis_counts() -> None:
    variants = by_width(plan(), [7.0, 8.0], "centre")
    usual, thick = compare(variants), compare(variants, replace(DEFAULTS, thickness_in=0.12))
    for one, other in zip(usual.columns, thick.columns, strict=True):
        assert one.solved is not None
        assert other.solved is not None
        assert other.solved.supplies.thread.needle_in > one.solved.supplies.thread.needle_in


def test_swatches_are_to_one_scale() -> None:
    found = compare(by_width(plan(), [7.0, 9.0], "centre"))
    layouts = [column.solved.layout for column in found.columns if column.solved]
    for room in (95.0, 400.0):  # of nine columns, of two
        frame = frame_of(layouts, room, 184.0)
        drawn = [swatch(layout, frame) for layout in layouts]
        sizes = {re.search(r'width="([\d.]+)" height="([\d.]+)" aria', one).groups() for one in drawn}  # type: ignore[union-attr]
        assert len(sizes) == 1
        ((wide, high),) = sizes
        assert float(wide) <= room + 0.1 and float(high) <= 184.1
        shown = {box for one in drawn for box in re.findall(r'viewBox="\S+ \S+ (\S+ \S+)"', one)[1:]}
        assert len(shown) == 1  # both halves of both: so many inches
        assert frame.wide > 9 + 0.4 and frame.high > 9 + 0.4


def eased(solved: Solved, lift: float, gap: float) -> Solved:
    """The same with another ease on one side."""
    own = {side: replace(chain, ease=Ease(0.0, 0.0)) for side, chain in solved.layout.own.items()}
    layout = replace(solved.layout, own=own | {"left": replace(own["left"], ease=Ease(lift, gap))})
    return replace(solved, chosen=replace(solved.chosen, layout=layout))


@pytest.mark.parametrize(
    ("lift", "gap", "words", "metric"),
    [
        (0.0, 0.0, "none", "none"),
        (0.0077, 0.0, "none", "none"),  # under 1/128 in no chalk line shows
        (0.0079, 0.0, "1/64 in", "0.02 cm"),
        (1 / 64, 1 / 64, "1/32 in", "0.08 cm"),
        (0.125, 0.001, "1/8 in", "0.32 cm"),
    ],
)
def test_an_ease_that_no_chalk_line_shows_is_none(lift: float, gap: float, words: str, metric: str) -> None:
    solved = compare(by_width(plan(), [8.0, 9.0], "centre")).columns[0].solved
    assert solved
    (measure,) = (one for one in MEASURES if one.name == "Ease")
    one = eased(solved, lift, gap)
    assert (measure.words(one, "in"), measure.words(one, "cm")) == (words, metric)
    assert measure.cost
    assert (measure.cost(one) == 0) == (words == "none")
