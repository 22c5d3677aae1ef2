"""Where a circle stands: its whole side as a strip, and itself from near, as she sees them from the raw edge.

What is drawn of a side is drawn once and used by every circle of it. Colours and line widths are the page's.
"""

from __future__ import annotations

from math import cos, sin

from planner.chalk.companion import ToChalk
from planner.geometry.curves import Arc, Curve, Line, Motion
from planner.geometry.svg import number, svg_path
from planner.plan import SideName

NEAR_RADII = 3.4  # the near view shows so many radii to either side: the neighbours, whole
MARGIN_IN = 0.3  # round the border
ARROW = 0.28  # arms of the arrow head, share of the radius


def side_drawings(circles: tuple[ToChalk, ...]) -> str:
    """An SVG element that shows nothing: the raw edge, seam, guide lines and curls of each side, to be used."""
    groups = "".join(_side(side, circles) for side in dict.fromkeys(one.side for one in circles))
    return f'<svg class="unseen" aria-hidden="true"><defs>{groups}</defs></svg>'


def side_strip(one: ToChalk) -> str:
    """The whole side, and where on it the circle stands."""
    side = one.table.measured
    circle = one.mark.circle.moved(_view(one))
    above = side.beyond_seam() + MARGIN_IN
    box = (-MARGIN_IN, -above, side.length + 2 * MARGIN_IN, side.border + above + MARGIN_IN)
    here = (
        f'<circle class="here" cx="{number(circle.centre[0])}" cy="{number(circle.centre[1])}" '
        f'r="{number(circle.radius)}"/>'
    )
    return _svg(box, one.side, here)


def near_view(one: ToChalk) -> str:
    """The circle and its neighbours; what is chalked now, with an arrow where it ends and a cross at its centre."""
    side, radius = one.table.measured, one.mark.circle.radius
    arc = one.mark.arc.moved(_view(one))
    x, y = arc.centre
    wide = 2 * NEAR_RADII * radius
    above = side.beyond_seam(1 + ARROW / 2) + MARGIN_IN
    high = min(side.border + above + MARGIN_IN, 0.6 * wide)
    top = min(max(y - high / 2, -above), side.border + MARGIN_IN - high)
    arm = 0.12 * radius
    cross = svg_path([Line((x - arm, y), (x + arm, y))]) + svg_path([Line((x, y - arm), (x, y + arm))])
    drawn = f'<path class="now" d="{svg_path([arc])}{_arrow(arc)}"/><path class="centre" d="{cross}"/>'
    return _svg((x - wide / 2, top, wide, high), one.side, drawn)


def _view(one: ToChalk) -> Motion:
    """From ruler coordinates to what she sees: x to her right, the raw edge at the foot."""
    side = one.table.measured
    return Motion(-1, 0, 0, -1, side.length, side.border)


def _svg(box: tuple[float, float, float, float], side: SideName, drawn: str) -> str:
    view = " ".join(number(value) for value in box)
    return f'<svg viewBox="{view}" fill="none" aria-hidden="true"><use href="#drawn-{side}"/>{drawn}</svg>'


def _arrow(arc: Arc) -> str:
    """The head of an arrow at the end of an arc."""
    (x, y), heading, size = arc.end, arc.heading(1.0), ARROW * arc.radius
    arms = [(x - size * cos(heading + off), y - size * sin(heading + off)) for off in (0.45, -0.45)]
    return svg_path([Line(arms[0], arc.end), Line(arc.end, arms[1])])


def _side(name: SideName, circles: tuple[ToChalk, ...]) -> str:
    """Edge and seam, guide lines, and all that is chalked of a side, each in a group of its own."""
    here = [one for one in circles if one.side == name]
    side, view = here[0].table.measured, _view(here[0])
    far = side.length
    edges: list[Curve] = [
        Line((0, 0), (far, 0)),
        Line((side.near_border, side.border), (far - side.far_border, side.border)),
    ]
    guides: list[Curve] = [
        Line((side.near_guides[0], side.outer), (far - side.far_guides[0], side.outer)),
        Line((side.near_guides[1], side.inner), (far - side.far_guides[1], side.inner)),
        Line((side.middle, 0), (side.middle, side.border)),
    ]
    corners: list[Curve] = [side.corner_arc, side.far_arc]
    curls: list[Curve] = [one.mark.arc for one in here if one.mark.kind != "corner"]
    parts = (("edges", edges), ("guides", guides), ("curls", corners + curls))
    paths = "".join(
        f'<path class="{kind}" d="{svg_path([c.moved(view) for c in curves])}"/>' for kind, curves in parts
    )
    return f'<g id="drawn-{name}">{paths}</g>'
