"""The hard limits of DESIGN section 4, in one place, so that one of them can be loosened to see what binds."""

from __future__ import annotations

from dataclasses import dataclass

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
        fill, ease = plan.fill, plan.ease_limits
        return cls(
            ease.lift_in, ease.gap_in, fill.longest_in, fill.smallest_curl_in, ENDS_REACH * fill.longest_in
        )
