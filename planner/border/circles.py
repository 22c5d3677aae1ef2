"""The circles that a layout is drawn with: their sizes, and how a sentence speaks of them."""

from __future__ import annotations

from collections.abc import Iterable

from planner.border.layout import Layout
from planner.geometry.arrays import SAME_IN
from planner.lengths import format_length


def diameters_of(layout: Layout) -> list[float]:
    """Diameters of the circles in the corners, along the runs and in the middles, largest first, inches."""
    drawn = [c for chain in layout.own.values() for c in (chain.near, *chain.circles, chain.ring) if c]
    return sizes_among(2 * circle.radius for circle in drawn)


def sizes_among(diameters: Iterable[float]) -> list[float]:
    """Those that a hand tells apart, largest first, inches."""
    found: list[float] = []
    for size in sorted(diameters, reverse=True):
        if not found or found[-1] - size > SAME_IN:
            found.append(size)
    return found


def curls_in_words(layout: Layout) -> str:
    """``96 curls and four corner circles``, or ``100 curls`` where they go round the corners."""
    return f"{len(layout.circles)} curls" + (" and four corner circles" if layout.corners else "")


def sizes_in_words(layout: Layout) -> str:
    """``Corner circle 7 in, run circles 3 1/2 in``, or the sizes that take turns all round."""
    choice, units = layout.choice, layout.plan.units
    if choice.corner_diameter_in is not None:
        corner, run = (format_length(d, units) for d in (choice.corner_diameter_in, choice.run_diameter_in))
        return f"Corner circle {corner}, run circles {run}"
    *smaller, largest = (format_length(d, units) for d in reversed(diameters_of(layout)))
    sizes = f"{', '.join(smaller)} and {largest}" if smaller else largest
    return f"Circles of {sizes}, no large one in the corners"
