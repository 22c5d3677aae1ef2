"""How proposals are ranked: each figure that the weights price, and their sum.

A score is a cost: 0 is a layout with nothing to forgive, and each term is 1 when its figure is as bad as one
would still stitch.
"""

from __future__ import annotations

import numpy as np

from planner.border.room import comfortable_room, longest_plume
from planner.border.run import rise, step
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

_NOTHING, _ENOUGH = np.zeros(1), np.full(1, np.inf)


def terms(plan: Plan, grounds: Grounds, combos: Combos, limits: Limits) -> dict[str, Numbers]:
    """Each term of the score, shape (n,)."""
    longest = longest_plume(plan.fill, comfortable_room(plan.fill))
    return {
        "reach": np.maximum(combos.reach_run, combos.reach_ends / ENDS_REACH) / longest,
        "level": _rolling(plan, largest(combos.rise) / combos.r),
        "crowding": crowding(combos),
        **_of_sides(
            plan,
            limits,
            ease=eased(combos.lift, combos.gap, limits),
            mismatch=combos.mismatch,
            unlike=combos.unlike,
            middle=np.asarray(sum(combos.middle.T)) / len(SIDES),
            margin=combos.margin,
            parity=(combos.k[:, 0] - combos.k[:, 1]) % 2,
        ),
        **_of_ground(plan, grounds, combos),
    }


def score(plan: Plan, grounds: Grounds, combos: Combos, limits: Limits) -> Numbers:
    """The weighted sum of the terms, shape (n,); lower is better."""
    found = terms(plan, grounds, combos, limits)
    return np.asarray(sum(weight * found[name] for name, weight in WEIGHTS.items()))


def least_score(plan: Plan, grounds: Grounds, tries: Tries, limits: Limits) -> Numbers:
    """About the least that a layout of these circles scores, before it is landed, shape (n,).

    What its sides cost (``sides_score``) comes on top.
    """
    height, r = grounds.height[tries.ground], tries.r
    lift = np.minimum(limits.lift, height / 2 - r)
    widest = step(height, r, lift, np.asarray(limits.gap))
    longest = longest_plume(plan.fill, comfortable_room(plan.fill))
    found = {
        **_of_ground(plan, grounds, tries),
        "level": _rolling(plan, rise(height, r, lift) / r),
        "crowding": crowded(widest / r),
        "reach": smallest(tries.reach) / longest,
    }
    return np.asarray(sum(WEIGHTS[name] * term for name, term in found.items()))


def sides_score(plan: Plan, limits: Limits, **figures: Numbers) -> Numbers:
    """What the sides of layouts add to their score, by some figures of ``_of_sides``; what is left out is free."""
    found = _of_sides(plan, limits, **figures)
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


def _of_sides(
    plan: Plan,
    limits: Limits,
    *,
    ease: Numbers = _NOTHING,
    mismatch: Numbers = _NOTHING,
    unlike: Numbers = _NOTHING,
    middle: Numbers = _NOTHING,
    margin: Numbers = _ENOUGH,
    parity: Numbers = _NOTHING,
) -> dict[str, Numbers]:
    """The terms that the sides decide: of their ease (a share), mismatch (a share), unlike middles, mean middle and
    margin (inches), and whether the counts of one pair are odd and of the other even."""
    longest = longest_plume(plan.fill, comfortable_room(plan.fill))
    return {
        "ease": ease,
        "mismatch": mismatch / max(limits.mismatch, ROUNDING),
        "unlike": (unlike / UNLIKE_IN) ** 2,
        "middle": middle / (2 * longest),
        "margin": slipping(margin),
        "parity": parity,
    }


def _rolling(plan: Plan, rises: Numbers) -> Numbers:
    """How far from level, 0 to 1, in borders that are calmest with level runs; 0 in all others. rises: in radii."""
    least, most = LEVEL_BORDERS_IN
    if not least <= min(plan.border_in.of(side) for side in SIDES) <= most:
        return np.zeros_like(rises)
    return np.asarray(np.clip((rises - LEVEL_RISE) / (1 - LEVEL_RISE), 0.0, 1.0))
