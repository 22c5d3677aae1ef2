"""Echo lines of neighbouring pockets: what is between two of them is stitched once, and no line is left out."""

from __future__ import annotations

from collections import defaultdict

import pytest
import shapely

from planner.border.layout import Layout, place
from planner.fills import _pockets, fill
from planner.fills.echoing.shares import rays_of, shares_of
from planner.fills.growing.ground import Ground
from planner.geometry.curves import Line
from planner.solver import propose
from planner.stitching.order import path_of
from tests.contact_sheet import plan_of

STYLES = ("butted", "turning", "easy_going")


def layout_of(style: str) -> Layout:
    plan = plan_of("echo", 6, style, 60, 70, None)
    return place(plan, propose(plan).proposals[0].choice)


@pytest.mark.parametrize("style", STYLES)
def test_of_two_pockets_of_a_side_that_meet_the_later_gives_to_the_earlier(style: str) -> None:
    pockets = list(_pockets(layout_of(style), 0.0, hatched=False))
    met = defaultdict(list)
    for n, (bare, (share, takers)) in enumerate(zip(pockets, shares_of(pockets), strict=True)):
        if isinstance(bare.ground, Ground) and share.lines:
            given = dict(zip((over.ray for over in share.gives), takers, strict=True))
            for k, ray in enumerate(rays_of(bare.ground)):
                if ray:
                    x, y = bare.motion.point(ray.at(0))
                    met[round(x, 4), round(y, 4)].append((n, given.get(k)))
    assert len(met) > 20
    for (one, first), (other, later) in met.values():
        alike = pockets[one].pocket.side == pockets[other].pocket.side
        assert (first, later) == (None, pockets[one].pocket if alike else None)


@pytest.mark.parametrize("style", STYLES)
def test_what_goes_over_a_ray_is_one_pockets(style: str) -> None:
    """Else the needle that fills a pocket to its end would come to a dead end there."""
    layout = layout_of(style)
    feet = [
        (bare.motion.point(ray.at(0)), bare.motion.point(ray.at(ray.length(bare.ground))))
        for bare in _pockets(layout, 0.0, hatched=False)
        if isinstance(bare.ground, Ground)
        for ray in rays_of(bare.ground)
        if ray
    ]
    rays = shapely.STRtree(shapely.linestrings(feet))
    ends = defaultdict(list)
    for shape in fill(layout).shapes():
        for x, y in {shape.start, shape.end} if shape.pocket else ():
            ends[round(x, 3), round(y, 3)].append(shape.pocket)
    over = [
        met
        for end, met in ends.items()
        if len(met) == 2 and len(rays.query(shapely.Point(end), "dwithin", 1e-3))
    ]
    assert len(over) > 40
    assert all(one == other or one.side != other.side for one, other in over)


@pytest.mark.parametrize("style", STYLES)
def test_little_of_the_lines_is_stitched_twice(style: str) -> None:
    """A prototype that knew no pockets and had no veins stitched .7 to 1.3 % twice."""
    assert _twice(layout_of(style)) < 0.04


def test_little_is_where_the_circles_do_not_touch() -> None:
    """A link over an inch long, as in wide borders: a fifth was stitched twice when nothing was given there."""
    plan = plan_of("echo", 11, "butted", 90, 108, None)
    layout = place(plan, propose(plan).proposals[0].choice)
    links = [s.piece.curve.length for s in layout.spines if isinstance(s.piece.curve, Line)]
    assert max(links) > 1
    assert _twice(layout) < 0.08


def _twice(layout: Layout) -> float:
    """The share of the lines that is stitched twice."""
    path = path_of(layout, fill(layout))
    twice = sum(move.length for move in path.segments if move.again and move.shape is not None)
    return twice / path.length
