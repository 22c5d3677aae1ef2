"""Easy-going corners as they once were, for plans that hold such a choice; no new one is proposed.

One run goes round the quilt. A circle of diameter ``corner_diameter_in`` sits in the corner itself. The circles
beside it stand no deeper than their own side of the miter allows, so that those of two sides never meet. All
others wander off their guide line by a little and take neighbouring sizes of the tin, both drawn from the plan's
seed. After eight circles, farther than an eye compares, the same wandering comes again, and facing sides wander
alike: so their fill is grown once. Circles always touch; the whole side lands by lifting every row alike.
"""

from __future__ import annotations

from math import ceil, floor, sqrt

import numpy as np

from planner.border.band import Band
from planner.border.corners import Chain, Ease, in_corners
from planner.border.spine import Circle
from planner.geometry.arrays import ROUNDING, SETTLED_IN, Numbers
from planner.lengths import MARK_IN
from planner.plan import SIDES, Choice, Plan, SideName

SIZES_WITHIN = 0.08  # neighbouring sizes differ from the run circle by at most this share; more looks uneven
WANDER = 0.08  # how far a circle may stand off its row, as a share of the band
REPEAT = 8  # circles until the same sizes and depths come again; even, since the rows take turns
LARGEST_CORNER = 1.4  # corner circle over run circle: beyond it the corner would be a large circle again
MOST_CURLS = 999
_LEAST_STEP = 0.8  # of the radius: nearer, and circles of one side would overlap
_ROOT_STEPS = 60  # false position takes about eight


class Wander:
    """The sizes and depths of one side's circles before they are lifted to land. Lengths in inches."""

    def __init__(self, band: Band, plan: Plan, corner_radius: float, r: float) -> None:
        random = np.random.default_rng([plan.seed, SIDES.index(band.side) % 2])
        sizes = _diameters(plan, 2 * r * (1 - SIZES_WITHIN), 2 * r * (1 + SIZES_WITHIN)) / 2
        if not sizes.size:
            sizes = np.array([r])
        self.band, self.corner_radius, self.r = band, corner_radius, r
        some = min(MOST_CURLS, int(band.span / (_LEAST_STEP * r)) + 2)
        drawn = random.integers(sizes.size, size=REPEAT)
        self.radii = np.resize(np.minimum(sizes[drawn], band.height / 2), some)
        self.radii[0] = r
        self.off = np.resize(random.uniform(0, WANDER * band.height, size=REPEAT), some)
        self.off[0] = 0.0
        along_miter = sqrt(corner_radius * corner_radius + 2 * corner_radius * r)
        self.safe_depth = corner_radius + (along_miter - r) / sqrt(2)

    def end_depth(self, lift: float) -> float:
        """Depth of a circle beside a corner: on the inner row, or as deep as its side of the miter allows."""
        return min(max(self.band.height / 2, self.band.height - self.r - lift), self.safe_depth)

    def depths(self, lift: float) -> Numbers:
        """Depth of each circle of an endless side."""
        from_guide = np.minimum(self.radii + self.off + lift, self.band.height / 2)
        inner = np.arange(len(self.radii)) % 2 == 0
        depth = np.where(inner, self.band.height - from_guide, from_guide)
        depth[0] = self.end_depth(lift)
        return depth

    def start(self, lift: float) -> float:
        """u of the first circle's centre."""
        return self.corner_radius + sqrt(
            (self.corner_radius + self.r) ** 2 - (self.end_depth(lift) - self.corner_radius) ** 2
        )

    def steps(self, lift: float) -> tuple[Numbers, Numbers]:
        """Steps to the next circle of an endless side, and to a last one in its place."""
        depth, radii = self.depths(lift), self.radii
        with np.errstate(invalid="ignore"):
            on = np.sqrt((radii[1:] + radii[:-1]) ** 2 - np.diff(depth) ** 2)
            last = np.sqrt((self.r + radii[:-1]) ** 2 - (self.end_depth(lift) - depth[:-1]) ** 2)
        return on, last

    def lengths(self, lift: float) -> Numbers:
        """Length of a whole side between the crossings of the guides, with 2, 3, ... circles."""
        on, last = self.steps(lift)
        before = np.concatenate(([0.0], np.cumsum(on)[:-1]))
        return np.asarray(2 * self.start(lift) + before + last)


