"""What leaves the program as JSON: the fields of the service contract (DESIGN section 7).

Field names carry their unit: ``_in`` inches, ``_deg`` degrees. Points are [x, y] in quilt coordinates.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, Self, TypeVar

from pydantic import BaseModel, ConfigDict

from planner.border.corners import Ease
from planner.plan import SIDES, SideName

Pair = tuple[float, float]
One = TypeVar("One")


class Wire(BaseModel):
    """Base of all that leaves."""

    model_config = ConfigDict(frozen=True)


class PerSide(Wire, Generic[One]):
    """One of something for each side of the quilt."""

    top: One
    right: One
    bottom: One
    left: One

    @classmethod
    def each(cls, of: Callable[[SideName], One]) -> Self:
        """One value a side, from a function of the side."""
        return cls(**{side: of(side) for side in SIDES})


class EaseOut(Wire):
    """Rows off the guide lines, air between circles (inches)."""

    lift: float
    gap: float

    @classmethod
    def of(cls, ease: Ease) -> EaseOut:
        """An ease as it leaves."""
        return cls(lift=ease.lift, gap=ease.gap)
