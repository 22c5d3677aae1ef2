"""A layout as a picture for the screen: an SVG string, one user unit to the inch.

The quilt is drawn once, as a group in quilt coordinates; a view is a window on it. Line widths are screen
pixels (non-scaling strokes), so that chalk and thread look alike in every view; a page may set others for one
view by the classes ``pucker``, ``thread``, ``stitch``, ``tip`` and ``layer-...``.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from html import escape
from math import atan2, pi

from planner.border.band import quilt_of
from planner.border.circles import curls_in_words
from planner.border.corners.styles import CORNER_STYLES
from planner.border.layout import Layout, run_pieces
from planner.fills.shape import PER_IN, FillOfLayout
from planner.geometry.curves import Arc, Track
from planner.geometry.svg import number, svg_path
from planner.lengths import format_length
from planner.pictures.colour import chalk_for, mixed
from planner.pictures.threaded import FILL_IN, mean_colour, spine_thread, threaded
from planner.plan import SIDES, Choice, Plan, SideName
from planner.stamp import svg_metadata
from planner.stitching.segments import StitchPath

MARGIN_IN = 1.5  # what shows of the batting round the quilt
WEAVE = (  # two threads over, two under: seen close to, gone from afar
    '<defs><pattern id="weave" width=".2" height=".2" patternUnits="userSpaceOnUse">'
    '<path d="M0 .05H.1M.1 .15H.2" stroke="#fff" stroke-opacity=".09" stroke-width=".07"/>'
    '<path d="M.05 .1V.2M.15 0V.1" stroke="#000" stroke-opacity=".1" stroke-width=".07"/></pattern></defs>'
)
STILL = 'vector-effect="non-scaling-stroke"'


@dataclass(frozen=True)
class Window:
    """A rectangle to look through, and the turn that lays the quilt flat behind it (an SVG matrix)."""

    x_in: float
    y_in: float
    width_in: float
    height_in: float
    matrix: str = ""

    @property
    def view_box(self) -> str:
        """What an SVG's ``viewBox`` takes."""
        return f"{self.x_in:.3f} {self.y_in:.3f} {self.width_in:.3f} {self.height_in:.3f}"


def whole_quilt(layout: Layout) -> Window:
    """All of the quilt, with a little batting round it."""
    return Window(
        -MARGIN_IN, -MARGIN_IN, layout.quilt.width + 2 * MARGIN_IN, layout.quilt.height + 2 * MARGIN_IN
    )


def one_run(layout: Layout, side: SideName) -> Window:
    """One side from its first corner to a little past the middle (to its end when no run meets there).

    The quilt is turned so that the raw edge lies at the top, as the side is chalked.
    """
    width, height = layout.quilt.width, layout.quilt.height
    length = width if side in {"top", "bottom"} else height
    border = layout.quilt.border(side)
    shown = length / 2 + border * 0.75 if layout.mirrored else length + MARGIN_IN
    turn = {
        "top": "",
        "right": f"matrix(0 -1 1 0 0 {width:.4f})",
        "bottom": f"matrix(-1 0 0 -1 {width:.4f} {height:.4f})",
        "left": f"matrix(0 1 -1 0 {height:.4f} 0)",
    }[side]
    return Window(-MARGIN_IN, -MARGIN_IN, shown + MARGIN_IN, border + 2 * MARGIN_IN, turn)


def picture(
    layout: Layout, window: Window, *, title: str, again: bool = False, fill: str = "", notes: str = ""
) -> str:
    """A whole SVG element showing the quilt through ``window``, with ``notes`` (SVG) over it.

    fill: the fill as SVG in quilt coordinates (``filled``, ``fill_from``), to lie under the spines.

    again: the quilt is on the page already (with the id ``quilt``); show it, do not draw it twice.
    """
    inside = ('<use href="#quilt"/>' if again else drawing(layout, fill)) + notes
    if window.matrix:
        inside = f'<g transform="{window.matrix}">{inside}</g>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{window.view_box}" role="img" '
        f'preserveAspectRatio="xMidYMid meet"><title>{escape(title)}</title>'
        f"<desc>{escape(describe(layout))}</desc>{svg_metadata(layout.stamp)}{inside}</svg>"
    )


def describe(layout: Layout) -> str:
    """The picture in words."""
    units = layout.plan.units
    size = f"{format_length(layout.quilt.width, units)} by {format_length(layout.quilt.height, units)}"
    return f"A quilt of {size}, its border filled with {curls_in_words(layout)}."


