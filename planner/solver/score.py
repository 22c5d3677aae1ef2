"""How proposals are ranked: each figure that the weights price, and their sum.

A score is a cost: 0 is a layout with nothing to forgive, and each term is 1 when its figure is as bad as one
would still stitch.
"""

from __future__ import annotations

import numpy as np

from planner.border.room import comfortable_room, longest_plume
from planner.border.run import step
from planner.geometry.arrays import ROUNDING, Numbers, largest, smallest
from planner.plan import SIDES, Plan
from planner.solver.combos import Combos, Tries
from planner.solver.grounds import Grounds
from planner.solver.limits import ENDS_REACH, LEVEL_RISE, Limits
from planner.solver.weights import (
    LEVEL_BORDERS_IN,
    STRIP_PER_IN,
    UNLIKE_IN,
    WEIGHTS,
    crowded,
    eased,
    slipping,
)


def terms(plan: Plan, grounds: Grounds, combos: Combos, limits: Limits) -> dict[str, Numbers]:
    """Each term of the score, shape (n,)."""
    longest = longest_plume(plan.fill, comfortable_room(plan.fill))
    return {
        "ease": eased(combos.lift, combos.gap, limits),
        "reach": np.maximum(combos.reach_run, combos.reach_ends / ENDS_REACH) / longest,
        "mismatch": combos.mismatch / max(limits.mismatch, ROUNDING),
        "unlike": combos.unlike / UNLIKE_IN,
        "level": _rolling(plan, combos),
        "middle": np.asarray(sum(combos.middle.T)) / len(SIDES) / (2 * longest),
        "crowding": crowding(combos),
        "margin": slipping(combos.margin),
        "parity": (combos.k[:, 0] - combos.k[:, 1]) % 2,
        **_of_ground(plan, grounds, combos),
    }


def score(plan: Plan, grounds: Grounds, combos: Combos, limits: Limits) -> Numbers:
    """The weighted sum of the terms, shape (n,); lower is better."""
    found = terms(plan, grounds, combos, limits)
    return np.asarray(sum(weight * found[name] for name, weight in WEIGHTS.items()))


def least_score(plan: Plan, grounds: Grounds, tries: Tries, limits: Limits) -> Numbers:
    """About the least that a layout of these circles scores, before it is landed, shape (n,)."""
    height, r = grounds.height[tries.ground], tries.r
    widest = step(height, r, np.minimum(limits.lift, height / 2 - r), np.asarray(limits.gap))
    longest = longest_plume(plan.fill, comfortable_room(plan.fill))
    found = {
        **_of_ground(plan, grounds, tries),
        "crowding": crowded(widest / r),
        "reach": smallest(tries.reach) * largest(grounds.longest)[tries.ground] / longest,
    }
    return np.asarray(sum(WEIGHTS[name] * term for name, term in found.items()))


def crowding(combos: Combos) -> Numbers:
    """0 while the steps are open, 1 when curls of one row touch. Shape (n,)."""
    return crowded(smallest(combos.step) / combos.r)


def _of_ground(plan: Plan, grounds: Grounds, some: Combos | Tries) -> dict[str, Numbers]:
    """The terms that the ground and the circles alone decide."""
    at, comfortable = some.ground, comfortable_room(plan.fill)
    off = largest(np.abs(np.log2(grounds.rooms / comfortable)))
    strip = largest(grounds.strips)
    return {
        "room": off[at],
        "corner": np.maximum(0.0, 1 - some.corner_radius / grounds.corner[at]),
        "strip": ((strip > 0) * (1 + STRIP_PER_IN * strip))[at],
    }


def _rolling(plan: Plan, combos: Combos) -> Numbers:
    """How far from level, 0 to 1, in borders that are calmest with level runs; 0 in all others."""
    least, most = LEVEL_BORDERS_IN
    if not least <= min(plan.border_in.of(side) for side in SIDES) <= most:
        return np.zeros(len(combos))
    rise = largest(combos.rise) / combos.r
    return np.asarray(np.clip((rise - LEVEL_RISE) / (1 - LEVEL_RISE), 0.0, 1.0))
