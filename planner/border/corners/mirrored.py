"""Mirrored corners: both runs leave a corner alike and meet in the middle of the side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from math import isnan

import numpy as np

from planner.border import run
from planner.border.band import Band
from planner.border.corners import Chain, Ease, in_corners
from planner.border.corners.record import CornerStyle
from planner.border.drift import drifted, to_middle
from planner.border.meetings import MEETINGS, half_of
from planner.border.spine import Circle
from planner.plan import Choice, Plan, SideName


def land(
    bands: Mapping[SideName, Band],
    plan: Plan,
    choice: Choice,
    counts: Mapping[SideName, int],
    meeting: str | None,
) -> dict[SideName, Ease]:
    """The ease with which so many circles land on the middle of each band, where one within limits does."""
    sides, limits = tuple(counts), plan.ease_limits
    runs = tuple(
        (bands[side].height, counts[side], choice.middle_of(side), bands[side].span / 2) for side in sides
    )
    sizes = choice.corner_radius, choice.run_diameter_in / 2
    eases = _eases(meeting, sizes, runs, limits.lift_in, limits.gap_in)
    return {side: Ease(lift, gap) for side, (lift, gap) in zip(sides, eases, strict=True) if not isnan(lift)}


@lru_cache(maxsize=256)  # every picture of the same plan asks the same
def _eases(
    meeting: str | None,
    sizes: tuple[float, float],
    runs: tuple[tuple[float, int, float, float], ...],
    lift_limit: float,
    gap_limit: float,
) -> tuple[tuple[float, float], ...]:
    """Lift and gap of each run (band height, count, middle, half span); nan where none within limits lands."""
    height, k, middle, half = np.array(runs, dtype=float).reshape(-1, 4).T
    lift, gap = run.Runs.of(half_of(meeting), height, *sizes, k, middle).ease(half, lift_limit, gap_limit)
    return tuple(zip(lift.tolist(), gap.tolist(), strict=True))


def circles(band: Band, choice: Choice, ease: Ease, count: int) -> tuple[tuple[Circle, ...], float]:
    """The first ``count`` circles from the side's first corner, and the step between them."""
    corner_radius, r = choice.corner_radius, choice.run_diameter_in / 2
    height, lift, gap = np.asarray(band.height), np.asarray(ease.lift), np.asarray(ease.gap)
    start = float(run.first(height, np.asarray(corner_radius), np.asarray(r), lift, gap))
    p = float(run.step(height, np.asarray(r), lift, gap))
    inner, outer = band.height - r - ease.lift, r + ease.lift
    return tuple(
        Circle(
            (start + i * p, outer if i % 2 else inner), r, "outer" if i % 2 else "inner", 1 if i % 2 else -1
        )
        for i in range(count)
    ), p


def chains(bands: dict[SideName, Band], plan: Plan, choice: Choice) -> dict[SideName, Chain]:
    """The start run of each side that lands within the ease limits."""
    least = half_of(choice.meeting).least
    counts = {side: k for side in bands if (k := choice.counts.of(side)) >= least}
    eases = land(bands, plan, choice, counts, choice.meeting)
    found = {side: _chain(bands[side], plan, choice, ease) for side, ease in eases.items()}
    return {side: chain for side, chain in found.items() if chain}


def _chain(band: Band, plan: Plan, choice: Choice, ease: Ease) -> Chain | None:
    k = choice.counts.of(band.side)
    run_circles, p = circles(band, choice, ease, k)
    if any(drift.side == band.side for drift in choice.drifts):
        end = to_middle(half_of(choice.meeting), band, choice)
        if any(drift.from_far_end for drift in choice.drifts):
            return None  # each half is a run of its own, from its own corner
        anew = drifted(plan, choice, band, run_circles, ease, band.span / 2, end)
        if anew is None:
            return None
        run_circles, ease = anew
    corners, middle, between = in_corners(band, choice.corner_radius), choice.middle_of(band.side), None
    meeting = MEETINGS[choice.meeting] if choice.meeting else None
    if meeting and meeting.half.on_middle:
        *some, last = run_circles
        run_circles, between = tuple(some), replace(last, centre=(band.span / 2, last.centre[1]))
    elif meeting and meeting.ring:
        between = meeting.ring(band, choice, run_circles[-1])
    return Chain(*corners, run_circles, ease, p, between, middle)


MIRRORED = CornerStyle(
    kind="mirrored",
    name="mirrored",
    listed="mirrored, runs meet midway",
    by_hand="Go on from curl to curl to the middle of the side, then return to the corner and stitch the run on "
    "its other side.",
    chains=chains,
    meets=True,
)
