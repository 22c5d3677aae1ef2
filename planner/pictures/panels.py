"""The backing as a small drawing: its panels and seams, and the quilt that lies on it."""

from __future__ import annotations

from planner.lengths import format_length
from planner.plan import Units
from planner.supplies.backing import Backing

ROOM_IN = 9.0  # round the drawing, for the figures
LETTER_IN = 5.0


def panels(back: Backing, overhang_in: float, units: Units) -> str:
    """An SVG element, one unit to the inch; the distance of each seam stands beside it."""
    wide, high = back.width_in, back.height_in
    seams = "".join(_seam(back, number, units) for number in range(len(back.seams_in)))
    return (
        f'<svg class="panels" viewBox="{-ROOM_IN} {-ROOM_IN} {wide + 4 * ROOM_IN:.2f} {high + 2 * ROOM_IN:.2f}" '
        f'role="img" font-size="{LETTER_IN}"><title>Backing of {format_length(wide, units)} by '
        f"{format_length(high, units)}, {back.panels} widths of cloth</title>"
        f'<rect class="cloth" width="{wide:.2f}" height="{high:.2f}"/>{seams}'
        f'<rect class="quilt" x="{overhang_in:g}" y="{overhang_in:g}" width="{wide - 2 * overhang_in:.2f}" '
        f'height="{high - 2 * overhang_in:.2f}"/>'
        f'<text x="{wide / 2:.2f}" y="{high / 2:.2f}" text-anchor="middle">the quilt</text></svg>'
    )


def _seam(back: Backing, number: int, units: Units) -> str:
    """A seam and its distance: those of two seams side by side stand above and below, so that they never meet."""
    at_in = back.seams_in[number]
    words = format_length(at_in, units)
    if back.run == "down":
        above = number % 2 == 0
        return (
            f'<path class="seam" d="M{at_in:.2f} 0V{back.height_in:.2f}"/>'
            f'<text x="{at_in:.2f}" y="{-2 if above else back.height_in + LETTER_IN + 1:.2f}" '
            f'text-anchor="middle">{words}</text>'
        )
    return (
        f'<path class="seam" d="M0 {at_in:.2f}H{back.width_in:.2f}"/>'
        f'<text x="{back.width_in + 2:.2f}" y="{at_in + 1.8:.2f}">{words}</text>'
    )
