"""The border at true size: each side as measured, as she sees it from its raw edge, with a ruler along that edge.

One user unit is an inch, for every side alike: x from her left end, y downwards, the seam at 0 and the raw edge at
the border's width. A page that knows how many pixels its screen has to the inch shows any part of it 1:1. Colours
and the width of lines are the page's.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import pi

from planner.border.band import next_side
from planner.border.layout import Layout
from planner.chalk.measured import MeasuredSide, measured_side, ruler_motion
from planner.fills.pocket import Pocket
from planner.fills.shape import PER_IN, FillOfLayout
from planner.geometry.curves import Arc, Curve, Line, Motion
from planner.geometry.svg import number, svg_path
from planner.lengths import MM_PER_IN
from planner.pictures.picture import STILL
from planner.pictures.threaded import threaded
from planner.plan import SideName, Units

NAME_IN = 0.3  # how large a curl's number stands in its circle
THREAD_IN = 0.03  # wide is the fill drawn: twice a stout thread, so that a projector still throws it
TICK_IN = 0.3  # a whole inch or centimetre on the ruler; half of it between two


def lines_of(layout: Layout, side: SideName) -> str:
    """A side's lines as SVG, its curls' numbers, and its ruler."""
    here = measured_side(layout, side)
    view = _view(here)
    parts: tuple[tuple[str, Iterable[Curve]], ...] = (
        ("guides", _guides(here)),
        ("circles", _circles(here)),
        ("strip", here.strip),
        ("edges", _edges(here)),
        ("spine", _spine(here)),
    )
    paths = "".join(
        f'<path class="{name}" {STILL} d="{svg_path(curve.moved(view) for curve in curves)}"/>'
        for name, curves in parts
    )
    names = "".join(
        f'<text x="{number(x)}" y="{number(y + NAME_IN / 3)}">{n}</text>'
        for run in here.runs
        for n, circle in enumerate(run.circles, 1)
        for x, y in (view.point(circle.centre),)
    )
    ruler = _ruler(here, layout.plan.units)
    return f'{paths}<g class="names" font-size="{NAME_IN}">{names}</g>{ruler}'


def fill_of(layout: Layout, side: SideName, fill: FillOfLayout) -> str:
    """The fill of one side and of both its corners as an SVG, from raw end to raw end, from seam to raw edge.

    layout, fill: laid out as measured along that side. A variegated thread has the first of its colours.
    """
    here = measured_side(layout, side)
    view = _view(here).after(ruler_motion(layout, side))
    copies = (copy for copy in fill.copies if _lies_on(copy.pocket, side))
    laid = FillOfLayout(fill.cells, tuple(replace(c, motion=view.after(c.motion)) for c in copies))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(here.length)} {number(here.border)}" '
        f'fill="none" stroke-width="{PER_IN * THREAD_IN:g}" stroke-linecap="round" stroke-linejoin="round">'
        f"{threaded(layout, laid, None)}</svg>"
    )


def _lies_on(pocket: Pocket, side: SideName) -> bool:
    return pocket.side == side or (pocket.side == next_side(side) and pocket.corner is not None)


def _view(here: MeasuredSide) -> Motion:
    """From ruler coordinates to what she sees: x to her right, the raw edge at the foot."""
    return Motion(-1, 0, 0, -1, here.length, here.border)


def _edges(here: MeasuredSide) -> list[Curve]:
    """Raw edges, seam and miters."""
    far, deep = here.length, here.border
    near, beyond = (here.near_border, deep), (far - here.far_border, deep)
    return [
        Line((0, deep), (0, 0)),
        Line((0, 0), (far, 0)),
        Line((far, 0), (far, deep)),
        Line((0, 0), near),
        Line(near, beyond),
        Line(beyond, (far, 0)),
    ]


def _guides(here: MeasuredSide) -> list[Curve]:
    """Guide lines and the middle."""
    return [
        Line((here.near_guides[0], here.outer), (here.length - here.far_guides[0], here.outer)),
        Line((here.near_guides[1], here.inner), (here.length - here.far_guides[1], here.inner)),
        Line((here.middle, 0), (here.middle, here.border)),
    ]


def _circles(here: MeasuredSide) -> list[Curve]:
    """Every circle she draws round, corner circles too."""
    run = [circle for one in here.runs for circle in one.circles]
    shown = (here.corner, here.far_corner, *run, *([here.ring] if here.ring else ()))
    return [Arc(circle.centre, circle.radius, 0.0, 2 * pi) for circle in shown]


def _spine(here: MeasuredSide) -> list[Curve]:
    """All that is stitched first: both corners' C, and the curls."""
    return [here.corner_arc, here.far_arc, *(piece.curve for run in here.runs for piece in run.pieces)]


def _ruler(here: MeasuredSide, units: Units) -> str:
    """Inches, or centimetres, from her left end, under the raw edge."""
    step = 1.0 if units == "in" else 10 / float(MM_PER_IN)
    ticks: list[Curve] = []
    figures = ""
    for half in range(int(2 * here.length / step) + 1):
        x, whole = half * step / 2, half % 2 == 0
        ticks.append(Line((x, here.border), (x, here.border + (TICK_IN if whole else TICK_IN / 2))))
        if whole:
            figures += f'<text x="{number(x)}" y="{number(here.border + 1.9 * TICK_IN)}">{half // 2}</text>'
    size = 0.26 if units == "in" else 0.2
    return f'<path class="ruler" {STILL} d="{svg_path(ticks)}"/><g class="figures" font-size="{size}">{figures}</g>'
