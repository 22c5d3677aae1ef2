"""How proposals are ranked. All weights stand here, each with one sentence on what it prices.

A score is a cost: 0 is a layout with nothing to forgive, and each term is 1 when its figure is as bad as the
limits allow.
"""

from __future__ import annotations

import numpy as np

from planner.geometry.arrays import Numbers
from planner.solver.combos import Combos, Tries
from planner.solver.limits import Limits
from planner.solver.reaching import slack

WEIGHTS = {
    # Rows off the guides and air between circles are what an eye along the border notices first.
    "ease": 1.0,
    # A long reach means long plumes, which are harder to stitch evenly and leave more unquilted cloth.
    "reach": 1.0,
    # Steps that differ from side to side show at the corners, where two sides are seen together.
    "mismatch": 0.6,
    # A corner circle well below its limit looks lost in its corner.
    "corner": 0.5,
    # A wide middle draws the eye away from the curls, so a narrow one comes first.
    "middle": 0.5,
    # Curls of one row that nearly touch read as two rows of rings, not as one running spine.
    "crowding": 0.8,
}
_OPEN_STEP = (
    1.5  # steps of so many radii and more leave the spine open to the eye (level runs: 2; DESIGN's 1.43)
)


def terms(combos: Combos, limits: Limits, corner_limit: float) -> dict[str, Numbers]:
    """Each term of the score, shape (n,). corner_limit in inches."""
    allowed = max(limits.lift, 1e-9), max(limits.gap, 1e-9)
    used = combos.lift / allowed[0] + combos.gap / allowed[1]
    return {
        "ease": used.max(axis=1, initial=0.0) / 2,
        "reach": np.maximum(combos.reach_run / limits.longest, combos.reach_ends / limits.reach_ends),
        "mismatch": combos.mismatch / limits.mismatch,
        "corner": np.maximum(0.0, 1 - combos.corner_radius / corner_limit),
        "middle": combos.middle / (2 * limits.longest),
        "crowding": crowding(combos),
    }


def crowding(combos: Combos) -> Numbers:
    """0 while the steps are open, 1 when curls of one row touch. Shape (n,)."""
    steps = combos.step.min(axis=1, initial=np.inf) / combos.r
    return np.asarray(np.clip((_OPEN_STEP - steps) / (_OPEN_STEP - 1), 0.0, 1.0))


def score(combos: Combos, limits: Limits, corner_limit: float) -> Numbers:
    """The weighted sum of the terms, shape (n,); lower is better."""
    found = terms(combos, limits, corner_limit)
    return np.asarray(sum(weight * found[name] for name, weight in WEIGHTS.items()))


def least_score(tries: Tries, limits: Limits, corner_limit: float) -> Numbers:
    """What a layout of these circles and middles scores at least, before it is landed, shape (n,)."""
    less = slack(limits.lift, limits.gap)
    reach = np.maximum(
        (tries.reach_run - less) / limits.longest, (tries.reach_corner - less) / limits.reach_ends
    )
    corner = np.maximum(0.0, 1 - tries.corner_radius / corner_limit)
    middle = tries.middle / (2 * limits.longest)
    return np.asarray(WEIGHTS["reach"] * reach + WEIGHTS["corner"] * corner + WEIGHTS["middle"] * middle)


def undominated(criteria: Numbers) -> np.ndarray:
    """Rows (indices, rising) that no other row beats: no worse in every column and better in one. (n, c)

    The row with the least sum left is beaten by none; what it beats goes, and the next is taken.
    """
    left = np.argsort(criteria.sum(axis=1), kind="stable")
    indices: list[int] = []
    while left.size:
        row, rest = criteria[left[0]], criteria[left]
        indices.append(int(left[0]))
        beaten = (row <= rest).all(axis=1) & (row < rest).any(axis=1)
        left = left[1:][~beaten[1:]]
    return np.array(sorted(indices), dtype=np.intp)


def criteria(combos: Combos) -> Numbers:
    """What a proposal is beaten in: largest ease, reach, step mismatch, middle (DESIGN section 4). (n, 4)"""
    ease = (combos.lift + combos.gap).max(axis=1, initial=0.0)
    reach = np.maximum(combos.reach_run, combos.reach_ends)
    return np.stack([ease, reach, combos.mismatch, combos.middle], axis=1)
