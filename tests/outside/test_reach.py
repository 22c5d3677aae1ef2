"""Reach judged by scipy: a tree of points along every spine, asked from a fine grid over every border."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count, islice

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from planner.border.layout import Layout, as_measured, place
from planner.border.reach import SEAM_SLIVER_IN, measure
from planner.errors import PlanError
from planner.geometry.curves import Arc, Curve
from planner.plan import SIDES
from planner.solver.proposal import Proposal
from planner.solver.rank import ranked
from tests import strategies

GRID_IN = 0.05  # a distance changes by no more than the way between two points: half a diagonal at most
OFF_IN = GRID_IN / 2**0.5 + 0.01  # and the figure is to a hundredth
PROPOSED_OFF_IN = (
    0.07  # the closed forms of the solver, which take the ease at corners and middles by sixteenths
)

CORNERS = ("mirrored", "turning", "easy_going")


def proposals(corner: str) -> Iterator[tuple[Proposal, Layout]]:
    """Without end: plans as she might type them, one proposal of each, laid out."""
    for seed in count():
        plan = strategies.asking(seed).model_copy(update={"corner": corner})
        try:
            found = ranked(plan)
        except PlanError:
            continue
        if found:
            proposal = found[seed % len(found)]
            yield proposal, place(plan, proposal.choice)


def points_along(curve: Curve) -> NDArray[np.float64]:
    """Points every hundredth of an inch."""
    share = np.linspace(0, 1, max(2, int(curve.length / 0.01)))
    if isinstance(curve, Arc):
        angle = curve.begin + share * curve.sweep
        return curve.centre + curve.radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    return np.stack([np.interp(share, (0, 1), (curve.start[n], curve.end[n])) for n in (0, 1)], axis=1)


def farthest(layout: Layout) -> float:
    """The farthest point of each border, from the raw edge's guide to the seam, up to its last circle or middle."""
    worst = 0.0
    for i, side in enumerate(SIDES):
        view = as_measured(layout, side)
        tree = cKDTree(np.concatenate([points_along(s.piece.curve) for s in view.spines]))
        band, beside = view.quilt.own[side], view.quilt.own[SIDES[i - 1]]
        last = view.own[side].circles[-1].centre[0]
        end = band.span / 2 if layout.mirrored and layout.choice.meeting != "lattice" else last
        u, h = np.meshgrid(
            np.arange(-beside.room, end, GRID_IN), np.arange(-band.room, band.edge - SEAM_SLIVER_IN, GRID_IN)
        )
        motion = view.quilt.motion(side)
        x, y = motion.a * u + motion.c * h + motion.e, motion.b * u + motion.d * h + motion.f
        worst = max(worst, tree.query(np.stack([x.ravel(), y.ravel()], axis=1))[0].max())
    return float(worst)


def judge(number: int) -> None:
    for corner in CORNERS:
        for proposal, layout in islice(proposals(corner), number):
            found = measure(layout)
            assert abs(found.worst - farthest(layout)) < OFF_IN, layout.plan.model_dump_json()
            proposed = max(proposal.reach, proposal.reach_ends)
            assert abs(found.worst - proposed) < PROPOSED_OFF_IN, layout.plan.model_dump_json()


def test_reach_is_the_farthest_point_of_the_border() -> None:
    judge(4)


@pytest.mark.long
def test_reach_of_two_hundred_layouts() -> None:
    judge(67)
