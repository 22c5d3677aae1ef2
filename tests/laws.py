"""What every layout must keep (DESIGN section 3), judged from its circles and curves alone.

``broken`` measures a placed layout with plain geometry of its own and says in words what it finds wrong.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import degrees, hypot, pi, radians, remainder

import numpy as np

from planner.border.band import Band
from planner.border.corners import Chain
from planner.border.layout import Layout, as_measured, run_pieces
from planner.border.spine import Circle
from planner.geometry.curves import Arc, Curve, Point
from planner.plan import SIDES, Choice, Plan

largest = {"landing_in": 0.0, "joint_in": 0.0, "joint_rad": 0.0}  # of all that was judged in this process
EXACT = 1e-9  # inches and radians, from issue to issue the same: the landing, the joints, the guides, the overlaps


def broken(layout: Layout, *, every_view: bool = True) -> list[str]:
    """Everything that is wrong with a layout: as drawn, and with every side as measured."""
    plan, choice = layout.plan, layout.choice
    found = [f"drawn: {fault}" for fault in in_quilt(layout)]
    for name, bands, chains in (
        ("drawn", layout.quilt.bands, layout.chains),
        ("measured", layout.quilt.own, layout.own),
    ):
        for side in SIDES:
            faults = [*of_chain(plan, choice, bands[side], chains[side])]
            faults += of_spine(plan, choice, bands[side], chains[side])
            found += [f"{name} {side}: {fault}" for fault in faults]
    if every_view:
        for side in SIDES:
            view = as_measured(layout, side)
            found += [f"as measured round {side}: {fault}" for fault in overlaps(_near(view, side))]
            found += [f"as measured round {side}: {fault}" for fault in joints(view, (side,))]
    return found


def of_chain(plan: Plan, choice: Choice, band: Band, chain: Chain) -> Iterator[str]:
    """Landing, ease and guides of one side in band coordinates."""
    circles, lift, gap = chain.circles, chain.ease.lift, chain.ease.gap
    corner_radius = choice.corner_diameter_in / 2
    k = choice.counts.of(band.side)
    if len(circles) != k:
        yield f"{len(circles)} circles instead of {k}"
    landing = _noted("landing_in", landing_error(plan, choice, band, chain))
    if not abs(landing) < EXACT:
        yield f"lands {landing:.3g} in off"
    slack = 1e-12
    most = plan.ease_limits.lift_in * (2 if plan.corner == "easy_going" else 1)
    if not (-slack <= lift <= most + slack and -slack <= gap <= plan.ease_limits.gap_in + slack):
        yield f"ease {lift}, {gap} is beyond its limits"
    first = (
        hypot(circles[0].centre[0] - corner_radius, circles[0].centre[1] - corner_radius)
        - corner_radius
        - circles[0].radius
        - gap
    )
    if abs(first) > EXACT:
        yield f"the first circle stands {first:.3g} in wrong from the corner"
    for a, b in pairwise(circles):
        apart = _apart(a, b)
        if abs(apart - gap) > EXACT:
            yield f"neighbours stand {apart} in apart instead of {gap}"
    for i, c in enumerate(circles):
        if c.centre[1] - c.radius < -EXACT or c.centre[1] + c.radius > band.height + EXACT:
            yield f"circle {i} leaves the guides"
        if c.turn != (1 if i % 2 else -1) or c.row != ("outer" if i % 2 else "inner"):
            yield f"circle {i} turns or stands on the wrong side"
        if plan.corner != "easy_going":
            off = c.centre[1] - c.radius if i % 2 else band.height - c.centre[1] - c.radius
            if abs(off - lift) > EXACT:
                yield f"circle {i} stands {off} off its guide, not {lift}"
    if chain.ring and 2 * chain.ring.radius > band.height + EXACT:
        yield "the ring leaves the guides"


def landing_error(plan: Plan, choice: Choice, band: Band, chain: Chain) -> float:
    """What is left over at the middle (mirrored) or at the far corner (turning, easy-going), inches."""
    last, half = chain.circles[-1], band.span / 2
    facing = 2 * (half - last.centre[0]) - 2 * last.radius  # clear between the two last circles
    if plan.corner != "mirrored":
        far = Circle(
            (band.span - choice.corner_diameter_in / 2, choice.corner_diameter_in / 2), 0, "corner", 1
        )
        return _apart(last, far) - choice.corner_diameter_in / 2 - chain.ease.gap
    if choice.meeting == "butted":
        return facing - chain.ease.gap
    if choice.meeting == "wreath":
        assert chain.ring is not None and abs(chain.ring.centre[0] - half) < EXACT
        return _apart(last, chain.ring)
    return facing - choice.middle_in


def of_spine(plan: Plan, choice: Choice, band: Band, chain: Chain) -> Iterator[str]:
    """Positions and tangents along one side's spine, its tails and tips, in band coordinates."""
    at: tuple[Point, float] | None = None
    stems: dict[int, Arc] = {}
    for piece in run_pieces(plan, choice, band, chain):
        curve = piece.curve
        if piece.part == "tail":
            if piece.curl < len(chain.circles):
                assert isinstance(curve, Arc)
                stem, circle = stems[piece.curl], chain.circles[piece.curl]
                yield from _apart_or_bent("tail", (stem.end, stem.heading(1)), curve)
                yield from _tip(plan, circle, stem, curve)
            elif at:
                yield from _apart_or_bent("hook", at, curve)
            continue
        if at:
            yield from _apart_or_bent(piece.part, at, curve)
        if piece.part == "stem":
            assert isinstance(curve, Arc)
            stems[piece.curl] = curve
            circle = chain.circles[piece.curl]
            if curve.centre != circle.centre or curve.radius != circle.radius:
                yield f"stem {piece.curl} is not on its circle"
            if curve.sweep * circle.turn <= 0 or abs(curve.sweep) >= 2 * pi:
                yield f"stem {piece.curl} turns {degrees(curve.sweep):.1f}°"
        at = (curve.end, curve.heading(1.0))
    if sorted(stems) != list(range(len(chain.circles))):
        yield "some circle has no stem"


