"""The hard limits of DESIGN section 4, in one place, so that one of them can be loosened to see what binds."""

from __future__ import annotations

from dataclasses import dataclass

from planner.border.room import comfortable_room, longest_plume, smallest_curl
from planner.plan import Plan

STEP_MISMATCH = 0.03  # steps of the four sides may differ by this share: more is seen from across a room
ENDS_REACH = 1.5  # corners and middles take longer plumes than a run; common practice, no source
LEVEL_RISE = 0.25  # a run counts as level while its rise is at most this share of its radius


@dataclass(frozen=True, slots=True)
class Limits:
    """What no proposal may pass (inches, and shares where named so)."""

    lift: float
    gap: float
    longest: float
    smallest_curl: float
    reach_ends: float
    mismatch: float = STEP_MISMATCH

    @classmethod
    def of(cls, plan: Plan) -> Limits:
        """The limits that a plan sets."""
        fill, ease = plan.fill, plan.ease_limits
        room = comfortable_room(fill)
        longest = longest_plume(fill, room)
        return cls(ease.lift_in, ease.gap_in, longest, smallest_curl(fill, room), ENDS_REACH * longest)
