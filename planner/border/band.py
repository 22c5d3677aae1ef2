"""The band of a side: the strip between its two guide lines, and what limits the circles in it.

Band coordinates of a side: u along the outer guide line from the crossing of the outer guides at the side's
first corner (clockwise), h from the outer guide inward, 0 to H. The raw edge lies at h = −(c + s), the inner
seam at h = H + c (c the room, s the binding allowance). All lengths in inches. DESIGN section 3.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from planner.errors import PlanError
from planner.geometry.curves import Motion
from planner.lengths import format_length, mark_at_most
from planner.plan import SIDES, Plan, SideName

LEAST_ROOM_IN = 0.25  # a fill that needs less is not worth advising (common practice, no source)
CORNERS = ("top_left", "top_right", "bottom_right", "bottom_left")


@dataclass(frozen=True, slots=True)
class Band:
    """One side's band: span is the outer guide line's length, height is H."""

    side: SideName
    span: float
    height: float
    room: float
    allowance: float

    @property
    def outside(self) -> float:
        """Distance from the raw edge to the outer guide line."""
        return self.room + self.allowance


@dataclass(frozen=True, slots=True)
class Quilt:
    """The quilt of the picture (mean lengths), its bands, and each side's own band as measured."""

    width: float
    height: float
    bands: dict[SideName, Band]
    own: dict[SideName, Band]

    def motion(self, side: SideName) -> Motion:
        """From band coordinates of a side to quilt coordinates."""
        o = self.bands[side].outside
        match side:
            case "top":
                return Motion(1, 0, 0, 1, o, o)
            case "right":
                return Motion(0, 1, -1, 0, self.width - o, o)
            case "bottom":
                return Motion(-1, 0, 0, -1, self.width - o, self.height - o)
            case "left":
                return Motion(0, -1, 1, 0, o, self.height - o)

    def border(self, side: SideName) -> float:
        band = self.bands[side]
        return band.height + 2 * band.room + band.allowance


def previous_side(side: SideName) -> SideName:
    return SIDES[(SIDES.index(side) - 1) % 4]


def next_side(side: SideName) -> SideName:
    return SIDES[(SIDES.index(side) + 1) % 4]


def quilt_of(plan: Plan) -> Quilt:
    """The quilt and its bands. Raises PlanError when a border leaves no band or is wider than the quilt."""
    sides, borders = plan.sides_in, plan.border_in
    width = (sides.top + sides.bottom) / 2
    height = (sides.left + sides.right) / 2
    c, s = plan.fill.room_in, plan.binding_allowance_in

    def say(length: float) -> str:
        return format_length(length, plan.units)

    for one, other, across, lengths in (
        ("left", "right", "wide", (sides.top, sides.bottom)),
        ("top", "bottom", "high", (sides.left, sides.right)),
    ):
        both = borders.of(one) + borders.of(other)  # type: ignore[arg-type]
        if both >= min(lengths):
            raise PlanError(
                f"The {one} and {other} borders take {say(both)}, but the quilt is only "
                f"{say(min(lengths))} {across}.",
                field=f"border_in.{one}",
                cure=f"Make the two borders together less than {say(min(lengths))}, or measure again.",
            )
    for side in SIDES:
        least = 2 * c + s
        if borders.of(side) <= least:
            room = mark_at_most((borders.of(side) - s) / 2, plan.units)
            less = f", or use a fill with less than {say(room)} of room" if room >= LEAST_ROOM_IN else ""
            raise PlanError(
                f"The {side} border is {say(borders.of(side))} wide, but {say(c)} of room on both sides and "
                f"{say(s)} of binding allowance already take {say(least)}: no band is left for the curls.",
                field=f"border_in.{side}",
                cure=f"Make the border wider than {say(least)}{less}.",
            )
    own = {
        side: Band(side, sides.of(side) - 2 * (c + s), borders.of(side) - 2 * c - s, c, s) for side in SIDES
    }
    mean = {
        side: Band(
            side, (width if side in ("top", "bottom") else height) - 2 * (c + s), own[side].height, c, s
        )
        for side in SIDES
    }
    return Quilt(width, height, mean, own)


def corner_limit(a: float, b: float, room: float) -> float:
    """Largest radius of a corner circle that keeps ``room`` clear of the inner seam corner at (a, b), inches.

    From (a − R)² + (b − R)² = (R + c)², DESIGN section 3; the smaller root.
    """
    total = a + b + room
    return total - sqrt(total * total - (a * a + b * b - room * room))


def largest_corner(quilt: Quilt) -> float:
    """The corner limit that all four corners allow, inches."""
    bands = quilt.bands
    return min(
        corner_limit(
            bands[previous_side(s)].height + bands[s].room, bands[s].height + bands[s].room, bands[s].room
        )
        for s in SIDES
    )
