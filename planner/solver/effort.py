"""How much work a plan is, guessed without doing any of it."""

from __future__ import annotations

from planner.plan import SIDES, Plan

CUT_SIZES = 40  # about so many sizes she could cut fit a border


def effort(plan: Plan) -> float:
    """Pairs of circles to try, times the length and the ease they are tried over; a usual plan is near 10.

    A guess: it tells a tin of seven from sixty sizes along twenty feet, not one usual plan from another.
    """
    sizes = max(CUT_SIZES if plan.cut_own else 0, len(plan.tin_in))
    feet = max(plan.sides_in.of(side) for side in SIDES) / 12
    ease = plan.ease_limits.lift_in + plan.ease_limits.gap_in
    return sizes**2 * feet * (0.1 + ease) / 100