def _tip(plan: Plan, circle: Circle, stem: Arc, tail: Arc) -> Iterator[str]:
    """A tip lies opposite the guide line its circle sits on, tail_deg 90 exactly so; never a closed circle."""
    wanted = (-pi / 2 if circle.row == "inner" else pi / 2) + circle.turn * radians(plan.tail_deg - 90)
    off = remainder(tail.begin + tail.sweep - wanted, 2 * pi)
    whole = abs(stem.sweep) + abs(tail.sweep)
    if tail.sweep * stem.sweep <= 0:
        yield "a tail turns against its stem"
    if whole > 2 * pi - radians(30) + EXACT:
        yield f"a curl closes: {degrees(whole):.0f}°"
    if abs(tail.sweep) > radians(plan.tail_deg + 60):
        yield f"a tail of {plan.tail_deg:.0f}° goes on for {degrees(abs(tail.sweep)):.0f}°"
    stopped = whole > 2 * pi - radians(30) - EXACT or abs(tail.sweep) < radians(15) + EXACT
    if abs(off) > EXACT and not stopped:
        yield f"a tip lies {degrees(off):.2f}° from its place"


def in_quilt(layout: Layout) -> Iterator[str]:
    """The whole quilt as drawn: nothing overlaps, nothing leaves the border, every joint is smooth."""
    circles = [*layout.corners, *(p.circle for p in layout.circles), *(ring for _, ring in layout.rings)]
    yield from overlaps(circles)
    yield from inside(layout, circles)
    yield from joints(layout, SIDES)
    steps = [layout.own[side].step for side in SIDES]
    if min(steps) <= 0:
        yield "a step of nothing"


def overlaps(circles: list[Circle]) -> Iterator[str]:
    """All pairs: no two circles overlap."""
    x, y, r = (np.array(a) for a in zip(*((*c.centre, c.radius) for c in circles), strict=True))
    apart = np.hypot(x[:, None] - x, y[:, None] - y) - r[:, None] - r
    np.fill_diagonal(apart, 1.0)
    worst = apart.min()
    if worst < -EXACT:
        i, j = np.unravel_index(np.argmin(apart), apart.shape)
        a, b = circles[i], circles[j]
        yield f"{a.row} and {b.row} circles {i}, {j} overlap by {-worst:.3g} in"


