"""Cloth for the borders: the strips of the four sides, mitered or straight, across or along the cloth.

A border's width is measured from the raw edge to the seam, so its strip is cut one seam allowance wider.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from planner.geometry.arrays import SAME_IN
from planner.lengths import mark_at_most
from planner.plan import SIDES, SideName, Units
from planner.supplies.cutting import Cut, strips_across, strips_along

Corner = Literal["mitered", "straight"]
Grain = Literal["across", "along"]

LEAST_SPARE_IN = (
    25 / 25.4
)  # at each end of a mitered strip, to draw and trim the miter: common practice, no source


@dataclass(frozen=True, slots=True)
class BorderCloth:
    """What to cut for the borders. cloth_in: length of cloth, inches; joins: seams in all strips."""

    cuts: tuple[Cut, ...]
    strips: int
    joins: int
    cloth_in: float


def miter_spare(
    sides_in: Mapping[SideName, float], *, wanted_in: float, cloth_width_in: float, units: Units
) -> float:
    """What each end of a mitered strip gets to spare, inches, where the strips are cut across the cloth.

    As much as is wanted; or less, where every side then does with one strip without a join.
    """
    left = mark_at_most((cloth_width_in - max(sides_in.values())) / 2, units)
    return left if LEAST_SPARE_IN - SAME_IN <= left < wanted_in else wanted_in


def border_strips(
    sides_in: Mapping[SideName, float],
    border_in: Mapping[SideName, float],
    *,
    corner: Corner,
    seam_in: float,
    miter_extra_in: float,
) -> dict[SideName, tuple[float, float]]:
    """Length and width to cut for each side, inches.

    mitered: the whole outer edge and ``miter_extra_in`` at each end to trim. straight: left and right first,
    between top and bottom; then top and bottom over the whole width.
    """
    across = border_in["top"] + border_in["bottom"]
    strips: dict[SideName, tuple[float, float]] = {}
    for side in SIDES:
        if corner == "mitered":
            length = sides_in[side] + 2 * miter_extra_in
        elif side in ("left", "right"):
            length = sides_in[side] - across + 2 * seam_in
        else:
            length = sides_in[side]
        strips[side] = (length, border_in[side] + seam_in)
    return strips


def border_cloth(
    strips: Mapping[SideName, tuple[float, float]],
    *,
    grain: Grain,
    cloth_width_in: float,
    seam_in: float,
    units: Units,
) -> BorderCloth:
    """Cloth for the strips of :func:`border_strips`. Raises PlanError, worded in ``units``,
    where a strip cannot be cut so.

    A join is a straight seam and loses two seam allowances.
    """
    if grain == "along":
        cuts = tuple(Cut(f"{side} border", 1, *strips[side], "along the selvage, no join") for side in SIDES)
        return BorderCloth(cuts, 4, 0, strips_along(list(strips.values()), cloth_width_in, units))
    cuts_: list[Cut] = []
    count, joins, cloth = 0, 0, 0.0
    for width in sorted({width for _, width in strips.values()}, reverse=True):
        lengths = {side: strips[side][0] for side in SIDES if strips[side][1] == width}
        laid = strips_across(
            sorted(lengths.values(), reverse=True), width, cloth_width_in, 2 * seam_in, units
        )
        note = "joined end to end, then cut to length" if laid.joins else "no join"
        cuts_.append(Cut("border strips, selvage to selvage", laid.count, cloth_width_in, width, note))
        cuts_.extend(
            Cut(f"{side} border", 1, length, width, "from the strips") for side, length in lengths.items()
        )
        count, joins, cloth = count + laid.count, joins + laid.joins, cloth + laid.cloth_in
    return BorderCloth(tuple(cuts_), count, joins, cloth)
