"""At true size a side's lines and its fill are those that are chalked, wherever opposite sides differ."""

from __future__ import annotations

import re
from math import dist

import pytest

from planner.border.layout import as_measured
from planner.chalk.measured import measured_side, ruler_motion
from planner.demo import demo_plan
from planner.fills import fill
from planner.pictures.truescale import fill_of, lines_of
from planner.plan import SIDES, SideName
from planner.solver import choose

LAYOUT = choose(demo_plan()).layout


@pytest.mark.parametrize("side", SIDES)
def test_what_the_fill_grows_from_is_what_is_chalked(side: SideName) -> None:
    here, chalked = as_measured(LAYOUT, side), measured_side(LAYOUT, side)
    to_ruler = ruler_motion(here, side)
    grown_from = [
        (p.circle.moved(to_ruler)) for p in here.circles if p.side == side and p.run in ("start", "end")
    ]
    drawn_round = [circle for run in chalked.runs for circle in run.circles]
    assert len(grown_from) == len(drawn_round) > 10
    for one in drawn_round:
        assert min(dist(one.centre, other.centre) for other in grown_from) < 1e-9


def test_the_fill_of_a_side_lies_on_it() -> None:
    """Its box is the border; both corners are filled too."""
    side = measured_side(LAYOUT, "right")
    here = as_measured(LAYOUT, "right")
    drawn = fill_of(here, "right", fill(here))
    assert f'viewBox="0 0 {side.length:g} {side.border:g}"' in drawn
    places = [(float(x), float(y)) for x, y in re.findall(r'matrix\([^)]* (\S+) (\S+)\)"/>', drawn)]
    assert len(places) > 30
    assert min(x for x, _ in places) < side.far_border
    assert max(x for x, _ in places) > side.length - side.near_border


def test_the_ruler_begins_at_her_left_end() -> None:
    drawn = lines_of(LAYOUT, "top")
    length = measured_side(LAYOUT, "top").length
    figures = re.findall(r'<text x="([\d.]+)" y="[\d.]+">(\d+)</text>', drawn.split('class="figures"')[1])
    assert [float(x) for x, _ in figures] == [float(n) for _, n in figures]
    assert len(figures) == int(length) + 1