def measures(layout: Layout) -> str:
    """What she measured and how many curls it takes, written along each side as if chalked on the centre."""
    plan, width, height = layout.plan, layout.quilt.width, layout.quilt.height
    border, size = plan.border_in, max(width, height) / 30
    down, up = size * 1.7, size * 0.9
    middle_x, middle_y = width / 2, height / 2
    places = {
        "top": f"translate({middle_x:.2f} {border.top + down:.2f})",
        "bottom": f"translate({middle_x:.2f} {height - border.bottom - up:.2f})",
        "left": f"translate({border.left + down:.2f} {middle_y:.2f})rotate(-90)",
        "right": f"translate({width - border.right - up:.2f} {middle_y:.2f})rotate(-90)",
    }
    counted = Counter(placed.side for placed in layout.circles if placed.run != "corner")
    words = "".join(
        f'<text transform="{places[side]}">{format_length(plan.sides_in.of(side), plan.units)}'
        f"  ·  {counted[side]} curls</text>"
        for side in SIDES
    )
    ink = chalk_for(plan.look.cloth)
    return f'<g class="measures" fill="{ink}" font-size="{size:.2f}" text-anchor="middle">{words}</g>'


def filled(found: FillOfLayout, layout: Layout, path: StitchPath | None = None) -> str:
    """The fill as stitched, each thread in its colours. path: where ``threaded.needs_path`` asks for it."""
    one = len(layout.plan.every_thread) == 1 and not path
    drawn = f"<defs>{found.svg_defs()}</defs>{found.svg_uses()}" if one else threaded(layout, found, path)
    return (
        f'<g class="layer-fill" stroke="{layout.plan.every_thread[0].colours[0]}" '
        f'stroke-width="{PER_IN * FILL_IN:g}" stroke-linecap="round" stroke-linejoin="round">{drawn}</g>'
    )


def fill_from(address: str, layout: Layout) -> str:
    """The fill as an image the page fetches by itself: it takes longer than the page."""
    size = f'width="{number(layout.quilt.width)}" height="{number(layout.quilt.height)}"'
    return f'<image class="layer-fill" href="{escape(address)}" {size}/>'


def fill_alone(found: FillOfLayout, layout: Layout, path: StitchPath | None = None) -> str:
    """The image that ``fill_from`` asks for: the whole quilt's fill on nothing."""
    box = f"0 0 {number(layout.quilt.width)} {number(layout.quilt.height)}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" fill="none">'
        f"{svg_metadata(layout.stamp)}{filled(found, layout, path)}</svg>"
    )


def drawing(layout: Layout, fill: str = "") -> str:
    """The quilt as one SVG group in quilt coordinates: cloth, guide lines, circles, spines, tips."""
    chalk = chalk_for(layout.plan.look.border)
    stitched = [fill, _spines(layout)]
    if (
        len(spine_thread(layout.plan).colours) > 1
    ):  # its colours come with the fill, over the line in their mean
        stitched.reverse()
    parts = (_cloth(layout), _guides(layout, chalk), _circles(layout, chalk), *stitched)
    return f'<g id="quilt" fill="none">{WEAVE}{"".join(parts)}</g>'


def small_picture(plan: Plan, choice: Choice) -> str:
    """The top left corner and half the top side, light enough to stand in a row of others.

    Only the top side is placed; the corner C is drawn symmetric about the miter, as it is but for a hair.
    """
    quilt = quilt_of(plan, choice)
    band, motion = quilt.bands["top"], quilt.motion("top")
    chain = CORNER_STYLES[plan.corner].chains(quilt.bands, plan, choice.averaged).get("top")
    if chain is None:
        return ""
    pieces, (u, h) = run_pieces(plan, choice, band, chain), chain.near.centre
    x, y = pieces[0].curve.start
    leaves = atan2(y - h, x - u)
    corner = Arc((u, h), chain.near.radius, pi / 2 - leaves, 2 * leaves + 3 * pi / 2)
    line = [corner, *(p.curve for p in pieces if p.part != "tail")]
    tails = [p.curve for p in pieces if p.part == "tail"]
    path = svg_path(curve.moved(motion) for curve in (*line, *tails))
    border, look = plan.border_in, plan.look
    shown = band.span / 2 if CORNER_STYLES[plan.corner].meets else band.span
    right, below = motion.e + shown, border.top * 1.35
    return (
        f'<svg viewBox="0 0 {right:.2f} {below:.2f}" aria-hidden="true" fill="none">'
        f'<path fill="{look.border}" d="M0 0H{right:.2f}V{below:.2f}H0z"/>'
        f'<path fill="{look.cloth}" d="M{border.left:g} {border.top:g}H{right:.2f}V{below:.2f}H{border.left:g}z"/>'
        f'<path stroke="{mean_colour(spine_thread(plan))}" stroke-width="1.4" stroke-linecap="round" {STILL} '
        f'd="{path}"/></svg>'
    )


