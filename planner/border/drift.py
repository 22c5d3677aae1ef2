"""Drift: she has chalked curls up to some place and stands off it; the rest of the run is spread anew.

The curls up to there stay as she chalked them: her error came little by little, so each stands off its place by its
share of it. The rest, of the same circles, takes another ease within the limits, so that the run lands exactly:
lift first, then gap, as in ``run``. From the last chalked centre (u_n, h_n) on,

    sqrt((2r + gap)² − (h − h_n)²) + (N − 1)·p + M = what is left to the end,

h the depth of the next row, N the circles to come, M what the meeting (or the far corner) takes. All in inches.
Both halves of a mirrored side are spread alike, so that its middle stays its middle. A side that one run goes
along looks alike from either end: chalked from its far end it is turned over, spread, and turned back. A drift at
or before the curl of an earlier one takes its place, with the share of it that this curl has: she reads from the
places it gave.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import hypot, nan, sqrt

import numpy as np

from planner.border import run
from planner.border.band import Band
from planner.border.corners import Ease
from planner.border.spine import Circle, Row
from planner.geometry.arrays import ROUNDING_IN
from planner.geometry.curves import Motion
from planner.plan import Choice, Drift, Plan, SideName

_HALVINGS = 60  # of an ease below an inch: far below a rounding error of the whole run


@dataclass(frozen=True, slots=True)
class Rest:
    """What is to be spread: from the last chalked centre, so many circles of one radius, to an end.

    target: u of the end; end: from the last centre to it, of lift and gap; lift, gap: their limits.
    """

    height: float
    r: float
    chalked: Circle
    many: int
    target: float
    end: Callable[[float, float], float]
    lift: float
    gap: float

    def _eased(self, give: float) -> Ease:
        top = min(self.lift, max(0.0, self.height / 2 - self.r))
        return Ease(min(give, top), max(0.0, give - top))

    @property
    def least(self) -> float:
        """The least give with which the circles of one row keep apart."""
        return max(0.0, (self.height - (2 + sqrt(3)) * self.r) / 2)

    @property
    def most(self) -> float:
        """All the give there is."""
        return min(self.lift, max(0.0, self.height / 2 - self.r)) + self.gap

    def depth(self, lift: float, i: int) -> float:
        """Depth of the i-th circle to come (from 1) on its row."""
        return self.height - self.r - lift if self._inner(i) else self.r + lift

    def _inner(self, i: int) -> bool:
        return (self.chalked.row == "outer") == bool(i % 2)

    def along(self, ease: Ease, i: int) -> float:
        """u of the i-th circle to come; nan where it cannot stand so."""
        h, both = self.depth(ease.lift, 1) - self.chalked.centre[1], 2 * self.r + ease.gap
        rise = self.height - 2 * self.r - 2 * ease.lift
        if both * both < h * h or both * both < rise * rise:
            return nan
        first = sqrt(both * both - h * h)
        return self.chalked.centre[0] + first + (i - 1) * sqrt(both * both - rise * rise)

    def over(self, give: float) -> float:
        """By how much the run ends beyond its end."""
        ease = self._eased(give)
        reached = self.along(ease, self.many) if self.many else self.chalked.centre[0]
        return reached + self.end(ease.lift, ease.gap) - self.target

    def landing(self) -> Ease | None:
        """The ease with which the rest lands; None where none within the limits does."""
        low, high = self.least, self.most
        if not (low <= high and self.over(low) <= ROUNDING_IN and self.over(high) >= -ROUNDING_IN):
            return None
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.over(middle) < 0 else (low, middle)
        return self._eased((low + high) / 2)

    def circles(self, ease: Ease) -> list[Circle]:
        """The circles to come, on their rows."""
        found, turn = [], self.chalked.turn
        for i in range(1, self.many + 1):
            turn = -turn
            row: Row = "inner" if self._inner(i) else "outer"
            centre = (self.along(ease, i), self.depth(ease.lift, i))
            found.append(replace(self.chalked, centre=centre, row=row, turn=turn))
        return found


def drifted(
    plan: Plan,
    choice: Choice,
    band: Band,
    row: Sequence[Circle],
    ease: Ease,
    target: float,
    end: Callable[[float, float], float],
) -> tuple[tuple[Circle, ...], Ease] | None:
    """A side's row of circles after all her drifts on it, and the ease of what is still to be chalked.

    None where a drift cannot be: more curls than there are, curls that would overlap, a rest that does not land,
    one end chalked and then the other.
    """
    circles, done = list(row), 0
    drifts = standing(choice.drifts, band.side)
    if len({drift.from_far_end for drift in drifts}) > 1:
        return None
    over = Motion(-1, 0, 0, 1, band.span, 0) if drifts and drifts[0].from_far_end else None
    if over:
        circles = [circle.moved(over) for circle in reversed(circles)]
    for drift in drifts:
        if not done < drift.curl < len(circles):
            return None
        chalked = _chalked(circles, done, drift)
        if chalked is None:
            return None
        rest = rest_of(plan, band, choice, chalked[-1], len(circles) - drift.curl, target, end)
        found = rest.landing()
        if found is None:
            return None
        ease, circles, done = found, [*chalked, *rest.circles(found)], drift.curl
    if over:
        circles = [circle.moved(over) for circle in reversed(circles)]
    return tuple(circles), ease


def standing(drifts: Sequence[Drift], side: SideName) -> tuple[Drift, ...]:
    """The drifts of a side that hold, by rising curl, of all she reported in their order."""
    found: list[Drift] = []
    for drift in drifts:
        if drift.side != side:
            continue
        before = 0.0  # how far the places she reads from have moved at this curl
        while found and found[-1].curl >= drift.curl:
            last = found.pop()
            done = found[-1].curl if found else 0
            before = last.by_in * max(0, drift.curl - done) / (last.curl - done)
        found.append(drift.model_copy(update={"by_in": before + drift.by_in}))
    return tuple(found)


def rest_of(
    plan: Plan,
    band: Band,
    choice: Choice,
    chalked: Circle,
    many: int,
    target: float,
    end: Callable[[float, float], float],
) -> Rest:
    """What is to be spread after the last chalked circle."""
    limits, r = plan.ease_limits, choice.run_diameter_in / 2
    return Rest(band.height, r, chalked, many, target, end, limits.lift_in, limits.gap_in)


def _chalked(circles: Sequence[Circle], done: int, drift: Drift) -> list[Circle] | None:
    """The circles up to the drift as she chalked them; None where neighbours would overlap."""
    many = drift.curl - done
    moved = [
        *circles[:done],
        *(
            replace(one, centre=(one.centre[0] + drift.by_in * (i + 1) / many, one.centre[1]))
            for i, one in enumerate(circles[done : drift.curl])
        ),
    ]
    for one, other in pairwise(moved):
        apart = hypot(one.centre[0] - other.centre[0], one.centre[1] - other.centre[1])
        if apart < one.radius + other.radius - ROUNDING_IN:
            return None
    return moved


def to_middle(half: run.HalfMiddle, band: Band, choice: Choice) -> Callable[[float, float], float]:
    """What a meeting takes of a run, of lift and gap."""
    r, middle = choice.run_diameter_in / 2, choice.middle_of(band.side)

    def end(lift: float, gap: float) -> float:
        given = (np.asarray(float(a)) for a in (band.height, r, middle, lift, gap))
        return float(half.length(*given))

    return end


def to_corner(band: Band, choice: Choice) -> Callable[[float, float], float]:
    """From the last centre of a turning side to the crossing of the guides at its far corner."""
    r, large = choice.run_diameter_in / 2, choice.corner_radius

    def end(lift: float, gap: float) -> float:
        return float(run.first(*(np.asarray(float(a)) for a in (band.height, large, r, lift, gap))))

    return end
