"""A border as a swatch to lay beside others: the left side from its corner to the middle, hung upright.

All swatches of a comparison look through one window, so that they are to one scale.
"""

from __future__ import annotations

from collections.abc import Sequence

from planner.border.layout import Layout
from planner.geometry.curves import Arc, Curve, Point
from planner.geometry.svg import number, svg_path
from planner.pictures.colour import chalk_for, mixed
from planner.pictures.picture import STILL, Window
from planner.pictures.threaded import mean_colour, spine_thread

EDGE_IN = 0.75  # what shows of the batting outside the raw edge
CENTRE_IN = 3.0  # what shows of the quilt's centre, at least
BELOW_IN = 2.0  # what shows below the middle


def common_window(layouts: Sequence[Layout], tallness: float) -> Window:
    """A window on every layout's left border, from its corner to past the middle.

    tallness: height over width of the room there is; more of the top border shows where that is wide.
    """
    half = max(one.quilt.height for one in layouts) / 2
    high = half + EDGE_IN + BELOW_IN
    least = max(one.quilt.border("left") for one in layouts) + CENTRE_IN
    most = min(one.quilt.width for one in layouts) / 2 + BELOW_IN
    return Window(-EDGE_IN, -EDGE_IN, EDGE_IN + max(least, min(high / tallness, most)), high)


def swatch(layout: Layout, window: Window, high_px: float, fill: str = "") -> str:
    """One swatch as an SVG element; decorative, because the figures beside it say it all.

    high_px: its height on the page, the same for all, so that the scale is. fill: SVG to lie under the spine.
    """
    look, border, quilt = layout.plan.look, layout.plan.border_in, layout.quilt
    thread = spine_thread(layout.plan)
    varied = len(thread.colours) > 1  # then its colours come with the fill
    right, below = window.x_in + window.width_in, window.y_in + window.height_in
    seam = mixed(look.border, "#000000", 0.35)
    spines = [part.piece.curve for part in layout.spines if _seen(part.piece.curve, right, below)]
    middle = quilt.height / 2
    centre = (
        f"M{number(right + 1)} {number(border.top)}H{number(border.left)}"
        f"V{number(below + 1)}H{number(right + 1)}z"
    )
    return (
        f'<svg class="swatch" viewBox="{window.view_box}" height="{high_px:g}" '
        f'width="{high_px * window.width_in / window.height_in:.1f}" aria-hidden="true" fill="none">'
        f'<path fill="{look.border}" d="M0 0H{number(right)}V{number(below)}H0z"/>'
        f'<path fill="{look.cloth}" stroke="{seam}" {STILL} d="{centre}"/>'
        f'{"" if varied else fill}<path stroke="{chalk_for(look.border)}" stroke-opacity=".7" '
        f'stroke-dasharray="6 4" {STILL} d="M0 {number(middle)}H{number(border.left)}"/>'
        f'<path stroke="{mean_colour(thread)}" stroke-width="1.3" stroke-linecap="round" {STILL} '
        f'd="{svg_path(spines)}"/>{fill if varied else ""}</svg>'
    )


def _seen(curve: Curve, right: float, below: float) -> bool:
    """Whether any of it may show: a curve beyond the window costs bytes and shows nothing."""
    points: list[Point] = [curve.start, curve.end]
    if isinstance(curve, Arc):
        points.append(curve.centre)
    return any(x < right + 1 and y < below + 1 for x, y in points)
