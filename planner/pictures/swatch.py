"""A border as a swatch to lay beside others: its corner and, by it, the middle of the top side, where runs meet.

All swatches of a comparison look through one frame, so that they are to one scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.border.layout import Layout
from planner.geometry.curves import Arc, Curve
from planner.geometry.svg import number, svg_path
from planner.pictures.colour import chalk_for, mixed
from planner.pictures.picture import STILL
from planner.pictures.threaded import mean_colour, spine_thread

EDGE_IN = 0.4  # what shows of the batting outside the raw edge
WIDE, HIGH = 1.4, 1.15  # each half shows so many of the widest border
BEFORE_MIDDLE = 0.7  # share of a half that lies before the middle line
APART_PX = 6.0


@dataclass(frozen=True, slots=True)
class Frame:
    """How much each half shows (inches), pixels to the inch, and whether the halves lie side by side."""

    wide: float
    high: float
    scale: float
    abreast: bool


def frame_of(layouts: Sequence[Layout], room_px: float, high_px: float) -> Frame:
    """The frame that shows all layouts as large as a column's room allows: its halves one above the other, or
    side by side.
    """
    border = max(one.quilt.border(side) for one in layouts for side in ("top", "left"))
    least = min(one.quilt.width for one in layouts) / 2
    wide, high = EDGE_IN + min(WIDE * border, least), EDGE_IN + HIGH * border
    above = min(room_px / wide, (high_px - APART_PX) / (2 * high))
    beside = min((room_px - APART_PX) / (2 * wide), high_px / high)
    return Frame(wide, high, max(above, beside), beside > above)


def swatch(layout: Layout, frame: Frame, fill: str = "") -> str:
    """One swatch as an SVG element; decorative, because the figures beside it say it all.

    fill: SVG to lie under the spine.
    """
    apart = APART_PX / frame.scale
    middle = layout.quilt.width / 2 - BEFORE_MIDDLE * frame.wide
    x, y = (frame.wide + apart, 0.0) if frame.abreast else (0.0, frame.high + apart)
    across, down = x + frame.wide, y + frame.high
    halves = (_half(layout, frame, 0.0, 0.0, -EDGE_IN, fill), _half(layout, frame, x, y, middle, fill))
    return (
        f'<svg class="swatch" viewBox="0 0 {number(across)} {number(down)}" width="{across * frame.scale:.1f}" '
        f'height="{down * frame.scale:.1f}" aria-hidden="true" fill="none">{"".join(halves)}</svg>'
    )


def _half(layout: Layout, frame: Frame, x: float, y: float, left: float, fill: str) -> str:
    """What of the top border lies from ``left`` on, laid at (x, y)."""
    look, border, middle = layout.plan.look, layout.plan.border_in, layout.quilt.width / 2
    thread = spine_thread(layout.plan)
    varied = len(thread.colours) > 1  # then its colours come with the fill
    right, below = left + frame.wide, frame.high - EDGE_IN
    seam = mixed(look.border, "#000000", 0.35)
    spines = [part.piece.curve for part in layout.spines if _seen(part.piece.curve, left, right, below)]
    inner = max(left - 1, border.left)
    return (
        f'<svg x="{number(x)}" y="{number(y)}" width="{number(frame.wide)}" height="{number(frame.high)}" '
        f'viewBox="{number(left)} {number(-EDGE_IN)} {number(frame.wide)} {number(frame.high)}">'
        f'<path fill="{look.border}" d="M{number(max(left, 0.0))} 0H{number(right)}V{number(below)}'
        f'H{number(max(left, 0.0))}z"/>'
        f'<path fill="{look.cloth}" stroke="{seam}" {STILL} d="M{number(right + 1)} {number(border.top)}'
        f'H{number(inner)}V{number(below + 1)}H{number(right + 1)}z"/>'
        f'{"" if varied else fill}<path stroke="{chalk_for(look.border)}" stroke-opacity=".7" '
        f'stroke-dasharray="6 4" {STILL} d="M{number(middle)} 0V{number(border.top)}"/>'
        f'<path stroke="{mean_colour(thread)}" stroke-width="1.3" stroke-linecap="round" {STILL} '
        f'd="{svg_path(spines)}"/>{fill if varied else ""}</svg>'
    )


def _seen(curve: Curve, left: float, right: float, below: float) -> bool:
    """Whether any of it may show: a curve beyond the frame costs bytes and shows nothing."""
    reach = curve.radius if isinstance(curve, Arc) else 0.0
    points = [curve.start, curve.end, *([curve.centre] if isinstance(curve, Arc) else [])]
    xs, ys = zip(*points, strict=True)
    return bool(max(xs) + reach > left and min(xs) - reach < right and min(ys) - reach < below)
