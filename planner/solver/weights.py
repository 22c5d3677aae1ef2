"""What a score weighs: every weight with one sentence on what it prices, and the figures of a single side."""

from __future__ import annotations

import numpy as np

from planner.geometry.arrays import ROUNDING, Numbers, largest, smallest
from planner.solver.limits import Limits

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
    # Middles an inch apart are not seen, three inches apart look like a slip: it grows with the square.
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
UNLIKE_IN = 1.5
UNLIKE_RINGS = 2.0  # times as far apart as open middles: a ring is seen as a circle beside its sibling
_MARGIN_IN = 0.25  # of a half side: she measures a whole side to half an inch
LEVEL_BORDERS_IN = (5.0, 6.0)  # common practice, no source
STRIP_PER_IN = 1.25  # of the strip's own weight, for each inch


def eased(lift: Numbers, gap: Numbers, limits: Limits) -> Numbers:
    """The ease of the worst side against its limits, shape (n,) from (n, sides)."""
    used = _LIFT * lift / max(limits.lift, ROUNDING) + _GAP * gap / max(limits.gap, ROUNDING)
    return np.asarray(largest(used))


def crowded(steps: Numbers) -> Numbers:
    """0 while the steps, in radii, are open; 1 when curls of one row touch."""
    return np.asarray(np.clip((_OPEN_STEP - steps) / (_OPEN_STEP - 1), 0.0, 1.0))


def slipping(margin_in: Numbers) -> Numbers:
    """1 where no wrong measure is forgiven, 0 where enough is."""
    return np.asarray(np.clip(1 - margin_in / _MARGIN_IN, 0.0, 1.0))


def side_cost(lift: Numbers, gap: Numbers, step: Numbers, r: Numbers, limits: Limits) -> Numbers:
    """What the eases and steps of some sides cost, shape (n,) from (n, sides)."""
    crowding = crowded(smallest(step) / r)
    return np.asarray(WEIGHTS["ease"] * eased(lift, gap, limits) + WEIGHTS["crowding"] * crowding)


def margin_cost(margins: Numbers) -> Numbers:
    """What the least margin of some sides costs, shape (n,) from (n, sides)."""
    return np.asarray(WEIGHTS["margin"] * slipping(smallest(margins)))
