"""Ribbon: streamers that roll and turn over on their way, with forked ends; a bow in a corner, loops in crooks.

Inches.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import radians, sqrt

import numpy as np

from planner.fills.growing.bent import Bent
from planner.fills.growing.contour import as_point
from planner.fills.growing.flow import Lean
from planner.fills.growing.hearts import SIDES, Heart
from planner.fills.growing.outline import Outline, across, tapered
from planner.fills.growing.standing import Hole
from planner.fills.growing.style import FlowStrips, Motif, Needs, Style
from planner.fills.record import FillRecord, ThreadFigures
from planner.fills.styles.feathers import bud, curl_axis, small_drop
from planner.fills.styles.streamers import FINE, LEAST_FOLD, along, rows_at, streamer, turns_of
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Arc, Point
from planner.geometry.polylines import even
from planner.kinds import NeedRange


@dataclass(frozen=True, slots=True)
class _Ribbon:
    """The proportions of ribbons: shares, inches where a name says so. Common practice, no source."""

    hair_in: float = 0.014  # Kept off the line half way to its neighbour, so that two threads do not touch.
    gap_fold: float = 1.4  # Smallest features: in gaps one of a lesser half width is a plain flag.
    least_width: float = 1.1  # Smallest features, for a half width: a narrower strip is left to the gaps.
    grass: float = 0.11  # Half width at least that share of the length: a narrower one would be a corkscrew.
    least_flag: float = 0.7  # The same for a flag in a gap.
    slender: float = 0.24  # Half width at most this share of the length: broader it would hang like a sheet.
    flare: float = 1.25  # Where its strip widens it may be so much wider than where that is narrowest.
    steep: float = 1.3  # Half width at most so much of how far it is from the spine: it leans towards that.
    foot: float = 0.3  # Of the length, on which it widens.
    widens: float = 0.6  # Exponent of that: under 1 it is broad soon.
    gap_end: float = 0.92  # Of a gap's length: there it is cut, while there is width for a fork.
    narrowest: float = 0.42  # Of a gap's width that it is wide at least.
    hole: tuple[float, float] = (0.72, 0.55)  # Of a hole's radius: half a ribbon's width, tried in turn.
    hole_end: float = 0.96  # Of its radius: so far past its middle that ribbon ends.
    slim: float = 0.62  # Of the way to its middle: a loop in a hole is no wider by half.
    curl_turn: float = 3.5  # Radians by which a tip's ribbon winds on.
    curl_reach: float = 0.84  # Of the radius: its end lies short of the heart, so that it is seen to roll.
    curl_head: float = 0.24  # Of a tail's radius: its half width.
    most_curl_head: float = 0.5  # Of the room: in a wide curl it stays of a size with the others.
    curl_widens: tuple[float, float] = (0.6, 0.75)  # So far it widens, by such a power.
    nested: float = 3.0  # Half smallest features: a loop so wide shows its inner edge.
    inner: tuple[float, float] = (0.15, 0.55)  # Of its width, at its foot and at its head: that edge.
    inner_aside: float = 0.22  # Of its width, to one side: a loop is seen a little from there.
    least_heart: float = 0.9  # Rooms: in a narrower circle a bow would be a tangle, so none stands there.
    most_heart: float = 2.4  # Rooms: in a wide circle it stays of a size with the streamers.
    knot: tuple[float, float] = (0.085, -0.42)  # Of that: a knot's radius, how far it is past the middle ...
    least_knot: float = 0.55  # Smallest features: or it would be too thin.
    bow: tuple[tuple[float, float], ...] = (
        (0.3, -0.68),
        (0.56, -0.64),
        (0.56, -0.34),
    )  # ... a loop's way ...
    loop: float = 0.18  # ... how wide it is at its head, by half ...
    tail: tuple[tuple[float, float], ...] = ((0.3, -0.2), (0.45, 0.05), (0.26, 0.75))  # ... a tail's way ...
    tail_width: float = 0.15  # ... and how wide that is, by half.


_RIBBON = _Ribbon()
_SHARES = (1.0, 0.88, 0.76, 0.65, 0.55, 0.45)  # of a strip, that a streamer may take
_TRIED = 4  # so often a streamer that comes too near the head of its strip is drawn shorter


def streamers(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """A streamer for each strip, as broad as the strip lets it be."""
    t = np.linspace(0, 1, FINE)
    middle, square, free = strips.middles(t[None])
    # No broader than it is far from the spine: where it leans it would meet that.
    seeds = np.arange(len(strips.lines.depth))
    deep = np.interp((strips.left + strips.right) / 2, seeds, strips.lines.depth)
    free = np.minimum(free, _RIBBON.steep * deep[:, None] * t) - _RIBBON.hair_in
    heads = strips.points(np.array([[0.0, 1.0]]), np.ones((1, 2)))
    return [_in_strip(*one, needs.smallest) for one in zip(middle, square, free, heads, strict=True)]


def _in_strip(
    middle: Numbers, square: Numbers, free: Numbers, heads: Numbers, smallest: float
) -> list[Outline]:
    """A streamer about a middle (n, 2), half widths of at most ``free`` (n,): as far along it as makes it largest.

    heads: where the sides of the strip end (2, 2). The fork is cut as that lies, and keeps off it.
    """
    length = float(np.hypot(*np.diff(middle, axis=0).T).sum())
    t = np.linspace(0, 1, len(middle))
    found = []
    for share in _SHARES:
        inner = (t > _RIBBON.foot * share) & (t <= share)
        found.append((min(float(free[inner].min()), _RIBBON.slender * share * length), share))
    width, share = max(found, key=lambda one: one[0] * one[1])
    if width < max(_RIBBON.least_width * smallest, _RIBBON.grass * share * length):
        return []
    ahead, end = middle[-1] - middle[-2], heads[1] - heads[0]
    out = across(heads)[0]
    out = out if out @ ahead > 0 else -out
    longer = (end @ ahead > 0) == (end @ square[-1] > 0)  # to the side to which ``square`` points
    grown: list[Outline] = []
    for _ in range(_TRIED):
        on, off, wide = rows_at(share * np.linspace(0, len(middle) - 1, FINE), middle, square, free[:, None])
        half = _smoothed(
            np.minimum(wide[:, 0], _RIBBON.flare * width) * _widening(_RIBBON.foot, _RIBBON.widens)
        )
        turns = turns_of(share * length, half, smallest, LEAST_FOLD)
        grown = streamer(on, off, half, turns, -1.0 if longer == (turns % 2 == 0) else 1.0)
        over = float(((grown[0].points - heads[0]) @ out).max()) + _RIBBON.hair_in
        if over <= _RIBBON.hair_in / 2:
            return grown
        share -= 1.3 * over / length
        if share < _SHARES[-1]:
            break
    return []


def _widening(until: float, power: float) -> Numbers:
    """Shares of its width that a ribbon has along it, all of it from ``until`` on. Shape (FINE,)."""
    return np.asarray(np.clip(np.linspace(0, 1, FINE) / until, 0, 1) ** power)


def _smoothed(half: Numbers) -> Numbers:
    """Half widths (n,) without steps, nowhere wider."""
    for _ in range(3):
        half = np.minimum(half, np.convolve(np.pad(half, 2, mode="edge"), np.full(5, 0.2), mode="valid"))
    return half


def rolled(tail: Arc, needs: Needs) -> Motif | None:
    """The tail's line carried on into a ribbon that rolls into the heart of its curl."""
    head = min(_RIBBON.curl_head * tail.radius, _RIBBON.most_curl_head * needs.room)
    if head < needs.smallest:
        return bud(tail, needs)
    axis = curl_axis(tail, _RIBBON.curl_turn, _RIBBON.curl_reach, needs)
    grown = along(
        axis, head * _widening(*_RIBBON.curl_widens), needs.smallest, 1.0 if tail.sweep > 0 else -1.0
    )
    return Motif(tuple(grown), grown[0].points)


