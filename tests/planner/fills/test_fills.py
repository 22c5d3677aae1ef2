"""The fill as a whole: where shapes begin, what they keep clear of, and how often a cell is used."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import count, islice
from math import hypot, isfinite

import pytest
import shapely

from planner.border.layout import Layout, as_measured, place
from planner.errors import ChoiceError
from planner.fills import fill
from planner.fills.shape import FillOfLayout
from planner.fills.styles import FILLS
from planner.plan import SIDES, Choice, FillKind, Plan, SideLengths
from planner.solver import choose, propose
from tests import strategies
from tests.contact_sheet import plan_of


def plan(kind: str) -> Plan:
    """An invented quilt; one room for every fill, so that one proposal suits them all."""
    return Plan.model_validate(
        {
            "sides_in": {"top": 44.0, "right": 50.0, "bottom": 44.0, "left": 50.0},
            "border_in": dict.fromkeys(SIDES, 6.0),
            "tin_in": (3.0, 3.25, 3.5, 4.0, 4.25, 4.5),
            "meeting": "butted",
            "fill": {"kind": kind, "room_in": 1.0},
        }
    )


@cache
def choice() -> Choice:
    return propose(plan("feathers")).proposals[0].choice


@cache
def layout(kind: str) -> Layout:
    return place(plan(kind), choice())


@cache
def filled(kind: str) -> FillOfLayout:
    return fill(layout(kind))


@pytest.mark.parametrize("corner", ["mirrored", "turning"])
def test_the_fill_of_one_side_is_that_of_the_whole_and_grows_no_other(corner: str) -> None:
    """For its pattern: what lies far from it is not grown, and nothing on it is another for that."""
    uneven = plan("leaves").model_copy(
        update={"corner": corner, "sides_in": SideLengths(top=44.25, right=50.0, bottom=44.0, left=49.75)}
    )
    here = as_measured(choose(uneven).layout, "left")
    whole, alone = fill(here), fill(here, "left")
    assert list(alone.shapes()) == [shape for shape in whole.shapes() if shape.pocket.side == "left"]
    assert sum(1 for cell in alone.cells if cell.shapes) < 0.8 * sum(1 for cell in whole.cells if cell.shapes)


@pytest.mark.parametrize("kind", FILLS)
def test_shapes_stay_inside_the_binding_allowance_and_off_the_centre(kind: str) -> None:
    placed = layout(kind)
    quilt, s = placed.quilt, placed.plan.binding_allowance_in
    inner = shapely.box(6, 6, quilt.width - 6, quilt.height - 6)
    border = shapely.box(s, s, quilt.width - s, quilt.height - s).difference(inner)
    for shape in filled(kind).shapes():
        assert border.covers(shapely.LineString(shape.points(0.002))), (shape.kind, shape.pocket)


@pytest.mark.parametrize("kind", FILLS)
def test_every_curve_begins_where_the_last_one_ended(kind: str) -> None:
    for shape in filled(kind).shapes():
        for one, other in zip(shape.curves, shape.curves[1:], strict=False):
            assert hypot(one.end[0] - other.start[0], one.end[1] - other.start[1]) < 1e-9


@pytest.mark.parametrize("kind", FILLS)
def test_shapes_begin_on_the_spine_or_on_another_shape(kind: str) -> None:
    placed = layout(kind)
    spine = shapely.unary_union([shapely.LineString(p.piece.curve.points(1e-6)) for p in placed.spines])
    shapes = list(filled(kind).shapes())
    tree = shapely.STRtree([shapely.LineString(s.points(1e-4)) for s in shapes])
    for i, shape in enumerate(shapes):
        start = shapely.Point(shape.start)
        if spine.distance(start) < 1e-5:
            continue
        others = [j for j in tree.query(start.buffer(0.03)) if j != i]
        assert min(tree.geometries[j].distance(start) for j in others) < 0.015, (shape.kind, shape.pocket)


def test_curls_of_a_run_share_their_cells() -> None:
    """As many cells as there are kinds of pockets, and four variants more of the two that come again."""
    fills = filled("feathers")
    assert len(fills.cells) <= 16 + 2 * 4
    assert len(fills.copies) > 1.5 * len(fills.cells)


def test_easy_going_curls_come_again() -> None:
    """A bed quilt has some hundred curls, of which no two neighbours are alike."""
    easy = Plan.model_validate(
        {
            "sides_in": {"top": 78.0, "right": 96.0, "bottom": 78.0, "left": 96.0},
            "border_in": dict.fromkeys(SIDES, 6.0),
            "tin_in": [n / 8 for n in range(8, 60, 2)],
            "corner": "easy_going",
        }
    )
    placed = place(easy, propose(easy).proposals[0].choice)
    fills = fill(placed)
    assert len(placed.circles) > 100
    assert len(fills.cells) <= 32
    assert len(fills.svg_defs()) + len(fills.svg_uses()) < 400_000


def test_the_same_plan_grows_the_same_fill() -> None:
    placed = layout("feathers")
    assert fill(placed) == fill(placed)


def test_svg_stays_small() -> None:
    fills = filled("feathers")
    assert len(fills.svg_defs()) + len(fills.svg_uses()) < 400_000


def small_layouts() -> Iterator[Layout]:
    """Random layouts that land, some with far more or less room than a fill would ask for."""
    for seed in count():
        drawn = strategies.landing(seed)
        if drawn and max(drawn[1].counts.of(side) for side in SIDES) <= 12:
            try:
                yield place(*drawn)
            except ChoiceError:
                continue


@pytest.mark.filterwarnings("error::RuntimeWarning")
@pytest.mark.parametrize("kind", FILLS)
@pytest.mark.parametrize("number", [4, pytest.param(100, marks=pytest.mark.long)])
def test_whatever_lands_can_be_filled(kind: str, number: int) -> None:
    for placed in islice(small_layouts(), number):
        wanted = placed.plan.fill.model_copy(update={"kind": kind})
        grown = fill(replace(placed, plan=placed.plan.model_copy(update={"fill": wanted})))
        curves = [curve for cell in grown.cells for shape in cell.shapes for curve in shape.curves]
        assert curves
        assert all(isfinite(v) for curve in curves for point in (curve.start, curve.end) for v in point)


@pytest.mark.parametrize(("kind", "shape"), [("ribbon", "ribbon"), ("fern", "frond"), ("holly", "leaf")])
def test_a_fill_is_itself_in_the_least_room(kind: FillKind, shape: str) -> None:
    """Broad shapes need room: in the least that is proposed few gaps are so small that only a round one fits."""
    asked = plan_of(kind, 4, "butted", 50, 50, FILLS[kind].needs.least_room)
    shapes = fill(place(asked, propose(asked).proposals[0].choice)).shapes()
    kinds = Counter(one.kind for one in shapes if one.kind not in ("fold", "stem"))
    assert kinds[shape] > 0.65 * kinds.total()
