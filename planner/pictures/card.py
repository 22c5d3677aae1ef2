"""The small picture of one way among others: the top left corner and, beside it, the middle of the top side.

Both ends of a run are what tells one border from the next; what lies between only repeats. Colours are the plan's,
the spine's is its own thread's.
"""

from __future__ import annotations

from collections.abc import Container, Iterable
from math import atan2, pi

from planner.border.band import CORNERS, Band, quilt_of
from planner.border.corners import Chain
from planner.border.corners.styles import CORNER_STYLES
from planner.border.layout import Layout, mirror, run_pieces
from planner.fills import fill
from planner.fills.pocket import Pocket
from planner.geometry.curves import Arc, Motion, Track
from planner.geometry.svg import number, svg_path
from planner.pictures.picture import STILL, filled
from planner.pictures.threaded import mean_colour, spine_thread
from planner.plan import SIDES, Choice, Plan, SideName

WIDE, HIGH = 1.45, 1.2  # each half shows so many borders
APART = 0.08  # between them, of a border
BEFORE = 0.62  # share of the second half that lies before the middle line
INK = 0.1  # inches beyond an edge from which a line's width may still show

Placed = tuple[Track, Motion]  # a curve, and how it is moved to where it is drawn


def card_picture(plan: Plan, choice: Choice) -> str:
    """Corner and middle of a choice as an SVG element, light enough to stand in a row of others; '' if it is gone.

    Only what shows is placed: the top side, and the left one where one run goes round. Where both runs leave a
    corner alike, corner and first curls are drawn symmetric about the miter, as they are but for a hair.
    """
    quilt, style = quilt_of(plan, choice), CORNER_STYLES[plan.corner]
    shown: tuple[SideName, ...] = ("top",) if style.meets else ("top", "left")
    # a chain that wanders leans on those beside it
    asked = {side: quilt.bands[side] for side in shown} if style.strict else quilt.bands
    chains = style.chains(asked, plan, choice.averaged)
    if any(side not in chains for side in shown):
        return ""
    before = [
        (piece.curve, quilt.motion(side))
        for side in shown[1:]
        for piece in run_pieces(plan, choice, quilt.bands[side], chains[side])
    ]
    return ends_picture(plan, choice, quilt.bands["top"], chains["top"], before=before)


def ends_picture(
    plan: Plan, choice: Choice, band: Band, chain: Chain, over: str = "", before: Iterable[Placed] = ()
) -> str:
    """Both ends of a side's run. over: SVG over its middle, x from the raw corner, y from the raw edge; before:
    what comes to its first corner, where that is no mirror of the run.
    """
    pieces, (u, h) = run_pieces(plan, choice, band, chain), chain.near.centre
    x, y = pieces[0].curve.start
    leaves = atan2(y - h, x - u)
    corner = Arc((u, h), chain.near.radius, pi / 2 - leaves, 2 * leaves + 3 * pi / 2)
    onward = [p for p in pieces if p.part != "tail"] + [p for p in pieces if p.part == "tail"]
    there = Motion(e=band.outside, f=band.outside)
    placed: list[Placed] = [(curve, there) for curve in (corner, *(p.curve for p in onward))]
    border = band.outside + band.seam
    if CORNER_STYLES[plan.corner].meets:
        back, down = there.after(mirror(band)), there.after(Motion(0, 1, 1, 0, u - h, h - u))
        placed += [(p.curve, back) for p in onward if p.part != "ring"]
        before = [(p.curve, down) for p in onward]
    placed += [
        (curve, to) for curve, to in before if _within(curve, to, -INK, HIGH * border + INK, down=True)
    ]
    near, far, across = _ends(band)
    halves = (_half(plan, border, placed, *near), _half(plan, border, placed, *far, over))
    return (
        f'<svg viewBox="0 0 {number(across)} {number(HIGH * border)}" aria-hidden="true" fill="none">'
        f"{''.join(halves)}</svg>"
    )


