"""Reach judged by scipy: a tree of points along every spine, asked from a grid over every border, edges and all,
and from an ever finer one where the farthest point may lie."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count, islice

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from planner.border.layout import Layout, as_measured, place
from planner.border.reach import SEAM_SLIVER_IN, keeps_within, measure
from planner.errors import PlanError
from planner.geometry.curves import Arc, Curve, Motion
from planner.plan import SIDES
from planner.solver.proposal import Proposal
from planner.solver.rank import ranked
from tests import strategies

GRID_IN = 0.1  # a distance changes by no more than the way between two points
FINEST_IN = 0.002
OFF_IN = 0.005  # half a hundredth: the figure, and the closed forms of the solver

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


def grid(low: NDArray[np.float64], high: NDArray[np.float64], step: float) -> NDArray[np.float64]:
    """Points all over a box and on its edges, no farther apart than ``step`` each way."""
    axes = (np.linspace(a, b, 2 + int((b - a) / step)) for a, b in zip(low, high, strict=True))
    return np.stack([axis.ravel() for axis in np.meshgrid(*axes)], axis=1)


def emptiest(tree: cKDTree, low: NDArray[np.float64], high: NDArray[np.float64], motion: Motion) -> float:
    """The largest distance from a point of a box, in the coordinates of its side, to the tree's points."""
    step, points = GRID_IN, grid(low, high, GRID_IN)
    while True:
        u, h = points.T
        x, y = motion.a * u + motion.c * h + motion.e, motion.b * u + motion.d * h + motion.f
        found = tree.query(np.stack([x, y], axis=1))[0]
        if step <= FINEST_IN:
            return float(found.max())
        may_hold = points[
            found >= found.max() - step
        ]  # no point of a box lies farther than its diagonal from one
        near = grid(np.full(2, -step / 2), np.full(2, step / 2), step / 4)
        step /= 4
        points = np.unique(np.clip((may_hold[:, None] + near).reshape(-1, 2), low, high).round(6), axis=0)


def farthest(layout: Layout) -> float:
    """The farthest point of each border, from the raw edge's guide to the seam, up to its last circle or middle."""
    worst = 0.0
    for i, side in enumerate(SIDES):
        view = as_measured(layout, side)
        tree = cKDTree(np.concatenate([points_along(s.piece.curve) for s in view.spines]))
        band, beside = view.quilt.own[side], view.quilt.own[SIDES[i - 1]]
        last = view.own[side].circles[-1].centre[0]
        end = band.span / 2 if layout.mirrored and layout.choice.meeting != "lattice" else last
        low, high = np.array([-beside.room, -band.room]), np.array([end, band.edge - SEAM_SLIVER_IN])
        worst = max(worst, emptiest(tree, low, high, view.quilt.motion(side)))
    return worst


def judge(number: int) -> None:
    for corner in CORNERS:
        for proposal, layout in islice(proposals(corner), number):
            found = measure(layout)
            assert abs(found.worst - farthest(layout)) < OFF_IN, layout.plan.model_dump_json()
            ends = max(found.corner, found.middle)
            for off in (-OFF_IN, OFF_IN):  # what only asks whether, says the same
                assert keeps_within(layout, found.run + off, ends + OFF_IN) == (off > 0)
                assert keeps_within(layout, found.run + OFF_IN, ends + off) == (off > 0)
            proposed = max(proposal.reach, proposal.reach_ends)
            assert abs(found.worst - proposed) < OFF_IN, layout.plan.model_dump_json()


def test_reach_is_the_farthest_point_of_the_border() -> None:
    judge(4)


@pytest.mark.long
def test_reach_of_two_hundred_layouts() -> None:
    judge(67)
