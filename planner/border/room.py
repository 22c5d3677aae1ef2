"""Room: the clear width between a spine and an edge, and what a fill can do with it.

A need that she left open takes the range of its fill; one that she typed is fixed. The longest plume and the
smallest curl grow with the room. All lengths in inches.
"""

from __future__ import annotations

from planner.geometry.arrays import ROUNDING
from planner.kinds import FILLS, NeedRange
from planner.lengths import MARK_IN
from planner.plan import Fill, Units


def comfortable_room(fill: Fill) -> float:
    """The room she typed, or the one that a practised hand fills best."""
    return _needs(fill).comfortable_room if fill.room_in is None else fill.room_in


def room_limits(fill: Fill) -> tuple[float, float]:
    """The least and the most room; twice the same where she typed it."""
    if fill.room_in is not None:
        return fill.room_in, fill.room_in
    needs = _needs(fill)
    return needs.least_room, needs.most_room


def rooms(fill: Fill, units: Units) -> tuple[float, ...]:
    """The rooms to try, rising: the comfortable one and every mark of her ruler from it within the limits."""
    (least, most), middle, step = room_limits(fill), comfortable_room(fill), MARK_IN[units]
    below = int((middle - least) / step + ROUNDING)
    above = int((most - middle) / step + ROUNDING)
    return tuple(middle + n * step for n in range(-below, above + 1))


def longest_plume(fill: Fill, room: float) -> float:
    """The longest plume (leaf, needle ...) for a room."""
    return _needs(fill).longest(room) if fill.longest_in is None else fill.longest_in


def smallest_curl(fill: Fill, room: float) -> float:
    """The least radius of a curl that can be filled, for a room."""
    given = fill.smallest_curl_in
    return _needs(fill).smallest_curl(room) if given is None else given


def smallest_feature(fill: Fill) -> float:
    """The least width of a shape."""
    given = fill.smallest_feature_in
    return _needs(fill).smallest_feature if given is None else given


def _needs(fill: Fill) -> NeedRange:
    """What its kind needs, as close as she wants it."""
    return FILLS[fill.kind].needs.at(fill.density)
