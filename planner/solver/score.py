"""How proposals are ranked. All weights stand here, each with one sentence on what it prices.

A score is a cost: 0 is a layout with nothing to forgive, and each term is 1 when its figure is as bad as one
would still stitch.
"""

from __future__ import annotations

import numpy as np

from planner.border.room import comfortable_room, longest_plume
from planner.border.run import step
from planner.geometry.arrays import Numbers
from planner.plan import SIDES, Plan
from planner.solver.combos import Combos, Tries
from planner.solver.grounds import Grounds
from planner.solver.limits import ENDS_REACH, LEVEL_RISE, Limits

WEIGHTS = {
    # Indices off the guides and air between circles are what an eye along the border notices first.
    "ease": 1.0,
    # A long reach means long plumes, which are harder to stitch evenly and leave more unquilted cloth.
    "reach": 1.0,
    # Twice or half the room a fill is comfortable in changes its whole character.
    "room": 0.8,
    # Curls of one row that nearly touch read as two rows of rings, not as one running spine.
    "crowding": 0.8,
    # Steps that differ from side to side show at the corners, where two sides are seen together.
    "mismatch": 0.6,
    # Middles an inch apart are not seen, three inches apart look like a slip.
    "unlike": 0.6,
    # A narrow border is calmest with its circles in one line.
    "level": 0.6,
    # A corner circle well below its limit looks lost in its corner.
    "corner": 0.5,
    # A wide middle draws the eye away from the curls, so a narrow one comes first.
    "middle": 0.5,
    # A layout that no slip of the tape upsets saves her the second chalking.
    "margin": 0.4,
    # Facing middles that turn alike, two ways round the quilt, make it look planned.
    "parity": 0.2,
    # Straight lines are a second texture beside the curls, and the more of them the less a border of curls.
    "strip": 0.2,
}
_LIFT, _GAP = 0.3, 0.7  # shares of the ease: a gap parts circles, a lift is not seen
_OPEN_STEP = (
    1.5  # steps of so many radii and more leave the spine open to the eye (level runs: 2; DESIGN's 1.43)
)
_UNLIKE_IN = 1.5
_MARGIN_IN = 0.25  # of a half side: she measures a whole side to half an inch
_LEVEL_BORDERS_IN = (5.0, 6.0)  # common practice, no source
_STRIP_PER_IN = 1.25  # of the strip's own weight, for each inch


def terms(plan: Plan, grounds: Grounds, combos: Combos, limits: Limits) -> dict[str, Numbers]:
    """Each term of the score, shape (n,)."""
    allowed = max(limits.lift, 1e-9), max(limits.gap, 1e-9)
    used = _LIFT * combos.lift / allowed[0] + _GAP * combos.gap / allowed[1]
    longest = longest_plume(plan.fill, comfortable_room(plan.fill))
    return {
        "ease": used.max(axis=1, initial=0.0),
        "reach": np.maximum(combos.reach_run, combos.reach_ends / ENDS_REACH) / longest,
        "mismatch": combos.mismatch / max(limits.mismatch, 1e-9),
        "unlike": combos.unlike / _UNLIKE_IN,
        "level": _rolling(plan, combos),
        "middle": combos.middle.mean(axis=1) / (2 * longest),
        "crowding": crowding(combos),
        "margin": np.clip(1 - combos.margin / _MARGIN_IN, 0.0, 1.0),
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
        "crowding": _crowded(widest / r),
        "reach": tries.reach.min(axis=1) * grounds.longest[tries.ground].max(axis=1) / longest,
    }
    return np.asarray(sum(WEIGHTS[name] * term for name, term in found.items()))


def crowding(combos: Combos) -> Numbers:
    """0 while the steps are open, 1 when curls of one row touch. Shape (n,)."""
    return _crowded(combos.step.min(axis=1, initial=np.inf) / combos.r)


def _crowded(steps: Numbers) -> Numbers:
    return np.asarray(np.clip((_OPEN_STEP - steps) / (_OPEN_STEP - 1), 0.0, 1.0))


def _of_ground(plan: Plan, grounds: Grounds, some: Combos | Tries) -> dict[str, Numbers]:
    """The terms that the ground and the circles alone decide."""
    at, comfortable = some.ground, comfortable_room(plan.fill)
    off = np.abs(np.log2(grounds.rooms / comfortable)).max(axis=1, initial=0.0)
    strip = grounds.strips.max(axis=1, initial=0.0)
    return {
        "room": off[at],
        "corner": np.maximum(0.0, 1 - some.corner_radius / grounds.corner[at]),
        "strip": ((strip > 0) * (1 + _STRIP_PER_IN * strip))[at],
    }


def _rolling(plan: Plan, combos: Combos) -> Numbers:
    """How far from level, 0 to 1, in borders that are calmest with level runs; 0 in all others."""
    least, most = _LEVEL_BORDERS_IN
    if not least <= min(plan.border_in.of(side) for side in SIDES) <= most:
        return np.zeros(len(combos))
    rise = combos.rise.max(axis=1, initial=0.0) / combos.r
    return np.asarray(np.clip((rise - LEVEL_RISE) / (1 - LEVEL_RISE), 0.0, 1.0))