def _diameters(plan: Plan, least: float, most: float) -> Numbers:
    """Her circles between two sizes, and every ruler mark if she cuts: as it was when these plans were saved."""
    mark = MARK_IN[plan.units]
    found = {d for d in plan.tin_in if least <= d <= most}
    if plan.cut_own and most >= least:
        found |= {i * mark for i in range(ceil(least / mark - ROUNDING), floor(most / mark + ROUNDING) + 1)}
    return np.array(sorted(found))


def lift_limit(plan: Plan) -> float:
    """Rows may stand twice as far off as in a strict run: nobody sees it where every depth varies anyway."""
    return 2 * plan.ease_limits.lift_in


def feasible_counts(wander: Wander, plan: Plan) -> list[int]:
    """Odd numbers of circles that land on this side within the lift limit."""
    shortest, longest = wander.lengths(0.0), wander.lengths(lift_limit(plan))
    span = wander.band.span
    with np.errstate(invalid="ignore"):
        fits = (shortest <= span) & (longest >= span)
    return [int(i) + 2 for i in np.flatnonzero(fits[:MOST_CURLS]) if i % 2 == 1]


def landing_lift(wander: Wander, plan: Plan, m: int) -> float:
    """The lift with which m circles land: one root, by false position; an end that stands twice is halved."""
    span = wander.band.span

    def over(lift: float) -> float:
        return float(wander.lengths(lift)[m - 2]) - span

    low, high = 0.0, lift_limit(plan)
    f_low, f_high, stood = over(low), over(high), 0
    lift = low
    for _ in range(_ROOT_STEPS):
        if f_high <= f_low:
            break
        lift = high - f_high * (high - low) / (f_high - f_low)
        f = over(lift)
        if abs(f) < SETTLED_IN:
            break
        if f < 0:
            low, f_low, f_high = lift, f, f_high / 2 if stood < 0 else f_high
            stood = -1
        else:
            high, f_high, f_low = lift, f, f_low / 2 if stood > 0 else f_low
            stood = 1
    return lift


def chains(bands: dict[SideName, Band], plan: Plan, choice: Choice) -> dict[SideName, Chain]:
    """All circles of each side that lands within the lift limit without overlap."""
    found = {side: _chain(band, plan, choice) for side, band in bands.items()}
    return {side: chain for side, chain in found.items() if chain}


def _chain(band: Band, plan: Plan, choice: Choice) -> Chain | None:
    m = choice.counts.of(band.side)
    corner_radius, r = choice.corner_radius, choice.run_diameter_in / 2
    if (
        m % 2 == 0
        or not 3 <= m <= MOST_CURLS
        or not r <= corner_radius <= LARGEST_CORNER * r
        or 2 * r > band.height
    ):
        return None
    wander = Wander(band, plan, corner_radius, r)
    if m not in feasible_counts(wander, plan):
        return None
    lift = landing_lift(wander, plan, m)
    on, last = wander.steps(lift)
    u = wander.start(lift) + np.concatenate(([0.0], np.cumsum(on[: m - 2]), [0.0]))
    u[m - 1] = u[m - 2] + last[m - 2]
    depth, radii = wander.depths(lift)[:m].copy(), wander.radii[:m].copy()
    depth[m - 1], radii[m - 1] = wander.end_depth(lift), r
    if not _clear(u, depth, radii, corner_radius):
        return None
    circles = tuple(
        Circle((float(x), float(y)), float(q), "outer" if i % 2 else "inner", 1 if i % 2 else -1)
        for i, (x, y, q) in enumerate(zip(u, depth, radii, strict=True))
    )
    return Chain(*in_corners(band, corner_radius), circles, Ease(lift, 0.0), float((u[-1] - u[0]) / (m - 1)))


def _clear(u: Numbers, depth: Numbers, radii: Numbers, corner_radius: float) -> bool:
    """Whether circles two places apart stay apart (nearer ones touch, farther ones are farther)."""
    apart = np.hypot(u[2:] - u[:-2], depth[2:] - depth[:-2]) - radii[2:] - radii[:-2]
    second = np.hypot(u[1] - corner_radius, depth[1] - corner_radius) - radii[1] - corner_radius
    return bool((apart >= 0).all() and second >= 0)
