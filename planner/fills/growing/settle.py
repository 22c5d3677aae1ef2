"""What crosses yields: of two shapes that would cross, the lesser is left out, and its place goes to the gaps.

Looked at in the quilt as a whole, since a shape may meet those of the next pocket, or its own image. Shapes
may touch where one begins or ends on another. Inches.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from planner.fills.growing.outline import Outline, drawn
from planner.fills.shape import Copy
from planner.geometry.arrays import MEETING_IN, Mask, Numbers
from planner.geometry.polylines import Polylines

Group = Sequence[Outline]  # shapes that stay or go together: a motif and what is nested in it


def drop_crossing(
    cells: Sequence[Sequence[Group]], weights: Sequence[Numbers], copies: Sequence[Copy], spines: Numbers
) -> list[Mask]:
    """For each cell, which of its groups stay: those that in none of its copies cross a spine (geometries) or
    a group that stays and weighs more."""
    first = np.cumsum([0, *(len(groups) for groups in cells)])
    weight = np.concatenate([*weights, []])
    if not len(weight):
        return [np.zeros(0, dtype=bool) for _ in cells]
    every = [drawn([o for group in groups for o in group]).between_ends(MEETING_IN) for groups in cells]
    owners = [
        low + np.repeat(np.arange(len(g)), list(map(len, g))) for low, g in zip(first, cells, strict=False)
    ]
    lines = Polylines.joined([every[copy.cell].moved(copy.motion) for copy in copies]).linestrings()
    owner = np.concatenate([owners[copy.cell] for copy in copies])
    where = np.repeat(np.arange(len(copies)), [len(owners[copy.cell]) for copy in copies])
    tree = shapely.STRtree(lines)
    hit = set(owner[tree.query(spines, predicate="intersects")[1]].tolist())
    _, first_copy = np.unique([copy.cell for copy in copies], return_index=True)
    i, j = tree.query(lines)
    apart = where[i] != where[j]
    # Two of one cell meet alike in each of its copies: they are looked at in one.
    asked = (i < j) & (apart | ((owner[i] != owner[j]) & np.isin(where[i], first_copy)))
    i, j = i[asked], j[asked]
    shapely.prepare(lines)
    near = shapely.dwithin(lines[i], lines[j], MEETING_IN)
    crossing: list[set[int]] = [set() for _ in weight]
    for a, b in zip(owner[i[near]].tolist(), owner[j[near]].tolist(), strict=True):
        crossing[a].add(b)
        crossing[b].add(a)
    stay = np.zeros(len(weight), dtype=bool)
    for a in np.argsort(-weight, kind="stable").tolist():
        stay[a] = a not in hit and a not in crossing[a] and not any(stay[b] for b in crossing[a])
    return [stay[low:high] for low, high in pairwise(first)]
