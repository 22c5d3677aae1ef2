"""From shapes as they grew to shapes as they are stitched: what crosses goes, and what that leaves is filled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from planner.fills.contour import Numbers
from planner.fills.gaps import Grown, drops
from planner.fills.grow import Needs, Style
from planner.fills.outline import Outline, size
from planner.fills.settle import Group, moved, standing
from planner.fills.shape import Copy

_LEAST = 0.185  # radius of the smallest hole that is filled, as a share of the room


def finished(
    cells: Sequence[Grown | None], copies: Sequence[Copy], spines: Numbers, style: Style, needs: Needs
) -> list[list[Outline]]:
    """The outlines of each cell in stitching order; none for a cell that did not grow from a spine."""
    groups = [[group for _, group in cell.groups] if cell else [] for cell in cells]
    copies = _neighbourhoods(groups, copies)
    weights = [np.array([max(map(size, group)) for group in one]) for one in groups]
    stay = standing(groups, weights, copies, spines)
    grown = [
        replace(cell, groups=tuple(g for g, ok in zip(cell.groups, stays, strict=True) if ok))
        if cell
        else None
        for cell, stays in zip(cells, stay, strict=True)
    ]
    hung = [
        drops(one, lambda hole: style.drop(hole, needs), _LEAST * needs.room) if one else [] for one in grown
    ]
    settled = [[group for _, group in one.groups] if one else [] for one in grown]
    groups = [[*own, *((drop,) for _, drop in more)] for own, more in zip(settled, hung, strict=True)]
    weights = [
        np.array([np.inf] * len(own) + [size(drop) for _, drop in more])
        for own, more in zip(settled, hung, strict=True)
    ]
    stay = standing(groups, weights, copies, spines)
    return [
        _in_order(own, [drop for drop, ok in zip(more, stays[len(own) :], strict=True) if ok])
        for own, more, stays in zip(settled, hung, stay, strict=True)
    ]


def _neighbourhoods(cells: Sequence[Sequence[Group]], copies: Sequence[Copy]) -> list[Copy]:
    """Copies enough to show every way in which two cells lie beside each other in the quilt."""
    corners = [_corners([o.points for group in groups for o in group]) for groups in cells]
    there = [moved(corners[copy.cell], copy.motion) for copy in copies]
    boxes = [shapely.box(*points.min(axis=0), *points.max(axis=0)) for points in there]
    known: set[tuple[float, ...]] = set()
    shown: set[int] = set()
    for i, j in sorted(zip(*shapely.STRtree(boxes).query(boxes).tolist(), strict=True)):
        one, other = copies[i], copies[j]
        m = one.motion.undone().after(other.motion)
        alike = (one.cell, other.cell, *(round(v, 3) + 0.0 for v in (m.a, m.b, m.c, m.d, m.e, m.f)))
        if alike not in known:
            known.add(alike)
            shown |= {i, j}
    return [copies[i] for i in sorted(shown)]


def _corners(outlines: Sequence[Numbers]) -> Numbers:
    """Corners of the box round some outlines. Shape (4, 2)."""
    points = np.concatenate((*outlines, np.zeros((0 if outlines else 1, 2))))
    (x, y), (u, v) = points.min(axis=0), points.max(axis=0)
    return np.array([(x, y), (u, y), (u, v), (x, v)])


def _in_order(groups: Sequence[Group], hung: Sequence[tuple[int, Outline]]) -> list[Outline]:
    """The shapes, each drop after the one it hangs on."""
    order = [drop for after, drop in hung if after == 0]
    for i, group in enumerate(groups, 1):
        order += [*group, *(drop for after, drop in hung if after == i)]
    return order
