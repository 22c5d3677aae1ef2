"""The band of a side: the strip between its two guide lines, and what limits the circles in it.

Band coordinates of a side: u along the outer guide line from the crossing of the outer guides at the side's
first corner (clockwise), h from the outer guide inward, 0 to H. The raw edge lies at h = −(o + s), the inner
edge of the fill at h = H + o, the inner seam beyond the seam strip (o the side's room, alike on both sides of
its band, s the binding allowance). All lengths in inches. DESIGN section 3.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import sqrt

from planner.border.mistyped import check_sides
from planner.border.room import comfortable_room, room_limits
from planner.errors import ChoiceError, PlanError
from planner.geometry.arrays import ROUNDING_IN
from planner.geometry.curves import Motion
from planner.lengths import format_length, mark_at_most
from planner.plan import SIDES, Choice, Plan, SideName

LEAST_ROOM_IN = 0.25  # a fill that needs less is not worth advising (common practice, no source)
CORNERS = ("top_left", "top_right", "bottom_right", "bottom_left")


@dataclass(frozen=True, slots=True)
class Band:
    """One side's band: span is the outer guide line's length, height is H.

    room: beyond either guide line; strip: the seam strip; allowance: the binding's; off: how far the fill stays off
    its edges.
    """

    side: SideName
    span: float
    height: float
    room: float
    strip: float
    allowance: float
    off: float = 0.0

    @property
    def outside(self) -> float:
        """Distance from the raw edge to the outer guide line."""
        return self.room + self.allowance

    @property
    def edge(self) -> float:
        """h of the inner edge of the fill: the seam, or where the seam strip begins."""
        return self.height + self.room

    @property
    def seam(self) -> float:
        """h of the inner seam."""
        return self.edge + self.strip


@dataclass(frozen=True, slots=True)
class Quilt:
    """The quilt of the picture (mean lengths), its bands, and each side's own band as measured."""

    width: float
    height: float
    bands: dict[SideName, Band]
    own: dict[SideName, Band]

    def motion(self, side: SideName) -> Motion:
        """From band coordinates of a side to quilt coordinates."""
        bands = self.bands
        left, top = bands["left"].outside, bands["top"].outside
        right, bottom = self.width - bands["right"].outside, self.height - bands["bottom"].outside
        match side:
            case "top":
                return Motion(1, 0, 0, 1, left, top)
            case "right":
                return Motion(0, 1, -1, 0, right, top)
            case "bottom":
                return Motion(-1, 0, 0, -1, right, bottom)
            case "left":
                return Motion(0, -1, 1, 0, left, bottom)

    def border(self, side: SideName) -> float:
        """Width of a side's border, raw edge to seam."""
        band = self.bands[side]
        return band.outside + band.seam

    def within(self, off: float) -> Quilt:
        """The quilt with a fill that stays so far off its edges."""
        return replace(self, bands={side: replace(band, off=off) for side, band in self.bands.items()})


def previous_side(side: SideName) -> SideName:
    """The side before one, going round the quilt clockwise."""
    return SIDES[(SIDES.index(side) - 1) % 4]


def next_side(side: SideName) -> SideName:
    """The side after one, going round the quilt clockwise."""
    return SIDES[(SIDES.index(side) + 1) % 4]


def quilt_of(plan: Plan, choice: Choice | None = None) -> Quilt:
    """The quilt and its bands, as a choice has them; without one, at the comfortable room of the fill.

    Raises PlanError when a border is wider than the quilt, ChoiceError when one leaves no band.
    """
    check_centre(plan)
    if choice is None or choice.room_in is None:
        return _quilt_of_old(plan, comfortable_room(plan.fill))
    return quilt_with(plan, choice.room_in, choice.strip_in)


def quilt_with(plan: Plan, room: float, strip: float = 0.0) -> Quilt:
    """The quilt with one band for all four sides: ``room`` beside it in the narrowest border, ``strip`` at its
    seam. What a wider border has over goes to its rooms, alike, and from the most room on to its strip.

    Raises ChoiceError where no band is left.
    """
    borders, s = plan.border_in, plan.binding_allowance_in
    narrow = min(borders.of(side) for side in SIDES)
    height = narrow - s - 2 * room - strip
    if height <= 0:
        raise _no_band(plan, room, strip)
    most = max(room, room_limits(plan.fill)[1])
    shares = {}
    for side in SIDES:
        wider = borders.of(side) - narrow
        own = min(room + wider / 2, most)
        over = wider - 2 * (own - room)
        shares[side] = (height, own, strip + over if over > ROUNDING_IN else strip)
    return _quilt(plan, shares)


