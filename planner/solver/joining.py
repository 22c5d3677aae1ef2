"""Two pairs of opposite sides that land, joined where they stand on the same circles."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from planner.border.run import rise
from planner.geometry.arrays import Numbers, largest, smallest
from planner.solver.combos import Combos
from planner.solver.counts import spread
from planner.solver.reaching import estimated_run
from planner.solver.ways import OF_A_WAY, PAIRS, Asked, Figures, Landing


def join(asked: Asked, pairs: list[Landing]) -> Combos:
    """Landings of top and bottom with those of left and right on the same circles, like in step."""
    (ours, theirs), limits, tries, grounds = pairs, asked.limits, asked.tries, asked.grounds
    begin = np.searchsorted(theirs.row, ours.row, side="left")
    a, b = spread(begin, np.searchsorted(theirs.row, ours.row, side="right") - 1)
    asked.patience.spend(OF_A_WAY * len(a))
    longest = np.maximum(largest(ours.step)[a], largest(theirs.step)[b])
    mismatch = longest / np.minimum(smallest(ours.step)[a], smallest(theirs.step)[b]) - 1
    figures, others = (Figures.of(found, limits) for found in pairs)
    joined = figures.where(a).joined(others.where(b))
    parity = (ours.k[a] - theirs.k[b]) % 2
    cheap = asked.affordable(ours.row[a], joined, mismatch=mismatch, parity=parity)
    kept = (mismatch <= limits.mismatch) & cheap
    a, b = a[kept], b[kept]
    row = ours.row[a]
    ground, n = tries.ground[row], len(a)

    def per_side(of: Callable[[Landing], Numbers]) -> Numbers:
        found = np.empty((n, 4))
        for pair, landed, index in ((PAIRS[0], ours, a), (PAIRS[1], theirs, b)):
            values = of(landed)[index]
            found[:, pair] = values if values.ndim == 2 else values[:, None]
        return found

    lift = per_side(lambda found: found.lift)
    gap, r = per_side(lambda found: found.gap), tries.r[row]
    return Combos(
        ground=ground,
        tried=asked.tried[row],
        meeting=asked.meeting[row],
        corner_radius=tries.corner_radius[row],
        r=r,
        middle=per_side(lambda found: found.middle),
        k=per_side(lambda found: found.k),
        lift=lift,
        gap=gap,
        step=per_side(lambda found: found.step),
        rise=rise(grounds.height[ground][:, None], r[:, None], lift),
        short=per_side(lambda found: found.short),
        long=per_side(lambda found: found.long),
        reach_run=estimated_run(tries, row, lift, gap, limits),
        reach_ends=np.zeros(n),
    )
