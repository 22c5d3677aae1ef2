"""What crosses yields: of two shapes that would cross, the lesser is left out, and its place goes to the gaps.

Looked at in the quilt as a whole, since a shape may meet those of the next pocket, or its own image. Shapes
may touch where one begins or ends on another. Inches.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely

from planner.fills.growing.outline import Outline, drawn
from planner.fills.shape import Copy
from planner.geometry.arrays import DIGITS, MEETING_IN, Mask, Numbers
from planner.geometry.polylines import Polylines

_FANNED_IN = 0.05  # so far from the point at which both begin, two shapes are clear of each other
_ONE_POINT_IN = 4 * MEETING_IN  # so near each other they begin at one, when their ends are not looked at

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
    hosts, mates = _rows(cells, first.tolist())
    if mates:
        apart = where[i] != where[j]
        asked = np.array(
            [
                a or (one, other) not in mates
                for a, one, other in zip(apart, owner[i].tolist(), owner[j].tolist(), strict=True)
            ],
            dtype=bool,
        )
        i, j = i[asked], j[asked]
    shapely.prepare(lines)
    near = shapely.dwithin(lines[i], lines[j], MEETING_IN)
    near[near] = ~_fanned(lines[i[near]], lines[j[near]])
    crossing: list[set[int]] = [set() for _ in weight]
    for a, b in zip(owner[i[near]].tolist(), owner[j[near]].tolist(), strict=True):
        crossing[a].add(b)
        crossing[b].add(a)
    stay = np.zeros(len(weight), dtype=bool)
    order = np.argsort(-weight.round(DIGITS), kind="stable").tolist()
    for a in sorted(order, key=lambda a: a in hosts):
        free = a not in hit and a not in crossing[a] and not any(stay[b] for b in crossing[a])
        stay[a] = free and all(stay[b] for b in hosts.get(a, ()))
    return [stay[low:high] for low, high in pairwise(first)]


def _fanned(lines: Numbers, others: Numbers) -> Mask:
    """Which pairs are near each other only where both begin, and cross nowhere: as needles of one tuft."""
    fanned = shapely.dwithin(shapely.get_point(lines, 0), shapely.get_point(others, 0), _ONE_POINT_IN)
    fanned &= ~shapely.intersects(lines, others)
    one, other = (
        Polylines.of([shapely.get_coordinates(line) for line in some]).between_ends(_FANNED_IN).linestrings()
        for some in (lines[fanned], others[fanned])
    )
    fanned[fanned] = ~shapely.dwithin(one, other, MEETING_IN)
    return np.asarray(fanned)


def _rows(
    cells: Sequence[Sequence[Group]], first: Sequence[int]
) -> tuple[dict[int, list[int]], set[tuple[int, int]]]:
    """On which groups each stands, if on any; and pairs that share a line or stand on each other: they touch."""
    hosts: dict[int, list[int]] = {}
    mates: set[tuple[int, int]] = set()
    for low, groups in zip(first, cells, strict=False):
        rows = {group[0].row.name: n for n, group in enumerate(groups, low) if group[0].row}
        for n, group in enumerate(groups, low):
            row = group[0].row
            if row:
                if row.on:
                    hosts[n] = [rows.get(name, -1) for name in row.on]
                near = [rows[name] for name in (*row.on, row.before) if name in rows]
                mates |= {pair for other in near for pair in ((n, other), (other, n))}
    return hosts, mates


def sharing(groups: Sequence[Group]) -> list[Group]:
    """The groups that stay, as they are stitched: a plume beside another without the line that they share."""
    names = {group[0].row.name for group in groups if group[0].row}
    return [
        (replace(o, nodes=o.nodes[o.row.first :]),)
        if (o := group[0]).row and o.row.before in names
        else group
        for group in groups
    ]
