"""The nearest miss: what is said to stay open does stay open, and nothing of hers comes nearer."""

from __future__ import annotations

import pytest

from planner.border.band import quilt_of
from planner.border.corners import Ease
from planner.border.corners.mirrored import circles
from planner.pictures.miss import miss_picture
from planner.plan import SIDES, EaseLimits, Fill, Plan, SideLengths
from planner.solver import propose
from planner.solver.miss import nearest_miss


def dead(tin: tuple[float, ...]) -> Plan:
    return Plan(
        sides_in=SideLengths(top=63.5, bottom=63.5, left=38.5, right=38.5),
        border_in=SideLengths(top=6, bottom=6, left=6, right=6),
        fill=Fill(longest_in=1.0),
        tin_in=tin,
        run="level",
        ease_limits=EaseLimits(lift_in=0.0, gap_in=0.0),
    )


@pytest.mark.parametrize("tin", [(2.0,), (2.0, 2.5, 3.0)])
def test_what_is_said_to_stay_open_does(tin: tuple[float, ...]) -> None:
    plan = dead(tin)
    assert not propose(plan).proposals
    miss = nearest_miss(plan)
    assert miss is not None
    quilt = quilt_of(plan, miss.choice)
    opened = {}
    for side in SIDES:
        band = quilt.own[side]
        row, _ = circles(band, miss.choice, Ease(miss.lift_in, miss.gap_in), miss.choice.counts.of(side))
        opened[side] = band.span - 2 * row[-1].centre[0] - miss.choice.run_diameter_in - miss.gap_in
        assert opened[side] > -1e-9, "it would overlap"
    assert opened[miss.side] == max(opened.values()) == pytest.approx(miss.open_in, abs=1e-9)
    assert 'class="open"' in miss_picture(plan, miss)


def test_more_circles_never_come_less_near() -> None:
    few, more = nearest_miss(dead((2.0,))), nearest_miss(dead((2.0, 2.5, 3.0)))
    assert few is not None
    assert more is None or more.open_in <= few.open_in + 1e-9


def test_where_no_circle_fits_nothing_is_drawn() -> None:
    assert nearest_miss(dead((7.0,))) is None
    turning = dead((2.0,)).model_copy(update={"corner": "turning"})
    assert nearest_miss(turning) is None