def _ends(band: Band) -> tuple[tuple[float, float, float], tuple[float, float, float], float]:
    """Of the corner and of the middle: where it begins on the side, how wide it is, where it is drawn; and how wide
    both are together.
    """
    border, middle = band.outside + band.seam, band.outside + band.span / 2
    wide, gap = min(WIDE * border, middle), APART * border
    return (0.0, wide, 0.0), (middle - BEFORE * wide, wide, wide + gap), 2 * wide + gap


def card_fill(layout: Layout) -> str:
    """The fill of that picture alone, as an SVG to lie over it: only what it shows of it is grown."""
    band, high = layout.quilt.bands["top"], HIGH * layout.quilt.border("top")
    *halves, across = _ends(band)
    run = [one for one in layout.circles if one.side == "top" and one.run == "start"]
    shown = {
        one.index + 1
        for one in run
        for begin, wide, _ in halves
        if begin - one.circle.radius < one.circle.centre[0] < begin + wide + one.circle.radius
    }
    left = [one for one in layout.circles if one.side == "left"]
    before = {(one.run, one.index + 1) for one in left if one.circle.centre[1] - one.circle.radius < high}
    grown = fill(layout, only=lambda pocket: _shows(pocket, shown, before))
    drawn = f'<g id="fill">{filled(grown, layout)}</g>'
    seen = "".join(
        f'<svg x="{number(at)}" width="{number(wide)}" height="{number(high)}" '
        f'viewBox="{number(begin)} 0 {number(wide)} {number(high)}">'
        + (drawn if n == 0 else '<use href="#fill"/>')
        + "</svg>"
        for n, (begin, wide, at) in enumerate(halves)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(across)} {number(high)}" fill="none">'
        f"{seen}</svg>"
    )


def _shows(pocket: Pocket, curls: Container[int], before: Container[tuple[str | None, int]]) -> bool:
    """Whether a pocket lies in either end: in the first corner, beside one of those curls of the top or of those
    that come before it on the left, or in the middle.
    """
    if pocket.corner:
        return pocket.corner == CORNERS[0]
    if pocket.side == "left":
        return (pocket.run, pocket.curl) in before
    return pocket.side == SIDES[0] and (pocket.run is None or pocket.curl in curls)


def _half(
    plan: Plan, border: float, curves: list[Placed], left: float, wide: float, at: float, over: str = ""
) -> str:
    """What of a border lies from ``left`` on, ``wide`` inches of it, drawn at ``at``."""
    look = plan.look
    high, right = HIGH * border, left + wide
    path = svg_path(curve.moved(to) for curve, to in curves if _within(curve, to, left - INK, right + INK))
    inner = max(left, plan.border_in.left)
    return (
        f'<svg x="{number(at)}" width="{number(wide)}" height="{number(high)}" '
        f'viewBox="{number(left)} 0 {number(wide)} {number(high)}">'
        f'<path fill="{look.border}" d="M{number(left)} 0H{number(right)}V{number(high)}H{number(left)}z"/>'
        f'<path fill="{look.cloth}" d="M{number(inner)} {number(border)}H{number(right)}V{number(high)}'
        f'H{number(inner)}z"/>'
        f'<path stroke="{mean_colour(spine_thread(plan))}" stroke-width="1.5" stroke-linecap="round" {STILL} '
        f'd="{path}"/>{over}</svg>'
    )


def _within(curve: Track, to: Motion, first: float, last: float, *, down: bool = False) -> bool:
    """Whether any of a curve may show between two lines, down or across, once it is moved; of an arc, any of its
    circle.
    """
    if isinstance(curve, Arc):
        at = to.point(curve.centre)[down]
        return at + curve.radius >= first and at - curve.radius <= last
    ends = to.point(curve.start)[down], to.point(curve.end)[down]
    return max(ends) >= first and min(ends) <= last
