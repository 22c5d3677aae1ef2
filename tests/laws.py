"""What every layout must keep (DESIGN section 3), judged from its circles and curves alone.

``broken`` measures a placed layout with plain geometry of its own and says in words what it finds wrong.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import degrees, hypot, pi, radians, remainder, sin

import numpy as np
from numpy.typing import NDArray

from planner.border.band import Band
from planner.border.corners import Chain
from planner.border.layout import Layout, as_measured, run_pieces
from planner.border.spine import Circle
from planner.geometry.curves import Arc, Curve, Point
from planner.kinds import FILLS
from planner.plan import SIDES, Choice, Plan, SideName

Numbers = NDArray[np.float64]
largest = {"landing_in": 0.0, "joint_in": 0.0, "joint_rad": 0.0}  # of all that was judged in this process
EXACT = 1e-9  # inches and radians, from issue to issue the same: the landing, the joints, the guides, the overlaps


def broken(layout: Layout, *, every_view: bool = True) -> list[str]:
    """Everything that is wrong with a layout: as drawn, and with every side as measured."""
    plan, choice = layout.plan, layout.choice
    found = [*of_bands(layout), *(f"drawn: {fault}" for fault in in_quilt(layout))]
    for name, bands, chains in (
        ("drawn", layout.quilt.bands, layout.chains),
        ("measured", layout.quilt.own, layout.own),
    ):
        for side in SIDES:
            along = chains[SIDES[SIDES.index(side) - 1]]
            if abs(chains[side].near.centre[1] - along.near.centre[0]) > EXACT:
                found.append(f"{name} {side}: its corner circle stands elsewhere than for the side before")
            faults = [*of_chain(plan, choice, bands[side], chains[side], drawn=name == "drawn")]
            faults += of_spine(plan, choice, bands[side], chains[side])
            found += [f"{name} {side}: {fault}" for fault in faults]
    if every_view:
        for side in SIDES:
            view = as_measured(layout, side)
            found += [f"as measured round {side}: {fault}" for fault in overlaps(_near(view, side))]
            found += [f"as measured round {side}: {fault}" for fault in joints(view, (side,))]
    return found


def of_chain(plan: Plan, choice: Choice, band: Band, chain: Chain, *, drawn: bool) -> Iterator[str]:
    """Landing, ease and guides of one side in band coordinates."""
    circles, lift, gap = chain.circles, chain.ease.lift, chain.ease.gap
    k = choice.counts.of(band.side)
    if len(circles) != (k - 1 if choice.meeting == "full_circle" else k):
        yield f"{len(circles)} circles instead of {k}"
    landing = _noted("landing_in", landing_error(plan, choice, band, chain, drawn=drawn))
    if not abs(landing) < EXACT:
        yield f"lands {landing:.3g} in off"
    slack = 1e-12
    most = plan.ease_limits.lift_in * (2 if plan.corner == "easy_going" else 1)
    if not (-slack <= lift <= most + slack and -slack <= gap <= plan.ease_limits.gap_in + slack):
        yield f"ease {lift}, {gap} is beyond its limits"
    first = _apart(chain.near, circles[0]) - gap
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
    if choice.corner_diameter_in is None:
        yield from _of_easy_chain(plan, choice, band, chain)
    elif (chain.near.centre, chain.far.centre) != _touching_guides(band, choice.corner_diameter_in / 2):
        yield "a corner circle does not touch its guides"
    if chain.ring and 2 * chain.ring.radius > band.height + EXACT:
        yield "the ring leaves the guides"


def _touching_guides(band: Band, radius: float) -> tuple[Point, Point]:
    return (radius, radius), (band.span - radius, radius)


def _of_easy_chain(plan: Plan, choice: Choice, band: Band, chain: Chain) -> Iterator[str]:
    """No large circle: a run circle in each corner, three sizes that take turns, touching, none leaning too far."""
    r, circles = choice.run_diameter_in / 2, chain.circles
    mark = 1 / 16 if plan.units == "in" else 1 / 25.4
    x, far = chain.near.centre[0], chain.far.centre[0]
    if not r - EXACT <= x <= 1.25 * r + EXACT or abs(band.span - far - x) > EXACT:
        yield f"its corner circles stand {x / r:.3f} and {(band.span - far) / r:.3f} radii along"
    if {c.radius for c in (chain.near, chain.far, circles[0], circles[-1])} != {r}:
        yield "a corner or end circle is no run circle"
    sizes = sorted({c.radius for c in circles} | {r})
    if len(sizes) > 3 or any(abs(q - r) > max(0.08 * r + mark / 2, mark) for q in sizes):
        yield f"sizes {sizes} about {r}"
    if band.height - 2 * r > 2 * r * sin(radians(41.5)) + EXACT:
        yield "its links lean too far"
    for a, b in pairwise(circles):
        if abs(sizes.index(a.radius) - sizes.index(b.radius)) > 1:
            yield "neighbours two classes apart"
    if len(sizes) == 3 and any(
        len({c.radius for c in circles[i : i + 4]}) == 1 for i in range(len(circles) - 3)
    ):
        yield "more than three alike in a row"
    for i, c in enumerate(circles[1:-1], 1):
        if abs((c.centre[1] if i % 2 else band.height - c.centre[1]) - c.radius) > EXACT:
            yield f"circle {i} stands off its guide"
    for corner, end in ((chain.near, circles[0]), (chain.far, circles[-1])):
        if end.centre[1] - corner.centre[1] > 2 * r * sin(radians(15)) + EXACT:
            yield "an end circle leans too far from its corner"


def landing_error(plan: Plan, choice: Choice, band: Band, chain: Chain, *, drawn: bool) -> float:
    """What is left over at the middle (mirrored) or at the far corner (turning, easy-going), inches."""
    last, half = chain.circles[-1], band.span / 2
    facing = 2 * (half - last.centre[0]) - 2 * last.radius  # clear between the two last circles
    if plan.corner != "mirrored":
        if any(
            d.side == band.side and d.from_far_end for d in choice.drifts
        ):  # it is chalked towards the near one
            return _apart(chain.circles[0], chain.near) - chain.ease.gap
        return _apart(last, chain.far) - chain.ease.gap
    if choice.meeting == "butted":
        return facing - chain.ease.gap
    if choice.meeting == "full_circle":
        assert chain.ring is not None and abs(chain.ring.centre[0] - half) < EXACT
        return _apart(last, chain.ring) - chain.ease.gap
    if choice.meeting == "wreath":
        assert chain.ring is not None and abs(chain.ring.centre[0] - half) < EXACT
        return _apart(last, chain.ring)
    return facing - _middle(choice, band, drawn=drawn)


def _middle(choice: Choice, band: Band, *, drawn: bool) -> float:
    """The middle a side should have: its own; as drawn, the mean of its and its opposite's."""
    if choice.middles_in is None:
        return choice.middle_in
    opposite = SIDES[(SIDES.index(band.side) + 2) % 4]
    own, other = choice.middles_in.of(band.side), choice.middles_in.of(opposite)
    return (own + other) / 2 if drawn else own


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
    quilt, s = layout.quilt, layout.plan.binding_allowance_in
    room, strip = zip(*(rooms_of(layout.plan, layout.choice)[side][1:] for side in SIDES), strict=True)
    top, right, bottom, left = room
    x, y, r = (np.array(a) for a in zip(*((*c.centre, c.radius) for c in circles), strict=True))
    to_edge = [x - r - left, y - r - top, quilt.width - x - r - right, quilt.height - y - r - bottom]
    out = np.minimum.reduce(to_edge) - s
    if out.min() < -EXACT:
        yield f"a circle lies {-out.min():.3g} in outside the outer guide"
    edges = [layout.plan.border_in.of(side) - strip[i] for i, side in enumerate(SIDES)]
    dx, room_x = _beside(x, edges[3], quilt.width - edges[1], left, right)
    dy, room_y = _beside(y, edges[0], quilt.height - edges[2], top, bottom)
    kept = np.where(dx == 0, room_y, np.where(dy == 0, room_x, np.minimum(room_x, room_y)))
    near = np.hypot(dx, dy) - r - kept
    if near.min() < -EXACT:
        yield f"a circle comes {-near.min():.3g} in too near a seam ({circles[int(np.argmin(near))].row})"