def crook_loop(axis: Numbers, width: Numbers, needs: Needs) -> Motif | None:
    """A loop in the wedge between neighbouring curls."""
    if width[-1] < needs.smallest / 2:
        return None
    grown = loop(axis, width, needs.smallest)
    return Motif(tuple(grown), grown[0].points)


def loop(axis: Numbers, half: Numbers, smallest: float, hand: float = 1.0) -> list[Outline]:
    """A loop of ribbon about an axis (n, 2) of half widths (n,), and where it is wide enough its inner edge.

    hand: 1 if it is seen from the right of the axis, as y points up, else -1.
    """
    body = Outline.of("loop", tapered(axis, half), 10)
    if half[-1] < _RIBBON.nested * smallest / 2:
        return [body]
    t = np.linspace(0, 1, len(axis))
    inner = axis + (hand * _RIBBON.inner_aside * half * t)[:, None] * across(axis)
    low, high = _RIBBON.inner
    return [body, Outline.of("loop", tapered(inner, half * (low + (high - low) * t)), 10, within=True)]


def heart_bow(base: Point, centre: Point, needs: Needs) -> Motif | None:
    """A bow in a corner's circle: its knot hangs from the spine, a loop to either side, two tails ahead."""
    heart = Heart.of(base, centre, _RIBBON.most_heart * needs.room)
    if heart.size < _RIBBON.least_heart * needs.room:
        return None
    radius, y = _RIBBON.knot
    radius = max(radius, _RIBBON.least_knot * needs.smallest / heart.size)
    flank = heart.way((0, heart.low), (0, 0.6 * heart.low + 0.4 * y), (radius, y - 2 * radius), (radius, y))
    back = heart.way((0, heart.low), (0, 0.6 * heart.low + 0.4 * y), (-radius, y - 2 * radius), (-radius, y))
    angle = np.linspace(np.pi / 2, -np.pi / 2, 33).tolist()
    round_ = heart.at(*((radius * np.sin(a), y + radius * np.cos(a)) for a in angle))
    last, some = len(flank) - 1, np.arange(0, 33, 8)
    nodes = np.array([0, last // 2, *(last + some), 2 * last + 32 - last // 2, 2 * last + 32])
    grown = [Outline("knot", np.concatenate((flank, round_[1:], back[-2::-1])), nodes)]
    t = np.linspace(0, 1, FINE)
    for side in SIDES:
        out = np.sqrt(0.5) * radius
        way = heart.way((side * radius, y), *((side * x, up) for x, up in _RIBBON.bow))
        grown += loop(
            even(way, count=FINE), _RIBBON.loop * heart.size * t * (1.8 - 0.8 * t), needs.smallest, side
        )
        way = heart.way((side * out, y + out), *((side * x, up) for x, up in _RIBBON.tail))
        half = _RIBBON.tail_width * heart.size * _widening(0.5, 0.7)
        grown += along(way, half, needs.smallest, side)
    return Motif(tuple(grown), np.concatenate([one.points for one in grown if not one.within]))


def in_gap(axis: Numbers, half: Numbers, thin: float) -> list[Outline]:
    """A streamer in a gap about an axis (n, 2) of half widths (n,); thin: half the smallest feature."""
    keep = np.linspace(0, 1, len(axis)) <= _RIBBON.gap_end
    return along(axis[keep], half[keep], 2 * thin, fold=_RIBBON.gap_fold)


def small_ribbon(hole: Hole, needs: Needs) -> list[list[Outline]]:
    """A short ribbon in a hole, from where it hangs to the far side; a narrower one if that meets something."""
    base, way = np.array(hole.nearest), np.array(hole.centre) - np.array(hole.nearest)
    away = float(np.hypot(*way))
    found = []
    for share in _RIBBON.hole:
        half = share * hole.radius
        if half > _RIBBON.least_flag * needs.smallest:
            # A flag's tips lie side by side: they keep within the circle.
            far = sqrt(1 - share**2) if half < LEAST_FOLD * needs.smallest else _RIBBON.hole_end
            reach = 1 + far * hole.radius / away
            axis = base + np.linspace(0, reach, FINE)[:, None] * way
            found.append(along(axis, half * _widening(1 / reach, 0.7), needs.smallest))
    return found


def small_loop(hole: Hole, needs: Needs) -> list[Outline]:
    """A loop hung into a hole, slim enough that it is no bead."""
    away = float(np.hypot(*(np.array(hole.centre) - np.array(hole.nearest))))
    hole = replace(hole, radius=min(hole.radius, _RIBBON.slim * away))
    grown = small_drop(hole, needs, "loop")
    if grown and hole.radius > _RIBBON.nested * needs.smallest / 2:
        foot, middle = np.array(hole.nearest), np.array(hole.centre)
        inner = replace(hole, centre=as_point(middle + 0.1 * (foot - middle)), radius=0.5 * hole.radius)
        grown += [replace(one, within=True) for one in small_drop(inner, needs, "loop")]
    return grown


STYLE = Style(
    lean=Lean(radians(46), radians(16)),
    width=0.75,
    shortest=0.35,
    strips=streamers,
    tip=rolled,
    crook=crook_loop,
    crook_radius=0.36,
    parting=streamers,
    partings=2,
    heart=heart_bow,
    drop=small_loop,
    sprigs=small_ribbon,
    bent=Bent("ribbon", pointed=True, plump=0.3, parts=in_gap, narrowest=_RIBBON.narrowest),
    covers=True,
    jump=2.0,
    work=2.95,
)
RIBBON = FillRecord(
    kind="ribbon",
    listed="ribbon",
    spoken="ribbon",
    by_hand="Each ribbon: along one edge from fold to fold, round its forked end and home along the other edge; "
    "then the folds across it.",
    needs=NeedRange(
        least_room=0.8125,  # In less the gaps between ribbons hold no ribbon, only loops.
        comfortable_room=1.0,
        most_room=1.75,
        longest_ratio=2.5,
        longest_most=4.0,
        curl_share=0.85,
        smallest_feature=0.125,
    ),
    thread=ThreadFigures(area=6.88, spine=3.49, feature=-12.18),
    style=STYLE,
    one="ribbon",
    many="ribbons",
)
