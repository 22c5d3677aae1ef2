"""What crosses yields: of two shapes that would cross, the lesser is left out, and its place goes to the gaps.

Looked at in the quilt as a whole, since a shape may meet those of the next pocket, or its own image. Shapes
may touch where one begins or ends on another. Inches.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain, pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.fills.contour import Numbers
from planner.fills.outline import Outline, moved
from planner.fills.shape import Copy

Group = Sequence[Outline]  # shapes that stay or go together: a motif and what is nested in it

_MEETING_IN = 1e-3  # a shape's ends are looked at this far from where it meets another


def standing(
    cells: Sequence[Sequence[Group]], weights: Sequence[Numbers], copies: Sequence[Copy], spines: Numbers
) -> list[NDArray[np.bool_]]:
    """For each cell, which of its groups stay: those that in none of its copies cross a spine (geometries) or
    a group that stays and weighs more. An infinite weight stays whatever it meets."""
    first = np.cumsum([0, *(len(groups) for groups in cells)])
    weight = np.concatenate([*weights, []])
    owner = np.repeat(np.arange(len(weight)), [len(g) for groups in cells for g in groups])
    if not len(owner):
        return [np.zeros(0, dtype=bool) for _ in cells]
    every = [between_ends(o.drawn, _MEETING_IN) for o in chain.from_iterable(chain.from_iterable(cells))]
    sizes = np.array([len(points) for points in every])
    points, starts = np.concatenate(every), np.concatenate(([0], np.cumsum(sizes)))
    bounds = np.searchsorted(owner, first)
    ranges = [(int(bounds[copy.cell]), int(bounds[copy.cell + 1])) for copy in copies]
    drawing = [
        moved(points[starts[low] : starts[high]], copy.motion)
        for copy, (low, high) in zip(copies, ranges, strict=True)
    ]
    lines = polylines(np.concatenate(drawing), np.concatenate([sizes[low:high] for low, high in ranges]))
    owner = np.concatenate([owner[low:high] for low, high in ranges])
    where = np.repeat(np.arange(len(copies)), [high - low for low, high in ranges])
    tree = shapely.STRtree(lines)
    hit = set(owner[tree.query(spines, predicate="intersects")[1]].tolist())
    fresh = np.flatnonzero(np.isfinite(weight[owner]))
    i, j = tree.query(lines[fresh], predicate="intersects")
    i = fresh[i]
    other = (owner[i] != owner[j]) | (where[i] != where[j])
    crossing: list[set[int]] = [set() for _ in weight]
    for a, b in zip(owner[i[other]].tolist(), owner[j[other]].tolist(), strict=True):
        crossing[a].add(b)
        crossing[b].add(a)
    stay = np.isinf(weight)
    for a in np.argsort(-weight, kind="stable").tolist():
        if not stay[a]:
            stay[a] = a not in hit and a not in crossing[a] and not any(stay[b] for b in crossing[a])
    return [stay[low:high] for low, high in pairwise(first)]


def between_ends(points: Numbers, bit: float) -> Numbers:
    """The outline a bit short of both its ends, so that meeting there does not count as crossing."""
    way = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    cuts = (bit, max(way[-1] - bit, bit))
    ends = np.stack([np.interp(cuts, way, points[:, k]) for k in (0, 1)], axis=1)
    return np.concatenate((ends[:1], points[(way > cuts[0]) & (way < cuts[1])], ends[1:]))


def crosses(points: Numbers, other: Numbers) -> bool:
    """Whether a shape crosses another elsewhere than at its ends."""
    one = shapely.LineString(between_ends(points, _MEETING_IN))
    return bool(one.intersects(shapely.LineString(other)))


def polylines(points: Numbers, sizes: Sequence[int] | NDArray[np.int64]) -> Numbers:
    """Geometries of so many points each."""
    index = np.repeat(np.arange(len(sizes)), sizes)
    return np.atleast_1d(np.asarray(shapely.linestrings(points, indices=index)))