def _beside(
    x: Numbers, low: float, high: float, room_low: float, room_high: float
) -> tuple[Numbers, Numbers]:
    """How far each place lies outside a stretch, and the room there is on that side of it."""
    off = np.maximum(0, np.maximum(low - x, x - high))
    return off, np.where(x < low, room_low, room_high)


def rooms_of(plan: Plan, choice: Choice) -> dict[SideName, tuple[float, float, float]]:
    """Band height, room and seam strip of each side by DESIGN section 3, side by side."""
    widths, s = {side: plan.border_in.of(side) for side in SIDES}, plan.binding_allowance_in
    needs = FILLS[plan.fill.kind].needs
    fixed = plan.fill.room_in
    if choice.room_in is None:  # from before room was a range
        c = needs.comfortable_room if fixed is None else fixed
        return {side: (w - s - 2 * c, c, 0.0) for side, w in widths.items()}
    most = needs.most_room if fixed is None else fixed
    height = min(widths.values()) - s - 2 * choice.room_in - choice.strip_in
    rooms = {}
    for side, width in widths.items():
        over = width - s - height - choice.strip_in
        room = min(over / 2, most)
        rooms[side] = (height, room, over - 2 * room + choice.strip_in)
    return rooms


def of_bands(layout: Layout) -> Iterator[str]:
    """Every side's band, room and strip, the span between its outer guides, and that all of it is its border."""
    plan = layout.plan
    rooms, s = rooms_of(plan, layout.choice), plan.binding_allowance_in
    for i, side in enumerate(SIDES):
        height, room, strip = rooms[side]
        band = layout.quilt.own[side]
        ends = rooms[SIDES[i - 1]][1] + rooms[SIDES[(i + 1) % 4]][1] + 2 * s
        for name, is_, should in (
            ("height", band.height, height),
            ("room", band.room, room),
            ("strip", band.strip, strip),
            ("span", band.span, plan.sides_in.of(side) - ends),
            ("border", s + 2 * band.room + band.height + band.strip, plan.border_in.of(side)),
        ):
            if abs(is_ - should) > EXACT:
                yield f"{side}: a {name} of {is_} instead of {should}"
        if not (band.height > 0 and band.room > 0 and band.strip >= 0):
            yield f"{side}: nothing is left"


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
    return [*view.corners[i : i + 1], *runs]


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
