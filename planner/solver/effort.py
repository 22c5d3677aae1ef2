"""How much work a plan is: guessed without doing any of it, and counted while it is done."""

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


class Patience:
    """So much work and no more: whoever searches asks first whether there is any left, and says what it took.

    Counted in curls laid out, each some twenty millionths of a second; never by a clock, so that the same plan has
    the same answer.
    """

    def __init__(self, curls: float, out_of: Patience | None = None) -> None:
        self._left = curls
        self._out_of = out_of

    def __bool__(self) -> bool:
        return self._left > 0 and (self._out_of is None or bool(self._out_of))

    def spend(self, curls: float) -> None:
        """Count work that is done, also for the larger patience that this one is out of."""
        self._left -= curls
        if self._out_of is not None:
            self._out_of.spend(curls)