def inside(layout: Layout, circles: list[Circle]) -> Iterator[str]:
    """Every circle stands within the outer guides and keeps the room from the inner seams."""
    quilt, plan = layout.quilt, layout.plan
    c, s = plan.fill.room_in, plan.binding_allowance_in
    x, y, r = (np.array(a) for a in zip(*((*c.centre, c.radius) for c in circles), strict=True))
    out = np.minimum.reduce([x - r, y - r, quilt.width - x - r, quilt.height - y - r]) - c - s
    if out.min() < -EXACT:
        yield f"a circle lies {-out.min():.3g} in outside the outer guide"
    borders = plan.border_in
    dx = np.maximum(0, np.maximum(borders.left - x, x - (quilt.width - borders.right)))
    dy = np.maximum(0, np.maximum(borders.top - y, y - (quilt.height - borders.bottom)))
    near = np.hypot(dx, dy) - r - c
    if near.min() < -EXACT:
        yield f"a circle comes {-near.min():.3g} in too near a seam ({circles[int(np.argmin(near))].row})"


def joints(layout: Layout, sides: tuple[str, ...]) -> Iterator[str]:
    """Each corner's C begins and ends where its runs do, and in their direction."""
    parts = layout.spines
    for i, side in enumerate(SIDES):
        if side not in sides:
            continue
        corner = next(s for s in parts if s.piece.part == "corner" and s.place == _CORNER_OF[side])
        arc = corner.piece.curve
        ahead = next(s for s in parts if s.place == side and s.run == "start").piece.curve
        yield from (f"corner ahead: {f}" for f in _apart_or_bent("run", (arc.end, arc.heading(1.0)), ahead))
        before = SIDES[i - 1]
        if layout.plan.corner == "mirrored":
            back = next(s for s in parts if s.place == before and s.run == "end").piece.curve
            away = arc.reversed()
            yield from (
                f"corner behind: {f}" for f in _apart_or_bent("run", (away.end, away.heading(1.0)), back)
            )
        else:
            stems = [s for s in parts if s.place == before and s.piece.part != "tail"]
            last = stems[-1].piece.curve
            yield from (
                f"corner behind: {f}" for f in _apart_or_bent("corner", (last.end, last.heading(1.0)), arc)
            )
        assert isinstance(arc, Arc)
        if not 0 < arc.sweep < 2 * pi:
            yield f"a corner turns {degrees(arc.sweep):.0f}°"


_CORNER_OF = dict(zip(SIDES, ("top_left", "top_right", "bottom_right", "bottom_left"), strict=True))


def _near(view: Layout, side: str) -> list[Circle]:
    """The circles that stand true in a view round the first corner of a side."""
    i = SIDES.index(side)
    runs = [
        p.circle
        for p in view.circles
        if p.side == side or (p.side == SIDES[i - 1] and (p.run == "end" or view.plan.corner != "mirrored"))
    ]
    return [view.corners[i], *runs]


def _apart_or_bent(name: str, at: tuple[Point, float], curve: Curve) -> Iterator[str]:
    (x, y), heading = at
    off = _noted("joint_in", hypot(curve.start[0] - x, curve.start[1] - y))
    if not off < EXACT:
        yield f"a {name} begins {off:.3g} in off"
    bend = _noted("joint_rad", abs(remainder(curve.heading(0.0) - heading, 2 * pi)))
    if not bend < EXACT:
        yield f"a {name} bends by {bend:.3g} rad"


def _noted(figure: str, value: float) -> float:
    largest[figure] = max(largest[figure], abs(value))
    return value


def _apart(a: Circle, b: Circle) -> float:
    return hypot(a.centre[0] - b.centre[0], a.centre[1] - b.centre[1]) - a.radius - b.radius
