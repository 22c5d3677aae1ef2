"""How far a fill may grow over every place of the spine: the ground is shared out, with little left to nobody."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely

from planner.border.layout import place
from planner.fills.growing.contour import sample
from planner.fills.growing.flow import depths
from planner.fills.growing.ground import Ground
from planner.fills.growing.grow import grow
from planner.fills.growing.style import Needs
from planner.fills.pockets.side_pockets import side_pockets
from planner.fills.styles.feathers import STYLE
from planner.plan import SIDES, Plan
from planner.solver import propose


@cache
def pocket(width: float) -> Ground:
    """The pocket of a curl in the middle of a run, in a border so wide, with corners that turn."""
    plan = Plan.model_validate(
        {
            "sides_in": {side: 50.0 if side in ("top", "bottom") else 60.0 for side in SIDES},
            "border_in": dict.fromkeys(SIDES, width),
            "tin_in": [n / 8 for n in range(8, 60, 2)],
            "corner": "turning",
            "fill": {"kind": "feathers"},
        }
    )
    layout = place(plan, propose(plan).proposals[0].choice)
    ground = next(p.ground for p in side_pockets(layout, "top") if p.pocket.curl == 4)
    assert isinstance(ground, Ground)
    return ground


def left_over(ground: Ground, *, sweeps: bool) -> float:
    """Which share of the ground of a pocket belongs to no place of its spine."""
    contour = sample(ground.flank)
    domain = shapely.Polygon(grow(ground, STYLE, Needs(room=1.0, smallest=0.125, seed=1)).domain).buffer(0)
    d = depths(contour, ground.edges, (), contour.point, sweeps=sweeps, fans=False)
    on, out = contour.point, contour.point + d[:, None] * contour.normal
    quads = np.stack((on[:-1], out[:-1], out[1:], on[1:]), axis=1)
    taken = shapely.union_all(shapely.buffer(shapely.polygons(quads), 0.03))
    return float(domain.difference(taken).area / domain.area)


@pytest.mark.parametrize("width", [5.0, 6.0])
def test_what_sweeps_over_a_tip_leaves_no_ground_open(width: float) -> None:
    """Before the tip, round it and on the tail everything has a share that ends where the next begins."""
    assert left_over(pocket(width), sweeps=True) < 0.02 < left_over(pocket(width), sweeps=False)
