"""Echo lines where circles stand apart: beside the spine that runs from one to the next they are straight too."""

from __future__ import annotations

from functools import cache
from math import inf

import pytest
import shapely

from planner.border.layout import Layout, place
from planner.fills import fill
from planner.fills.echoing.discs import discs_of, level
from planner.fills.growing.contour import points_along
from planner.fills.growing.ground import Ground
from planner.fills.pocket import Pocket
from planner.fills.pockets.side_pockets import side_pockets
from planner.geometry.curves import Line
from planner.plan import EaseLimits, Fill
from planner.solver import propose
from tests.contact_sheet import plan_of
from tests.outside.fill_judge import Drawing, crossings, spine_crossings

# Width, fill, ease, and which of the ways in which that lands: circles .22 and .11 in apart.
APART = [
    (5, Fill(kind="echo", room_in=0.25), EaseLimits(lift_in=0.0, gap_in=0.25), 8),
    (11, Fill(kind="echo", room_in=1.25, longest_in=3.5), EaseLimits(), 1),
]


@cache
def landed(n: int) -> Layout:
    width, what, ease, which = APART[n]
    plan = plan_of("echo", width, "butted", 81, 99, None)
    plan = plan.model_copy(update={"fill": what, "ease_limits": ease})
    return place(plan, propose(plan).proposals[which].choice)


@pytest.mark.parametrize("n", range(len(APART)))
def test_lines_cross_neither_the_spine_nor_each_other(n: int) -> None:
    """384 and 44 lay over the spine."""
    layout = landed(n)
    links = [s.piece.curve for s in layout.spines if isinstance(s.piece.curve, Line)]
    assert max(link.length for link in links) > 0.9
    drawing = Drawing(layout, fill(layout))
    assert not list(spine_crossings(drawing))
    assert not list(crossings(drawing))


def test_no_line_is_nearer_than_its_step_to_the_spine() -> None:
    """Measured by shapely. If only circles count, lines lie over what runs from one to the next."""
    grounds = {bare.pocket: bare.ground for bare in side_pockets(landed(0), "top")}
    ground = grounds[Pocket("curl", "top", "start", 3)]
    assert isinstance(ground, Ground)
    flank = [s.curve for s in ground.flank if s.label != "tip"]
    spine = shapely.MultiLineString([points_along(curve, 1e-5) for curve in flank])
    step = 0.1
    near = [
        min(
            shapely.distance(spine, shapely.points(points_along(arc.curve, 1e-4))).min()
            for arc in level(discs_of(ground, apart), ground, step)
        )
        for apart in (step / 2, inf)
    ]
    assert near[0] > 0.995 * step
    assert near[1] < 0.1 * step
