"""What stands in a corner's large circle, one record each. A new one is one record, and a word in the list."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.fills.growing.style import Motif, Needs
from planner.fills.styles.feathers import heart_teardrop
from planner.geometry.curves import Point
from planner.kinds import by_kind


@dataclass(frozen=True, slots=True)
class CornerMotif:
    """One motif of the corners.

    kind: its word in a plan; listed: its name where it is chosen; spoken: what is said of a layout that has it;
    by_hand: how it is stitched, for the hand-out (common practice, no source). heart: what reaches into the middle
    of the circle in place of the fill's own; hatched: whether the circle is closed and cross-hatched instead.
    """

    kind: str
    listed: str
    spoken: str = ""
    by_hand: str = ""
    heart: Callable[[Point, Point, Needs], Motif | None] | None = None
    hatched: bool = False


OWN = CornerMotif(kind="own", listed="the fill’s own")
TEARDROPS = CornerMotif(
    kind="teardrops",
    listed="nested teardrops",
    spoken="Nested teardrops in the corners.",
    by_hand="Each corner: the outer teardrop first, then the one in it, from the same point.",
    heart=heart_teardrop,
)
HATCHED = CornerMotif(
    kind="hatched",
    listed="curved cross-hatching",
    spoken="Curved cross-hatching in the corners.",
    by_hand="Each corner: close the large circle, then go from arc to arc along it, one way and then the other.",
    hatched=True,
)
CORNER_MOTIFS = by_kind(OWN, TEARDROPS, HATCHED)
