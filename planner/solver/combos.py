"""What a combination is: n of them as arrays, and what can be said of each."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from planner.border.corners.styles import CORNER_STYLES
from planner.geometry.arrays import Indices, Mask, Numbers
from planner.plan import SIDES, Choice, Counts, MeetingKind, Plan
from planner.solver.limits import LEVEL_RISE


@dataclass(frozen=True, slots=True)
class Tries:
    """n pairs of circles (radii, inches) and the middle they are tried with, one row each.

    reach_run, reach_corner: what they ask for when all circles touch.
    """

    corner_radius: Numbers
    r: Numbers
    middle: Numbers
    reach_run: Numbers
    reach_corner: Numbers

    @classmethod
    def one(cls, corner_radius: float, r: float, middle: float) -> Tries:
        """A single pair with its middle, whatever its reach."""
        return cls(*(np.array([figure]) for figure in (corner_radius, r, middle, 0.0, 0.0)))

    def __len__(self) -> int:
        return len(self.corner_radius)

    def where(self, mask: Mask | Indices) -> Tries:
        """Only these of them: those where a mask holds, or by their rows."""
        return Tries(*(getattr(self, f.name)[mask] for f in fields(self)))

    def with_middles(self, middles: Numbers) -> Tries:
        """Every pair with every middle."""
        every = self.where(np.repeat(np.arange(len(self)), len(middles)))
        return replace(every, middle=np.tile(middles, len(self)))


@dataclass(frozen=True, slots=True)
class Combos:
    """n combinations, one row each. Lengths in inches; per-side arrays have shape (n, 4) in the order of SIDES.

    k: curls of a half side (a turning side holds 2k − 1). Until its reach is worked out, reach_run and
    reach_corner say what it is at least.
    """

    corner_radius: Numbers
    r: Numbers
    middle: Numbers
    k: Numbers
    lift: Numbers
    gap: Numbers
    step: Numbers
    rise: Numbers
    reach_run: Numbers
    reach_corner: Numbers
    reach_middle: Numbers

    def __len__(self) -> int:
        return len(self.corner_radius)

    def where(self, mask: Mask | Indices) -> Combos:
        """Only these of them: those where a mask holds, or by their rows."""
        return Combos(*(getattr(self, f.name)[mask] for f in fields(self)))

    @property
    def mismatch(self) -> Numbers:
        """Share by which the largest step of the four sides exceeds the smallest."""
        return np.asarray(self.step.max(axis=1) / self.step.min(axis=1) - 1)

    @property
    def reach_ends(self) -> Numbers:
        """Reach where a run ends: in its corner or its middle."""
        return np.maximum(self.reach_corner, self.reach_middle)


def of_kind(plan: Plan, combos: Combos) -> Mask:
    """Whether each run is of the kind she asked for."""
    level = is_level(combos)
    match plan.run:
        case "level":
            return level
        case "rolling":
            return ~level
        case _:
            return np.ones(len(combos), dtype=bool)


def choice_of(plan: Plan, meeting: MeetingKind | None, combos: Combos, i: int) -> Choice:
    """Row i as the choice it stands for."""
    k, style = combos.k[i].astype(int), CORNER_STYLES[plan.corner]
    counts = k if style.meets else 2 * k - 1
    return Choice(
        corner_diameter_in=float(2 * combos.corner_radius[i]) if style.large_circle else None,
        run_diameter_in=float(2 * combos.r[i]),
        meeting=meeting,
        middle_in=float(combos.middle[i]),
        counts=Counts(**{side: int(counts[j]) for j, side in enumerate(SIDES)}),
    )


def is_level(combos: Combos) -> Mask:
    """Whether the run counts as level on every side. Shape (n,)."""
    return np.asarray(combos.rise.max(axis=1) <= LEVEL_RISE * combos.r)
