"""Backing: panels seamed side by side, larger than the quilt all round, with no seam on its middle line.

Four inches more on every side is the convention for a frame: sewberrychic.com, cranberryquiltingco.com.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from planner.errors import PlanError
from planner.geometry.arrays import SAME_IN
from planner.lengths import format_length
from planner.plan import Units
from planner.supplies.cutting import Cut

Direction = Literal["down", "across"]


@dataclass(frozen=True, slots=True)
class Backing:
    """The backing. Sizes in inches.

    panels: widths of cloth, all trimmed alike; run: whether they run down the quilt or across it; seams_in: where
    the seams lie, from the left edge of the backing (down) or from its top (across); cloth_in: length of cloth.
    """

    width_in: float
    height_in: float
    panels: int
    run: Direction
    seams_in: tuple[float, ...]
    cloth_in: float
    cuts: tuple[Cut, ...]


def backing(
    width_in: float,
    height_in: float,
    *,
    overhang_in: float,
    cloth_width_in: float,
    seam_in: float,
    units: Units,
) -> Backing:
    """The way that takes less cloth; panels down the quilt where both take the same.

    Raises PlanError, worded in ``units``, where the seams take all of the cloth.
    """
    if cloth_width_in <= 2 * seam_in:
        raise PlanError(
            f"Seams of {format_length(seam_in, units)} leave nothing of cloth "
            f"{format_length(cloth_width_in, units)} wide.",
            field="backing_width_in",
            cure=f"Measure the usable width of the backing cloth: most gives {format_length(40, units)}.",
        )
    wide, high = width_in + 2 * overhang_in, height_in + 2 * overhang_in
    down = _panels(wide, high, "down", cloth_width_in, seam_in)
    across = _panels(high, wide, "across", cloth_width_in, seam_in)
    panels, run, seams, cloth, cuts = min((down, across), key=lambda one: one[3])
    return Backing(wide, high, panels, run, seams, cloth, cuts)


def _panels(
    across_in: float, along_in: float, run: Direction, cloth_width_in: float, seam_in: float
) -> tuple[int, Direction, tuple[float, ...], float, tuple[Cut, ...]]:
    """Panels that span ``across_in``. An odd number stands whole; of an even number one is halved.

    The halves of the split panel go outside, so that no seam lies on the middle line, where the quilt is
    folded. An odd number needs two seam allowances at each of n - 1 seams, an even one at each of n.
    """
    count = 1
    while count * cloth_width_in - 2 * seam_in * _seam_count(count) < across_in - SAME_IN:
        count += 1
    cuts: tuple[Cut, ...]
    if count % 2:
        inner = (
            (across_in - 2 * seam_in) / count if count > 1 else across_in
        )  # of equal panels, the outer ones lose one seam less
        outer = (across_in - (count - 2) * inner) / 2
        seams = tuple(outer + i * inner for i in range(count - 1))
        note = "trimmed to this width, side by side" if count > 1 else "trimmed to this width"
        cuts = (Cut("backing panels", count, along_in, inner + 2 * seam_in * (count > 1), note),)
    else:
        seams = tuple((i + 0.5) * across_in / count for i in range(count))
        wide = across_in / count + 2 * seam_in
        halves = Cut(
            "backing panel cut in half lengthwise", 1, along_in, wide, "trimmed first, halves outside"
        )
        inside = Cut("backing panels", count - 1, along_in, wide, "trimmed to this width, in the middle")
        cuts = (inside, halves)
    return count, run, seams, count * along_in, cuts


def _seam_count(panels: int) -> int:
    return panels - 1 if panels % 2 else panels
