"""The grounds a layout may stand on: every room, and every seam strip, that the borders leave a band."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import ceil

import numpy as np

from planner.border.band import Band, Quilt, check_centre, largest_corner, quilt_with
from planner.border.meetings import MEETINGS
from planner.border.room import comfortable_room, longest_plume, rooms, smallest_curl
from planner.errors import PlanError
from planner.geometry.arrays import Numbers
from planner.plan import SIDES, Plan, Units

STRIP_STEP_IN: dict[Units, float] = {"in": 1 / 2, "cm": 10 / 25.4, "mm": 10 / 25.4}
_MOST_STRIPS = 13  # of widths: in a border of twenty inches half an inch of strip more or less is not seen
MOST_STRIP = 0.36  # of the narrowest border: more, and straight lines are what one sees


@dataclass(frozen=True, slots=True)
class Grounds:
    """n grounds of a plan, one row each (inches); per-side arrays have shape (n, 4) in the order of SIDES.

    room: the least of the four; strip: at the narrowest border's seam, strips: at each; height: of the band;
    corner: the largest radius its corners take; smallest: the least radius of a curl; rooms, longest: of each
    side; half: half its span.
    """

    quilts: tuple[Quilt, ...]
    room: Numbers
    strip: Numbers
    height: Numbers
    corner: Numbers
    smallest: Numbers
    rooms: Numbers
    strips: Numbers
    longest: Numbers
    half: Numbers

    def __len__(self) -> int:
        return len(self.quilts)

    def middles(self, plan: Plan, meeting: str) -> Numbers:
        """The smallest and the largest middle of a meeting on each side, shape (n, 4, 2)."""
        limits = MEETINGS[meeting].limits
        found = [[limits(plan, quilt.own[side]) for side in SIDES] for quilt in self.quilts]
        return np.array(found, dtype=float).reshape(-1, 4, 2)


def grounds(plan: Plan) -> Grounds:
    """Every room of the plan's fill that leaves a band, without a seam strip but where a border is wider.

    Raises PlanError where the borders take the whole quilt.
    """
    check_centre(plan)
    return _rows(plan, _leaving_a_band(plan, rooms(plan.fill, plan.units), 0.0))


def with_strip(plan: Plan) -> Iterable[Grounds]:
    """The grounds whose seam strip takes more and more of every border, its rooms at least comfortable."""
    step, narrow = STRIP_STEP_IN[plan.units], min(plan.border_in.of(side) for side in SIDES)
    some = [room for room in rooms(plan.fill, plan.units) if room >= comfortable_room(plan.fill)]
    step *= max(1, ceil(MOST_STRIP * narrow / step / _MOST_STRIPS))
    for n in range(1, int(MOST_STRIP * narrow / step) + 1):
        found = _leaving_a_band(plan, some, n * step)
        if found:
            yield _rows(plan, found)


Ground = tuple[float, float, Quilt]  # room, strip and the quilt they make


def one_ground(plan: Plan, room: float, strip: float) -> Grounds:
    """A single one. Raises ChoiceError where it leaves no band."""
    return _rows(plan, [(room, strip, quilt_with(plan, room, strip))])


def _leaving_a_band(plan: Plan, some: Iterable[float], strip: float) -> list[Ground]:
    found = []
    for room in some:
        try:
            found.append((room, strip, quilt_with(plan, room, strip)))
        except PlanError:
            continue
    return found


def _rows(plan: Plan, found: list[Ground]) -> Grounds:
    quilts = tuple(quilt for *_, quilt in found)
    own = [[quilt.own[side] for side in SIDES] for quilt in quilts]

    def per_side(figure: Callable[[Band], float]) -> Numbers:
        return np.array([[figure(band) for band in bands] for bands in own], dtype=float).reshape(
            -1, len(SIDES)
        )

    room = np.array([room for room, *_ in found], dtype=float)
    return Grounds(
        quilts,
        room,
        np.array([strip for _, strip, _ in found], dtype=float),
        np.array([bands[0].height for bands in own], dtype=float),
        np.array([largest_corner(quilt) for quilt in quilts], dtype=float),
        np.array([smallest_curl(plan.fill, one) for one in room], dtype=float),
        per_side(lambda band: band.room),
        per_side(lambda band: band.strip),
        per_side(lambda band: longest_plume(plan.fill, band.room)),
        per_side(lambda band: band.span / 2),
    )
