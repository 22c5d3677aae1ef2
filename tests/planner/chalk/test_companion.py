"""The companion leaves no circle out and says none twice, however she reads her ruler."""

from __future__ import annotations

from collections import Counter
from math import hypot

import pytest

from planner.border.meetings import MEETINGS
from planner.chalk.companion import ToChalk, still_stands, to_chalk
from planner.chalk.marking import WITHIN_IN, Stance, side_marks
from planner.demo import demo_plan
from planner.plan import SIDES, Plan
from planner.solver import propose
from planner.solver.choose import choose

STANCES = [Stance(left, middle) for left in (False, True) for middle in (False, True)]


def unlike_sides(**more: object) -> Plan:
    """Four sides of four lengths."""
    sides = {"top": 61.5, "right": 74.375, "bottom": 61.125, "left": 74.75}
    return Plan.model_validate(demo_plan().model_dump() | {"sides_in": sides, "choice": None} | more)


def readings(one: ToChalk) -> tuple[float, float]:
    """Where she sets the centre by what the companion says: along from the corner at her left, and in, inches."""
    side, stance = one.table.measured, one.table.stance
    along = one.mark.along.value_in
    if stance.from_middle:
        from_left = side.length - side.middle
        return from_left + (along if one.mark.half == "right" else -along), one.mark.depth.value_in
    return (side.length - along if stance.left_handed else along), one.mark.depth.value_in


@pytest.mark.parametrize("stance", STANCES, ids=str)
@pytest.mark.parametrize("meeting", list(MEETINGS))
def test_nothing_is_said_twice(meeting: str, stance: Stance) -> None:
    plan = unlike_sides(meeting=meeting, fill={"kind": "feathers"})
    layout = choose(plan).layout
    found = to_chalk(side_marks(layout, stance))
    said = Counter(
        (m.side, m.mark.kind, m.mark.half, m.mark.along, m.mark.depth, m.mark.from_to) for m in found
    )
    assert set(said.values()) == {1}


@pytest.mark.parametrize("stance", STANCES, ids=str)
@pytest.mark.parametrize("corner", ["mirrored", "turning"])
def test_every_circle_is_chalked_once_where_it_stands(corner: str, stance: Stance) -> None:
    plan = unlike_sides(corner=corner)
    if not propose(plan).proposals:
        pytest.skip("nothing lands")  # would leave nothing to chalk
    layout = choose(plan).layout
    found = to_chalk(side_marks(layout, stance))
    curls = Counter(one.side for one in found if one.mark.kind == "curl")
    wanted = Counter(placed.side for placed in layout.circles if placed.run in ("start", "end"))
    assert curls == wanted
    assert sum(one.mark.kind == "corner" for one in found) == 4
    for side in SIDES:
        own, chain = layout.quilt.own[side], layout.own[side]
        before = layout.quilt.own[SIDES[SIDES.index(side) - 1]]
        starts = [circle.centre for circle in chain.circles]
        ends = [(own.span - x, y) for x, y in starts] if corner == "mirrored" else []
        places = [(before.outside + x, own.outside + y) for x, y in starts + ends]
        for one in (one for one in found if one.side == side and one.mark.kind == "curl"):
            along, depth = readings(one)
            x = one.table.measured.length - along
            nearest = min(places, key=lambda p: hypot(p[0] - x, p[1] - depth))
            assert hypot(nearest[0] - x, nearest[1] - depth) <= WITHIN_IN + 1e-9
            places.remove(nearest)
        assert not places


def test_of_a_side_measured_anew_the_rest_of_the_quilt_still_stands() -> None:
    """As she reads them: of the top what begins at her datum, of the other sides everything."""
    plan = choose(demo_plan()).plan
    sides = plan.sides_in.model_copy(update={"top": plan.sides_in.top + 1 / 8})
    layouts = [choose(one).layout for one in (plan, plan.model_copy(update={"sides_in": sides}))]
    was, now = (to_chalk(side_marks(layout, Stance())) for layout in layouts)
    stands = still_stands(was, now)
    assert set(range(len(was))) - set(stands) <= {n for n, one in enumerate(was) if one.side == "top"}
    assert 0 < len(stands) < len(was)
    for n, k in stands.items():
        assert was[n].side == now[k].side
        off = [a - b for a, b in zip(readings(was[n]), readings(now[k]), strict=True)]
        assert hypot(*off) <= 3 * WITHIN_IN  # each reading stands off its place by that at most
    assert still_stands(was, was) == {n: n for n in range(len(was))}