def _quilt_of_old(plan: Plan, room: float) -> Quilt:
    """The quilt of a choice from before room was a range: the same room everywhere, every side its own band."""
    borders, s = plan.border_in, plan.binding_allowance_in
    for side in SIDES:
        if borders.of(side) <= 2 * room + s:
            raise _no_band(plan, room, 0.0)
    return _quilt(plan, {side: (borders.of(side) - 2 * room - s, room, 0.0) for side in SIDES})


def _quilt(plan: Plan, shares: dict[SideName, tuple[float, float, float]]) -> Quilt:
    """The quilt from each side's height, room and strip."""
    sides, s = plan.sides_in, plan.binding_allowance_in
    width, height = (sides.top + sides.bottom) / 2, (sides.left + sides.right) / 2

    def band(side: SideName, length: float) -> Band:
        ends = shares[previous_side(side)][1], shares[next_side(side)][1]
        high, room, strip = shares[side]
        # ends alike are taken off in one, so that the span is to the last bit what it always was
        off = 2 * (ends[0] + s) if ends[0] == ends[1] else ends[0] + ends[1] + 2 * s
        return Band(side, length - off, high, room, strip, s)

    return Quilt(
        width,
        height,
        {side: band(side, width if side in ("top", "bottom") else height) for side in SIDES},
        {side: band(side, sides.of(side)) for side in SIDES},
    )


def check_centre(plan: Plan) -> None:
    """PlanError where a side is mistyped, or two borders leave nothing of the quilt between them."""
    check_sides(plan)
    sides, borders = plan.sides_in, plan.border_in
    pairs: tuple[tuple[SideName, SideName, str, tuple[float, float]], ...] = (
        ("left", "right", "wide", (sides.top, sides.bottom)),
        ("top", "bottom", "high", (sides.left, sides.right)),
    )
    for one, other, across, lengths in pairs:
        both = borders.of(one) + borders.of(other)
        if both >= min(lengths):
            least = format_length(min(lengths), plan.units)
            raise PlanError(
                f"The {one} and {other} borders take {format_length(both, plan.units)}, but the quilt is only "
                f"{least} {across}.",
                field=f"border_in.{one}",
                cure=f"Make the two borders together less than {least}, or measure again.",
            )


def _no_band(plan: Plan, room: float, strip: float) -> ChoiceError:
    """What is wrong with the narrowest border when the rooms chosen take it all."""
    side = min(SIDES, key=plan.border_in.of)
    s, width = plan.binding_allowance_in, plan.border_in.of(side)
    least = 2 * room + s + strip

    def say(length: float) -> str:
        return format_length(length, plan.units)

    fits = mark_at_most((width - s) / 2, plan.units)
    less = f", or use a fill with less than {say(fits)} of room" if fits >= LEAST_ROOM_IN else ""
    return ChoiceError(
        f"The {side} border is {say(width)} wide, but {say(room)} of room on both sides and "
        f"{say(s)} of binding allowance already take {say(least)}: no band is left for the curls.",
        field=f"border_in.{side}",
        cure=f"Make the border wider than {say(least)}{less}.",
    )


def corner_limit(a: float, b: float, room: float) -> float:
    """Largest radius of a corner circle that keeps ``room`` clear of the inner seam corner at (a, b), inches.

    From (a − R)² + (b − R)² = (R + c)², DESIGN section 3; the smaller root.
    """
    total = a + b + room
    return total - sqrt(total * total - (a * a + b * b - room * room))


def largest_corner(quilt: Quilt) -> float:
    """The corner limit that all four corners allow, inches: the smaller of two rooms is kept clear."""
    bands = quilt.bands
    corners = ((bands[previous_side(s)], bands[s]) for s in SIDES)
    return min(corner_limit(near.edge, band.edge, min(near.room, band.room)) for near, band in corners)
