"""Turning corners: one run goes round the quilt; a side holds m circles between two corner circles.

Both ends of a side are like its first circle, so m is odd, and the k-th circle of m = 2k − 1 stands on the
middle of the side: the same root as a mirrored run with nothing left to meet.
"""

from __future__ import annotations

from planner.border.band import Band
from planner.border.corners import Chain, Ease, in_corners
from planner.border.corners.mirrored import circles, land
from planner.border.corners.record import ALL_ROUND, CornerStyle
from planner.border.drift import drifted, to_corner
from planner.plan import Choice, Plan, SideName


def chains(bands: dict[SideName, Band], plan: Plan, choice: Choice) -> dict[SideName, Chain]:
    """All circles of each side that lands within the ease limits with an odd number of them."""
    counts = {side: (m + 1) // 2 for side in bands if (m := choice.counts.of(side)) % 2}
    eases = land(bands, plan, choice, counts, None)
    found = {side: _chain(bands[side], plan, choice, ease) for side, ease in eases.items()}
    return {side: chain for side, chain in found.items() if chain}


def _chain(band: Band, plan: Plan, choice: Choice, ease: Ease) -> Chain | None:
    m = choice.counts.of(band.side)
    row, step = circles(band, choice, ease, m)
    if any(drift.side == band.side for drift in choice.drifts):
        anew = drifted(plan, choice, band, row, ease, band.span, to_corner(band, choice))
        if anew is None:
            return None
        row, ease = anew
    return Chain(*in_corners(band, choice.corner_radius), row, ease, step)


TURNING = CornerStyle(
    kind="turning",
    name="turning",
    listed="turning, one run all round",
    by_hand=ALL_ROUND,
    chains=chains,
)