def _curves(layout: Layout) -> list[Track]:
    """Every curve of the spine: first the line that runs on, then the tails that leave it."""
    tails = [s.piece.curve for s in layout.spines if s.piece.part == "tail"]
    return [s.piece.curve for s in layout.spines if s.piece.part != "tail"] + tails


def _cloth(layout: Layout) -> str:
    """Border cloth, the quilt's centre, seam and miter lines, and the edge that the binding will cover."""
    plan, width, height = layout.plan, layout.quilt.width, layout.quilt.height
    border, look, binding = plan.border_in, plan.look, plan.binding_allowance_in
    right, bottom = width - border.right, height - border.bottom
    seam = mixed(look.border, "#000000", 0.35)
    miters = (
        f"M0 0L{border.left:g} {border.top:g}M{width:g} 0L{right:g} {border.top:g}"
        f"M{width:g} {height:g}L{right:g} {bottom:g}M0 {height:g}L{border.left:g} {bottom:g}"
    )
    centre = f"M{border.left:g} {border.top:g}H{right:g}V{bottom:g}H{border.left:g}z"
    return (
        f'<rect width="{width:g}" height="{height:g}" fill="{look.border}"/>'
        f'<path d="{centre}" fill="{look.cloth}" stroke="{seam}" stroke-width="1.5" {STILL}/>'
        f'<rect class="weave" width="{width:g}" height="{height:g}" fill="url(#weave)"/>'
        f'<path d="{miters}" stroke="{seam}" {STILL}/>'
        f'<rect x="{binding / 2:g}" y="{binding / 2:g}" width="{width - binding:g}" '
        f'height="{height - binding:g}" stroke="{seam}" stroke-opacity=".55" stroke-width="{binding:g}"/>'
    )


def _guides(layout: Layout, chalk: str) -> str:
    lines = svg_path(guide.line for guide in layout.guides)
    return (
        f'<path class="layer-guides" {STILL} d="{lines}" stroke="{chalk}" stroke-width="1.2" '
        'stroke-opacity=".75" stroke-dasharray="7 3 4 3" stroke-linecap="round"/>'
    )


def _circles(layout: Layout, chalk: str) -> str:
    """All circles as one path, two half turns each: far lighter than an element each."""
    rings = [ring for _, ring in layout.rings]
    d = "".join(
        f"M{number(c.centre[0] - c.radius)} {number(c.centre[1])}"
        + f"a{number(c.radius)} {number(c.radius)} 0 1 1 {number(2 * c.radius)} 0"
        + f"a{number(c.radius)} {number(c.radius)} 0 1 1 {number(-2 * c.radius)} 0"
        for c in (*layout.corners, *(placed.circle for placed in layout.circles), *rings)
    )
    return (
        f'<path class="layer-circles" {STILL} d="{d}" stroke="{chalk}" stroke-opacity=".55" '
        'stroke-dasharray="1.5 2.5"/>'
    )


def _spines(layout: Layout) -> str:
    """The thread: a soft shadow where it draws the cloth down, the line, its single stitches, the tips."""
    look, thread = layout.plan.look, mean_colour(spine_thread(layout.plan))
    path = svg_path(_curves(layout))
    ends = (spine.piece.curve.end for spine in layout.spines if spine.piece.part == "tail")
    tips = "".join(f"M{number(x)} {number(y)}h0" for x, y in ends)
    shade, dip = mixed(thread, look.border, 0.4), mixed(look.border, "#000000", 0.18)
    line = '<use href="#spine-line"'
    return (
        f'<defs><path id="spine-line" {STILL} d="{path}"/></defs><g class="layer-spines" stroke-linecap="round">'
        f'{line} class="pucker" stroke="{dip}" stroke-width="5"/>'
        f'{line} class="thread" stroke="{shade}" stroke-width="2"/>'
        f'{line} class="stitch" stroke="{thread}" stroke-width="1.8" stroke-dasharray="3.4 2.6"/>'
        f'<path class="tip" {STILL} d="{tips}" stroke="{thread}" stroke-width="5"/></g>'
    )
