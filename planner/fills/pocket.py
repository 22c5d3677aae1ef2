"""A pocket by name: one area of the border that is filled before moving on, and where it lies."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.border.band import CORNERS
from planner.border.layout import RunName
from planner.plan import SIDES, SideName

PocketKind = Literal["outside", "inside", "curl", "back", "ring", "middle", "strip"]


@dataclass(frozen=True, slots=True)
class Pocket:
    """Where a pocket lies.

    kind: outside or inside the corner's C; beside a curl, or behind one, towards the middle; in the ring of a
    wreath; in the middle of a side, where nothing grows from a spine; in the seam strip. side: its side, or the
    one that begins at its corner, clockwise. run, curl: of those beside a curl; the curl nearest the run's corner
    is 1.
    """

    kind: PocketKind
    side: SideName
    run: RunName | None = None
    curl: int = 0

    @property
    def corner(self) -> str | None:
        """The corner it lies in, None on a side."""
        return CORNERS[SIDES.index(self.side)] if self.kind in ("outside", "inside") else None

    @property
    def id(self) -> str:
        """Its name in what leaves the program: "top_left-inside", "top-end-3", "right-ring"."""
        if self.run is None:
            return f"{self.corner or self.side}-{self.kind}"
        return f"{self.side}-{self.run}-{self.curl}" + ("-back" if self.kind == "back" else "")
