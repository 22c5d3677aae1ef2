"""The hard limits of DESIGN section 4, in one place, so that one of them can be loosened to see what binds."""

from __future__ import annotations

from dataclasses import dataclass

from planner.plan import Plan

STEP_MISMATCH = 0.03  # steps of the four sides may differ by this share: more is seen from across a room
ENDS_REACH = 1.5  # corners and middles take longer plumes than a run; common practice, no source
LEVEL_RISE = 0.25  # a run counts as level while its rise is at most this share of its radius


@dataclass(frozen=True, slots=True)
class Limits:
    """What no proposal may pass, whatever its room (inches, and shares where named so).

    reach: how many times the longest plume a run may reach, corners and middles ENDS_REACH times that.
    """

    lift: float
    gap: float
    mismatch: float = STEP_MISMATCH
    reach: float = 1.0

    @classmethod
    def of(cls, plan: Plan) -> Limits:
        """The limits that a plan sets."""
        return cls(plan.ease_limits.lift_in, plan.ease_limits.gap_in)
