"""Binding: double-fold strips cut across the cloth, or one square of bias.

strips = the edge and an allowance for corners and closing, over the width of the cloth, rounded up: common to
sylviasquiltdepot.com, castillejacotton.blogspot.com 2013/06, quiltsbyjen.ca and others.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt

from planner.geometry.arrays import SAME_IN
from planner.lengths import format_length
from planner.plan import Units
from planner.supplies.cutting import Cut
from planner.supplies.rounding import whole_joined


@dataclass(frozen=True, slots=True)
class Binding:
    """Binding for one quilt, inches. length_in: edge and allowance; cloth_in: length of cloth it takes."""

    length_in: float
    strip_in: float
    strips: int
    joins: int
    cloth_in: float
    cuts: tuple[Cut, ...]


def faces(strip_in: float, allowance_in: float, trimmed_in: float) -> tuple[float, float]:
    """What a double-fold strip shows on the front and on the back, sewn ``allowance_in`` from the raw edge, inches.

    On the front it shows as far as batting and backing reach past its seam: the allowance, and what they are
    trimmed beyond the top. The rest of the doubled strip lies on the back. Both alike where they are trimmed for
    it: strip = 4 f + 2 s (suite101, 2009).
    """
    front = allowance_in + trimmed_in
    return front, strip_in / 2 - allowance_in - front


def shown_words(strip_in: float, allowance_in: float, trimmed_in: float, units: Units) -> str:
    """What shows of a double-fold strip on both faces, and how batting and backing are trimmed for it."""
    front, back = faces(strip_in, allowance_in, trimmed_in)
    out = f"{format_length(trimmed_in, units)} beyond" if trimmed_in > SAME_IN else "even with"
    trimmed = f"batting and backing trimmed {out} the top"
    if back < front - SAME_IN:  # it must reach its seam there
        least = format_length(2 * (allowance_in + 2 * front), units)
        return f"too narrow to reach its seam on the back, {trimmed}: cut it {least} wide"
    before, behind = format_length(front, units), format_length(back, units)
    if back - front <= SAME_IN:
        return f"shows {before} on both faces, {trimmed}"
    return f"shows {before} on the front and {behind} on the back, {trimmed}"


def straight_binding(
    edge_in: float, *, strip_in: float, allowance_in: float, cloth_width_in: float, join_loss_in: float
) -> Binding:
    """Strips from selvage to selvage. join_loss_in: the length a join takes (0 in most shops' rule)."""
    length = edge_in + allowance_in
    count = whole_joined(length, cloth_width_in, join_loss_in)
    cut = Cut("binding strips, selvage to selvage", count, cloth_width_in, strip_in, "joined on the slant")
    return Binding(length, strip_in, count, max(0, count - 1), count * strip_in, (cut,))


def bias_binding(edge_in: float, *, strip_in: float, allowance_in: float) -> Binding:
    """One continuous strip from a square: side = √(length · strip), up to the next inch (mydecozo.co.uk)."""
    length = edge_in + allowance_in
    side = float(ceil(sqrt(length * strip_in) - SAME_IN))
    cut = Cut("square for bias binding", 1, side, side, "cut round and round into one strip")
    return Binding(length, strip_in, 1, 0, side, (cut,))
