"""The border as quilted: thread lying in its furrow, the cloth puffed between, lit from the upper left.

An SVG by itself; the relief is the browser's own work (SVG filter effects: two blurs of the stitched lines,
summed, are the depth of the furrow, and a distant light falls on it). Browsers differ in whether that depth grows
with the picture, so it is drawn in units of about a screen's pixel.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from planner.border.layout import Layout
from planner.fills.shape import PER_IN, FillOfLayout
from planner.geometry.svg import whole_path
from planner.pictures.colour import mixed
from planner.pictures.picture import Window, describe
from planner.pictures.threaded import mean_colour, spine_thread, threaded, way_uses
from planner.stamp import svg_metadata
from planner.stitching.segments import StitchPath

UNITS_IN = 40.0  # of the picture, to the inch
BATTING = "#e9eae6"  # of the table that the quilt lies on


@dataclass(frozen=True, slots=True)
class _Relief:
    """How cloth lies under the light: inches, degrees, shares. Chosen by eye, no source."""

    furrow_in: float = 0.034  # Blur of the stitched line: how steeply cloth falls into it.
    puff_in: float = 0.14  # The other blur: how far from it the cloth is drawn down.
    furrow: float = 0.5  # Share of the depth that the narrow blur gives.
    puff: float = 0.85  # Share that the wide one gives: the more, the rounder the puff.
    drawn_in: float = 0.05  # Width of the line that is blurred.
    depth_in: float = 0.13  # How deep the furrow is.
    azimuth: float = 235.0  # The light stands at the upper left, as on a drawing board ...
    elevation: float = 56.0  # ... and a little low, so that each puff has a side in shade.
    light: float = 1.2  # Flat cloth keeps its own colour; what faces the light is lighter ...
    ambient: float = 0.2  # ... and what lies in shade has this share of it still.
    thread_in: float = 0.022  # Width of the thread: a little more than a 40 weight's, so that it shows.
    shade_in: float = 0.036  # Width of the hollow that it lies in.
    stitch_in: float = 0.085  # What shows of a stitch; the rest has gone down.
    pitch_in: float = 0.1  # Ten stitches an inch.


_RELIEF = _Relief()
BLACK, WHITE = "#000000", "#ffffff"
_ALL = '<use href="#lines"/>'
_DASHES = (
    f'stroke-dasharray="{PER_IN * _RELIEF.stitch_in:g} {PER_IN * (_RELIEF.pitch_in - _RELIEF.stitch_in):g}"'
)


def quilted(
    layout: Layout,
    fill: FillOfLayout,
    window: Window,
    *,
    title: str,
    path: StitchPath | None = None,
    own_cloth: bool = False,
) -> str:
    """The border through a window as it will be when it is quilted: an SVG document.

    path: where ``threaded.needs_path`` asks for it. own_cloth: it lies over a photograph of hers, and is shade and
    thread alone.
    """
    x, y, wide, high = (UNITS_IN * v for v in (window.x_in, window.y_in, window.width_in, window.height_in))
    look, place = layout.plan.look, f'transform="scale({UNITS_IN:g}){window.matrix}"'
    cloth = (
        ""
        if own_cloth
        else f'<rect x="{x:g}" y="{y:g}" width="{wide:g}" height="{high:g}" fill="{BATTING}"/>'
        f'<path {place} fill="{look.cloth}" d="{_centre(layout)}"/>'
    )
    hollow, ditch = (
        (f'{BLACK}" stroke-opacity="{share:g}' if own_cloth else mixed(look.border, BLACK, share))
        for share in (0.5, 0.45)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{x:g} {y:g} {wide:g} {high:g}" width="{wide:g}" '
        f'height="{high:g}" fill="none" stroke-linecap="round" stroke-linejoin="round">'
        f"<title>{escape(title)}</title><desc>{escape(describe(layout))}</desc>{svg_metadata(layout.stamp)}"
        f"<defs>{_filter('' if own_cloth else look.border)}{_ground(layout, place)}"
        f"{_lines(layout, fill, path)}</defs>"
        f'{cloth}<g clip-path="url(#border)"><g filter="url(#relief)">'
        f'<g {place} stroke="{BLACK}" {_width(_RELIEF.drawn_in)}>{_ALL}</g></g></g>'
        f'<g {place}><g stroke="{hollow}" {_width(_RELIEF.shade_in)}>{_ALL}</g>'
        f"{_stitches(layout, fill, path)}"
        f'<path stroke="{ditch}" stroke-width=".06" d="{_centre(layout)}"/></g></svg>'
    )


def _lines(layout: Layout, fill: FillOfLayout, path: StitchPath | None) -> str:
    """All that is stitched, in the fill's units: once, to be used in the cloth, in its hollow and as thread."""
    spines = whole_path((part.piece.curve for part in layout.spines), PER_IN)
    apart = _is_apart(layout, path)
    return (
        f'{"" if apart else fill.svg_defs()}<path id="spines" transform="scale({1 / PER_IN:g})" d="{spines}"/>'
        f'<g id="lines">{way_uses(layout.plan) if apart else fill.svg_uses()}<use href="#spines"/></g>'
    )


