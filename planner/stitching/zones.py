"""Zones: what of the quilt lies under the needle at one time. Inches."""

from __future__ import annotations

from dataclasses import dataclass

from planner.plan import SideName


@dataclass(frozen=True, slots=True)
class Zone:
    """Where the needle comes without the quilt being moved on.

    begin, end: from the top raw edge; of a border stitched by itself (side) along it, from where that begins.
    """

    begin: float
    end: float
    side: SideName | None = None
