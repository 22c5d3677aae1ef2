"""Needs that nobody could stitch, and ease that no eye forgives, refused where they are typed.

A saved layout opens whatever its needs are; only solving anew asks these. Common practice, no source, where none is
named.
"""

from __future__ import annotations

from math import floor, sqrt

from planner.border.band import check_centre
from planner.border.corners.easygoing import SIZES_DIFFER
from planner.border.room import longest_plume, room_limits
from planner.errors import PlanError
from planner.lengths import format_length
from planner.plan import SIDES, EaseLimits, Plan
from planner.solver.grounds import MOST_STRIP

# need -> (least, what it is, why)
FLOORS: dict[str, tuple[float, str, str]] = {
    "smallest_feature_in": (
        1 / 16,
        "The narrowest shape of the fill",
        "a thread there and back, with its needle's holes, is half as wide already",
    ),
    "smallest_curl_in": (1 / 4, "The smallest curl", "a curve of five stitches to the turn is a corner"),
    "room_in": (1 / 8, "The room for the fill", "no shape finds place between a spine and an edge"),
    "longest_in": (1 / 4, "The longest shape of the fill", "it would be no longer than two stitches"),
}
EASE_SHARE = 0.25  # of the band: rows that stand farther off the guide lines make it another band
MOST_EASE_IN = (
    0.25  # circles farther apart no longer look like one run; more counts land than anybody compares
)


def check_floors(plan: Plan) -> None:
    """Raises PlanError for the first need, border or ease that is out of bounds, with the nearest that is not."""
    for name, (least, what, why) in FLOORS.items():
        given = getattr(plan.fill, name)
        if given is not None and given < least:
            length = format_length(least, plan.units)
            raise PlanError(
                f"{what} is under {length}: {why}.",
                field=f"fill.{name}",
                cure=f"Give {length} or more, or leave it open.",
            )
    check_centre(plan)
    _check_width(plan)
    usual = EaseLimits()
    most = most_ease(plan)
    for name, what in (("lift_in", "lift"), ("gap_in", "gap")):
        if getattr(plan.ease_limits, name) > max(most, getattr(usual, name)):  # the usual is nobody's mistake
            length = format_length(most, plan.units)
            raise PlanError(
                f"The largest {what} is more than {length}, and the curls would no longer look like one run.",
                field=f"ease_limits.{name}",
                cure=f"Give {length} or less; {format_length(1 / 8, plan.units)} is usual.",
            )


def most_ease(plan: Plan) -> float:
    """The largest lift, or gap, that a plan may allow (inches)."""
    room = room_limits(plan.fill)[0]
    band = min(plan.border_in.of(side) for side in SIDES) - plan.binding_allowance_in - 2 * room
    return min(MOST_EASE_IN, EASE_SHARE * band) if band > 0 else MOST_EASE_IN


def _check_width(plan: Plan) -> None:
    """Raises PlanError for borders so wide that no curl reaches across, with all the room and seam strip there are.

    From the middle of a curl to its spine it is its radius, so that is no longer than the longest shape. And
    circles of one row keep apart: H <= (2 + sqrt 3) r + 2 lift + 2 gap / sqrt 3 (DESIGN section 3). Needs that she
    fixed are taken as open: that they stand in the way is told where nothing lands.
    """
    side = min(SIDES, key=plan.border_in.of)
    open_needs, ease = plan.fill.model_copy(update={"room_in": None, "longest_in": None}), plan.ease_limits
    most = max(room_limits(open_needs)[1], plan.fill.room_in or 0.0)
    longest = max(longest_plume(open_needs, most), plan.fill.longest_in or 0.0)
    radius = longest * (1 + SIZES_DIFFER)
    band = (2 + sqrt(3)) * radius + 2 * ease.lift_in + 2 * ease.gap_in / sqrt(3)
    widest = (band + 2 * most + plan.binding_allowance_in) / (1 - MOST_STRIP)
    if plan.border_in.of(side) > widest:
        length = format_length(floor(4 * widest) / 4, plan.units)
        raise PlanError(
            f"No curl fills a border wider than {length}: its longest shapes would have to be longer than this "
            "fill's.",
            field=f"border_in.{side}",
            cure=f"Make the border {length} or narrower, or a border of several strips, and curl one of them.",
        )