def _is_apart(layout: Layout, path: StitchPath | None) -> bool:
    """Whether each thread is drawn by itself."""
    return len(layout.plan.every_thread) > 1 or path is not None


def _stitches(layout: Layout, fill: FillOfLayout, path: StitchPath | None) -> str:
    """Each thread in its colours, stitch by stitch."""
    spine = f'stroke="{mean_colour(spine_thread(layout.plan))}"'
    if not _is_apart(layout, path):
        return f"<g {_width(_RELIEF.thread_in)} {_DASHES} {spine}>{_ALL}</g>"
    thin = _RELIEF.thread_in
    return (
        f'<g {_width(thin)} {_DASHES}><use href="#spines" {spine}/>'
        f"{threaded(layout, fill, path, fill_in=thin, spine_in=thin)}</g>"
    )


def _filter(cloth: str) -> str:
    """The furrows round the stitched lines, under the light; for no cloth the shade alone, as black more or less
    clear: where so much of 1 is missing, what shows through is what the light leaves of any cloth.
    """
    r, u = _RELIEF, UNITS_IN
    if cloth:
        channels = "".join(
            f'<feFunc{channel} type="linear" slope="{1 - r.ambient:g}" '
            f'intercept="{r.ambient * int(cloth[1 + 2 * i : 3 + 2 * i], 16) / 255:.4f}"/>'
            for i, channel in enumerate("RGB")
        )
        shade = f"<feComponentTransfer>{channels}</feComponentTransfer>"
    else:
        dark = 1 - r.ambient
        shade = f'<feColorMatrix values="0 0 0 0 0 0 0 0 0 0 0 0 0 0 0 {-dark:g} 0 0 0 {dark:g}"/>'
    return (
        '<filter id="relief" filterUnits="userSpaceOnUse" x="0%" y="0%" width="100%" height="100%" '
        'color-interpolation-filters="sRGB">'
        f'<feGaussianBlur in="SourceAlpha" stdDeviation="{u * r.furrow_in:g}" result="furrow"/>'
        f'<feGaussianBlur in="SourceAlpha" stdDeviation="{u * r.puff_in:g}"/>'
        f'<feComposite operator="arithmetic" in2="furrow" k2="{r.puff:g}" k3="{r.furrow:g}"/>'
        f'<feDiffuseLighting surfaceScale="{-u * r.depth_in:g}" diffuseConstant="{r.light:g}" '
        f'lighting-color="{cloth or WHITE}"><feDistantLight azimuth="{r.azimuth:g}" elevation="{r.elevation:g}"/>'
        f"</feDiffuseLighting>{shade}</filter>"
    )


def _width(inches: float) -> str:
    """Of the lines, which are drawn in the fill's units."""
    return f'stroke-width="{PER_IN * inches:g}"'


def _centre(layout: Layout) -> str:
    """The quilt's centre, inside the border's seams."""
    quilt, border = layout.quilt, layout.plan.border_in
    right, bottom = quilt.width - border.right, quilt.height - border.bottom
    return f"M{border.left:g} {border.top:g}H{right:g}V{bottom:g}H{border.left:g}z"


def _ground(layout: Layout, place: str) -> str:
    """Where the relief lies: the border, all but the centre."""
    whole = f"M0 0H{layout.quilt.width:g}V{layout.quilt.height:g}H0z"
    return (
        f'<clipPath id="border"><path {place} clip-rule="evenodd" d="{whole}{_centre(layout)}"/></clipPath>'
    )
