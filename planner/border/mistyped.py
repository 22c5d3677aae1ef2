"""A side that cannot be what she measured: told as that, before any talk of circles."""

from __future__ import annotations

import numpy as np

from planner.errors import PlanError
from planner.geometry.arrays import Numbers
from planner.lengths import format_length
from planner.plan import Plan, SideName

UNLIKE_SHARE = 0.2  # opposite sides that differ by more are no quilt top (common practice, no source)
MEANT_SHARE = 0.03  # a side in another unit is meant where it comes as near as this to the side opposite
PAIRS: tuple[tuple[SideName, SideName], ...] = (("top", "bottom"), ("left", "right"))


def check_sides(plan: Plan) -> None:
    """PlanError where one of two opposite sides is mistyped, with what she may have meant."""
    for pair in PAIRS:
        longer, shorter = sorted(pair, key=plan.sides_in.of, reverse=True)
        long, short = plan.sides_in.of(longer), plan.sides_in.of(shorter)
        if long - short <= UNLIKE_SHARE * long:
            continue
        words = (
            f"The {longer} side is {format_length(long, plan.units)} and the {shorter} side "
            f"{format_length(short, plan.units)}: one of them is mistyped."
        )
        for side, other in ((longer, short), (shorter, long)):
            meant = _meant(plan, side, other)
            if meant:
                cure = f"Did you mean {meant} for the {side} side?"
                raise PlanError(words, field=f"sides_in.{side}", cure=cure, instead=meant)
        raise PlanError(words, field=f"sides_in.{longer}", cure="Measure both again.")


def believed(plan: Plan) -> Numbers:
    """How much shorter and longer one side may be, then all four alike, until no one believes it, inches (2, 2)."""
    pairs = np.array([[plan.sides_in.of(side) for side in pair] for pair in PAIRS])
    least, longest = pairs.min(axis=1), pairs.max(axis=1)
    one = (least - (1 - UNLIKE_SHARE) * longest, least / (1 - UNLIKE_SHARE) - longest)
    return np.array(
        [[each.min() for each in one], [(longest - (longest - least) / UNLIKE_SHARE).min(), np.inf]]
    )


def _meant(plan: Plan, side: SideName, opposite_in: float) -> str:
    """The same figure in another unit, where that comes near the side opposite; '' where none does."""
    length = plan.sides_in.of(side)
    units = {"cm": 1 / 2.54, "mm": 1 / 25.4, "in": 1.0, "ft": 12.0, "m": 1000 / 25.4}
    figure = length / units[plan.units]
    near = (unit for unit, inches in units.items() if abs(figure * inches / opposite_in - 1) <= MEANT_SHARE)
    unit = next(near, "")
    return f"{figure:.6g} {unit}" if unit else ""
