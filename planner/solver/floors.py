"""Needs that nobody could stitch, and ease that no eye forgives, refused where they are typed.

A saved layout opens whatever its needs are; only solving anew asks these. Common practice, no source, where none is
named.
"""

from __future__ import annotations

from planner.border.room import room_limits
from planner.errors import PlanError
from planner.lengths import format_length
from planner.plan import SIDES, Plan

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
    """Raises PlanError for the first need or ease that is out of bounds, with the nearest that is not."""
    for name, (least, what, why) in FLOORS.items():
        given = getattr(plan.fill, name)
        if given is not None and given < least:
            length = format_length(least, plan.units)
            raise PlanError(
                f"{what} is under {length}: {why}.",
                field=f"fill.{name}",
                cure=f"Give {length} or more, or leave it open.",
            )
    room = room_limits(plan.fill)[0] if plan.fill.room_in is None else plan.fill.room_in
    band = min(plan.border_in.of(side) for side in SIDES) - plan.binding_allowance_in - 2 * room
    if band <= 0:
        return  # no band at all: that is told where it is looked for
    most = min(MOST_EASE_IN, EASE_SHARE * band)
    for name, what in (("lift_in", "lift"), ("gap_in", "gap")):
        if getattr(plan.ease_limits, name) > most:
            length = format_length(most, plan.units)
            raise PlanError(
                f"The largest {what} is more than {length}, and the curls would no longer look like one run.",
                field=f"ease_limits.{name}",
                cure=f"Give {length} or less; {format_length(1 / 8, plan.units)} is usual.",
            )
