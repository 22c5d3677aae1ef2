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


def finished_width(strip_in: float, seam_in: float) -> float:
    """What a double-fold strip shows on each face: from strip = 4f + 2s (suite101, 2009), inches."""
    return (strip_in - 2 * seam_in) / 4


def shown_words(strip_in: float, allowance_in: float, units: Units) -> str:
    """What shows of a double-fold strip that is sewn ``allowance_in`` from the raw edge of the top.

    It shows wider than that only where something fills it: batting and backing that stand out as much further.
    """
    shows = finished_width(strip_in, allowance_in)
    more = shows - allowance_in
    if more <= SAME_IN:
        return f"shows {format_length(shows, units)}"
    return (
        f"shows {format_length(shows, units)} where batting and backing stand {format_length(more, units)} out "
        "past the top"
    )


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
