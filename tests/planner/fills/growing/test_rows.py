"""Rows of plumes on a straight spine, where all is known: their heads, the lines they share, the second rank."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely

from planner.fills.growing.contour import Stretch
from planner.fills.growing.flow import BorderEdge, Lean
from planner.fills.growing.ground import Ground
from planner.fills.growing.grow import grow
from planner.fills.growing.outline import InRow, Outline, curves_through
from planner.fills.growing.settle import sharing
from planner.fills.growing.style import Needs
from planner.fills.styles.feathers import STYLE
from planner.geometry.curves import Line

NEEDS = Needs(room=1.0, smallest=0.125, seed=1)


def row(deep: float) -> list[Outline]:
    """The plumes on a straight spine, upright, so deep."""
    spine = Stretch(Line((0.0, 0.0), (12.0, 0.0)), 1.0, "stem")
    ground = Ground((spine,), (0, 0.1), (0, 0.9), (BorderEdge(((0.0, 1.0, deep),)),), ())
    grown = grow(ground, replace(STYLE, lean=Lean(0.0, 0.0)), NEEDS)
    return [group[0] for _, group in grown.groups if group[0].kind == "plume"]


def stood(plume: Outline) -> InRow:
    assert plume.row
    return plume.row


def stitched(plumes: Sequence[Outline]) -> list[shapely.LineString]:
    """The lines of the plumes as they are stitched."""
    together = [group[0] for group in sharing([(plume,) for plume in plumes])]
    return [
        shapely.LineString([p for curve in curves for p in curve.points(1e-4)])
        for curves in curves_through(together)
    ]


def test_heads_are_round_and_reach_as_far_as_they_may() -> None:
    """In a strip with parallel sides a head is .94 of half its width round, and a hair off the end."""
    plumes = row(1.0)
    assert len(plumes) > 12
    for plume in plumes:
        x, y = plume.points.T
        head = plume.points[y > y.max() - 1e-3]
        assert 0.97 < y.max() < 1.0
        wide = np.ptp(x)
        assert abs(head[:, 0].mean() - (x.min() + x.max()) / 2) < 0.05 * wide
        circle = shapely.Point(head[:, 0].mean(), y.max() - 0.47 * wide).buffer(0.45 * wide)
        assert shapely.Polygon(plume.points).contains(circle)


def test_neighbours_share_one_line() -> None:
    """Each but the first begins on the one before, ends on the spine, and crosses nothing."""
    plumes = row(1.0)
    lines = stitched(plumes)
    assert stood(plumes[0]).before is None
    for before, line in pairwise(lines):
        begin, end = shapely.Point(line.coords[0]), line.coords[-1]
        assert before.distance(begin) < 2e-4
        assert begin.y > 0.3, "it begins where its head leaves the shared line"
        assert end[1] == pytest.approx(0.0, abs=1e-9)
        body = shapely.LineString([p for p in line.coords if shapely.Point(p).distance(begin) > 2e-3])
        assert not body.crosses(before)


def test_a_plume_whose_neighbour_went_is_stitched_whole() -> None:
    plumes = row(1.0)
    kept = [*plumes[:3], *plumes[4:]]
    alone = stitched(kept)[3]
    assert alone.coords[0][1] == pytest.approx(0.0, abs=1e-9), "from the spine"
    assert len(sharing([(plumes[4],)])[0][0].nodes) == len(plumes[4].nodes)


def test_long_plumes_get_a_second_rank_that_stands_on_their_heads() -> None:
    assert not any(stood(plume).on for plume in row(2.0))
    plumes = row(3.0)
    lines = dict(zip((stood(p).name for p in plumes), stitched(plumes), strict=True))
    heads, arches = ([p for p in plumes if bool(stood(p).on) is over] for over in (False, True))
    assert len(arches) == len(heads) - 1
    assert max(p.points[:, 1].max() for p in heads) < 0.7 * 3.0
    for arch in arches:
        feet = arch.points[0], arch.points[-1]
        for foot, host in zip(feet, stood(arch).on, strict=True):
            assert lines[host].distance(shapely.Point(foot)) < 2e-4
        assert arch.points[:, 1].max() > 0.9 * 3.0
