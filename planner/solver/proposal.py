"""A proposal: one solved layout with the figures that tell it from the others."""

from __future__ import annotations

from dataclasses import dataclass

from planner.border.corners import Ease
from planner.border.said import touches
from planner.plan import SIDES, Choice, SideName
from planner.solver.combos import unlike_times
from planner.solver.weights import UNLIKE_IN


@dataclass(frozen=True, slots=True)
class Forgives:
    """How much shorter and how much longer a measure may be before circles or counts change (inches)."""

    short: float
    long: float


@dataclass(frozen=True, slots=True)
class Proposal:
    """One solved layout with its figures. Lengths in inches; reach is the run's, ends the corner's or middle's.

    one_side, all_sides: what error it forgives. needs_circle: diameter of the circle in it that is not hers.
    """

    choice: Choice
    level: bool
    ease: dict[SideName, Ease]
    step: dict[SideName, float]
    reach: float
    reach_ends: float
    mismatch: float
    score: float
    one_side: Forgives
    all_sides: Forgives
    why: str = ""
    needs_circle: float | None = None

    @property
    def largest_ease(self) -> float:
        """Lift and gap together on the side where they are most, inches."""
        return max(e.lift + e.gap for e in self.ease.values())

    @property
    def touches(self) -> bool:
        """Whether its circles touch all round."""
        return touches(self.ease.values())

    @property
    def alike(self) -> bool:
        """Whether its middles look alike on all sides."""
        return middles_alike(self.choice)


def middles_alike(choice: Choice) -> bool:
    """Whether the middles of a choice look alike on all sides."""
    middles = [choice.middle_of(side) for side in SIDES]
    return unlike_times(choice.meeting) * (max(middles) - min(middles)) <= UNLIKE_IN
