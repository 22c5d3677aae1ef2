"""The nearest miss as a picture: corner and middle of its worst side, what stays open there in red."""

from __future__ import annotations

from planner.border.band import quilt_of
from planner.border.corners import Chain, Ease, in_corners
from planner.border.corners.mirrored import circles
from planner.geometry.curves import Line
from planner.geometry.svg import number, svg_path
from planner.lengths import format_length
from planner.pictures.card import HIGH, ends_picture
from planner.pictures.picture import STILL
from planner.plan import Plan
from planner.solver.miss import Miss


def miss_picture(plan: Plan, miss: Miss) -> str:
    """An SVG element; what it shows is said beside it too."""
    quilt, choice = quilt_of(plan, miss.choice), miss.choice
    band = quilt.own[miss.side]
    ease = Ease(miss.lift_in, miss.gap_in)
    row, step = circles(band, choice, ease, choice.counts.of(miss.side))
    chain = Chain(*in_corners(band, choice.corner_radius), row, ease, step)
    middle, border = band.span / 2 + band.outside, band.outside + band.seam
    left, right = middle - miss.open_in / 2, middle + miss.open_in / 2
    y = band.outside + band.height / 2
    ends = [Line((x, y - band.height / 2), (x, y + band.height / 2)) for x in (left, right)]
    words = format_length(miss.open_in, plan.units)
    red = (
        f'<path class="open" {STILL} d="{svg_path([Line((left, y), (right, y)), *ends])}"/>'
        f'<text class="open-words" x="{number(middle)}" y="{number(1.12 * border)}" text-anchor="middle" '
        f'font-size="{number(0.16 * border * HIGH)}">{words}</text>'
    )
    return ends_picture(plan, choice, band, chain, red)
