"""Ribbon: streamers that roll and turn over on their way, with forked ends; a bow in a corner, loops in crooks.

A streamer is drawn as a ribbon wound round a stick: it goes from side to side, folds round, and comes back behind
itself. Where its edges cross, the one in front goes on across it as a fold, the other is hidden.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import inf, radians, sqrt

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
from planner.geometry.arrays import SAME, Indices, Numbers
from planner.geometry.curves import Arc, Point
from planner.geometry.polylines import Polylines, even
from planner.kinds import NeedRange


@dataclass(frozen=True, slots=True)
class _Ribbon:
    """The proportions of ribbons: shares, inches where a name says so. Common practice, no source.

    Of a streamer, along its axis in turns: from one fold to the next; aside in half widths.
    """

    hair_in: float = 0.014  # Kept off the line half way to its neighbour, so that two threads do not touch.
    lead: float = 0.75  # From the foot to the first fold.
    band: float = (
        1.16  # How broad it is, measured along the axis: over 1 it overlaps itself, and valleys are shallow.
    )
    straight: float = (
        0.35  # How much of an edge's way across is straight: the folds meet the outline at an angle.
    )
    end: float = 1.65  # From the last fold to the nearer tip of the fork ...
    fork: float = 0.35  # ... and from that to the farther one: cut aslant, so that it flutters.
    notch: float = (
        0.66  # Of its last stretch, where the fork is cut out: nearer to the fold it would part the ribbon.
    )
    flag: float = 0.78  # The same of one that never turns over.
    turn: float = 1.15  # Half widths from fold to fold: shorter is a spring, longer hardly turns over.
    gap_turn: float = 1.25  # In gaps a little longer: small ones are plainer.
    most_turns: int = 5  # More would be a corkscrew.
    least_fold: float = (
        1.15  # Smallest features: a ribbon of a lesser half width is a flag that never turns over.
    )
    least_band: float = 1.5  # Smallest features: between two folds.
    least_width: float = 1.1  # Smallest features, for a half width: a narrower strip is left to the gaps.
    least_flag: float = 0.88  # The same for a flag in a gap.
    slender: float = 0.24  # Half width at most this share of the length: broader it would hang like a sheet.
    flare: float = 1.25  # Where its strip widens it may be so much wider than where that is narrowest.
    steep: float = (
        1.3  # Half width at most so much of how far it is from the spine: leaning, it would meet that.
    )
    foot: float = 0.3  # Of the length, on which it widens.
    widens: float = 0.6  # Exponent of that: under 1 it is broad soon.
    gap_end: float = 0.92  # Of a gap's length: there it is cut, while there is width for a fork.
    narrowest: float = 0.42  # Of a gap's width that it is wide at least.
    hole: tuple[float, float] = (
        0.72,
        0.55,
    )  # Of a hole's radius: half the width of a ribbon in it, tried in turn.
    hole_end: float = 0.96  # Of its radius: so far past its middle that ribbon ends.
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
    knot: tuple[float, float] = (
        0.085,
        -0.42,
    )  # Of that size: a knot's radius, and how far it is past the middle ...
    least_knot: float = 0.55  # Smallest features: or it would be too thin.
    bow: tuple[tuple[float, float], ...] = (
        (0.3, -0.68),
        (0.56, -0.64),
        (0.56, -0.34),
    )  # ... how a loop goes ...
    loop: float = 0.18  # ... how wide it is at its head, by half ...
    tail: tuple[tuple[float, float], ...] = (
        (0.3, -0.2),
        (0.45, 0.05),
        (0.26, 0.75),
    )  # ... how a tail goes ...
    tail_width: float = 0.15  # ... and how wide that is, by half.


_RIBBON = _Ribbon()
_SHARES = (1.0, 0.88, 0.76, 0.65, 0.55, 0.45)  # of a strip, that a streamer may take
_TRIED = 4  # so often a streamer that comes too near the head of its strip is drawn shorter
_FINE = 49  # points at which a strip or an axis is measured
_EDGE = 61  # points along an edge from fold to fold
_STEP = 0.09  # turns between the points of an outline, about
_A_CURVE = 0.95  # turns that one curve draws, about


@dataclass(frozen=True, slots=True)
class _Pattern:
    """A streamer about a straight axis: places (n, 2), along it 0..1, aside of it -1..1.

    folds: lines across it, from node to node of its outline.
    """

    outline: Numbers
    nodes: Indices
    corners: tuple[int, ...]
    folds: tuple[Numbers, ...]


@cache
def _pattern(turns: int) -> _Pattern:
    """A streamer with so many folds; its forked end lies in front."""
    lower, upper = _edges(turns)
    valleys = [_meeting(upper[j], lower[j + 1]) for j in range(turns)]
    folds = []
    for j, (i, k) in enumerate(valleys):
        in_front = j % 2 == turns % 2
        folds.append(
            upper[j][i:] if in_front else np.concatenate((lower[j + 1][:k], upper[j][i : i + 1]))[::-1]
        )
    sides: list[list[Numbers]] = []
    for first in (0, 1):
        pieces = [lower[0]] if not first else upper[:1] if not turns else _round(upper, lower, valleys, 0)
        for fold in range(first, turns, 2):
            pieces.append(_fold(fold))
            pieces += [upper[-1]] if fold == turns - 1 else _round(upper, lower, valleys, fold + 1)
        sides.append(pieces)
    cut = round((_RIBBON.notch if turns else _RIBBON.flag) * (_EDGE - 1))
    one, other = (side[-1][-1] for side in sides)
    notch = (lower[-1][cut] + upper[-1][cut]) / 2
    fork = [np.array([one, notch]), np.array([notch, other])]
    points, nodes = [lower[0][:1]], [0]
    for piece in (*sides[0], *fork, *(piece[::-1] for piece in reversed(sides[1]))):
        line = Polylines.of([piece])
        length = float(line.lengths()[0])
        curves = max(1, round(length / _A_CURVE))
        steps = max(2, round(length / _STEP / curves))
        points.append(line.at(np.linspace(0, length, curves * steps + 1)[None, 1:])[0])
        nodes += [nodes[-1] + steps * (c + 1) for c in range(curves)]
    outline = np.concatenate(points)
    sharp = np.array([one, other, notch, *(upper[j][i] for j, (i, _) in enumerate(valleys))])
    corners = [n for n in nodes if np.hypot(*(sharp - outline[n]).T).min() < SAME]
    whole = np.abs(outline).max(axis=0)
    lines = tuple(even(fold, count=25) / whole for fold in folds)
    return _Pattern(outline / whole, np.array(nodes), tuple(corners), lines)


def _edges(turns: int) -> tuple[list[Numbers], list[Numbers]]:
    """The edges of each stretch from fold to fold, (n, 2) each: the lower ones and the upper ones.

    The first stretch begins in the foot, the last one ends in the tips of the fork.
    """
    lead, band, end, fork = _RIBBON.lead, _RIBBON.band, _RIBBON.end, _RIBBON.fork
    if not turns:
        flag = (
            _bezier((0, 0), (0.2, 1.05), (1.2, 0.6), (1.8, 1)),
            _bezier((0, 0), (0.4, -1.15), (1.4, -0.6), (2.2, -0.95)),
        )
        return [flag[0]], [flag[1]]
    slope = 2 * _RIBBON.straight
    lower = [_bezier((0, 0), (0.5 * lead, 0), (lead - 0.3, 1 - 0.3 * slope), (lead, 1))]
    top = lead + band
    upper = [_bezier((0, 0), (0.35 * top, -0.45), (top - 0.5, 1 - 0.5 * slope), (top, 1))]
    t = np.linspace(0, 1, _EDGE)
    side = np.array([1.0, 1.0])
    for fold in range(turns - 1):
        way = (slope / 2 - 1) * (1 - 2 * t * t * (3 - 2 * t)) - slope / 2 * (1 - 2 * t)
        side = np.array([1.0, -((-1.0) ** fold)])
        lower.append(np.stack((lead + fold + t, way), axis=1) * side)
        upper.append(np.stack((lead + fold + t + band, way), axis=1) * side)
    at, side = lead + turns - 1, np.array([1.0, (-1.0) ** turns])
    lower.append(
        _bezier((at, -1), (at + 0.33, 0.33 * slope - 1), (at + end - 0.6, 0.75), (at + end, 1)) * side
    )
    tip = at + end + fork
    upper.append(
        _bezier((at + band, -1), (at + band + 0.2, 0.2 * slope - 1), (tip - 0.25, -0.4), (tip, -0.3)) * side
    )
    return lower, upper


def _bezier(*handles: tuple[float, float]) -> Numbers:
    t = np.linspace(0, 1, _EDGE)[:, None]
    a, b, c, d = np.array(handles)
    return np.asarray((1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d)


def _fold(number: int) -> Numbers:
    """The side of a streamer where it folds round, as smooth as its edges come there."""
    t = np.linspace(0, 1, _EDGE)
    bulge = 1 + 2 * _RIBBON.straight * _RIBBON.band * t * (1 - t)
    return np.stack((_RIBBON.lead + number + _RIBBON.band * t, (-1.0) ** number * bulge), axis=1)


def _meeting(one: Numbers, other: Numbers) -> tuple[int, int]:
    """Where an upper edge and the next lower one are nearest, but for their beginnings: the point of each."""
    far = np.hypot(*(one[3:, None] - other[None, 1:]).transpose(2, 0, 1))
    i, k = np.unravel_index(int(np.argmin(far)), far.shape)
    return int(i) + 3, int(k) + 1


def _round(
    upper: Sequence[Numbers], lower: Sequence[Numbers], valleys: Sequence[tuple[int, int]], number: int
) -> list[Numbers]:
    """The outline round a valley: along an upper edge to it, and on along the next lower one."""
    i, k = valleys[number]
    one, other = upper[number][: i + 1], lower[number + 1][k + 1 :]
    return [one, np.concatenate((one[-1:], other))]


def _turns(length: float, half: Numbers, smallest: float, turn: float) -> int:
    """How often a streamer of such a length and half widths (n,) turns over."""
    typical = float(np.median(half[len(half) // 3 :]))
    if typical < _RIBBON.least_fold * smallest:
        return 0
    one = max(turn * typical, _RIBBON.least_band * smallest / _RIBBON.band)
    return int(
        np.clip(round(length / one - _RIBBON.lead + 1 - _RIBBON.end - _RIBBON.fork), 1, _RIBBON.most_turns)
    )


def _drawn(middle: Numbers, square: Numbers, half: Numbers, turns: int, hand: float) -> list[Outline]:
    """A streamer and its folds about a middle (n, 2), with unit vectors square to it, of half widths (n,).

    hand: 1 if its first fold lies where those point, -1 if on the other side.
    """
    pattern, last = _pattern(turns), len(middle) - 1

    def there(places: Numbers) -> Numbers:
        on, off, wide = _at(places[:, 0] * (last - 0.25), middle, square, half[:, None])
        return np.asarray(on + hand * off * wide * places[:, 1:])

    return [
        Outline("ribbon", there(pattern.outline), pattern.nodes, corners=pattern.corners),
        *(Outline("fold", there(fold), np.array([0, 8, 16, 24]), within=True) for fold in pattern.folds),
    ]


def _at(place: Numbers, *rows: Numbers) -> list[Numbers]:
    """Rows (n, k) at fractional numbers of theirs (m,)."""
    i = np.clip(place.astype(int), 0, len(rows[0]) - 2)
    share = (place - i)[:, None]
    return [one[i] * (1 - share) + one[i + 1] * share for one in rows]


def streamers(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """A streamer for each strip, as broad as the strip lets it be."""
    t = np.linspace(0, 1, _FINE)
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
    if width < _RIBBON.least_width * smallest:
        return []
    ahead, end = middle[-1] - middle[-2], heads[1] - heads[0]
    out = across(heads)[0]
    out = out if out @ ahead > 0 else -out
    longer = (end @ ahead > 0) == (end @ square[-1] > 0)  # to the side to which ``square`` points
    grown: list[Outline] = []
    for _ in range(_TRIED):
        on, off, wide = _at(share * np.linspace(0, len(middle) - 1, _FINE), middle, square, free[:, None])
        half = _smoothed(
            np.minimum(wide[:, 0], _RIBBON.flare * width) * _widening(_RIBBON.foot, _RIBBON.widens)
        )
        turns = _turns(share * length, half, smallest, _RIBBON.turn)
        grown = _drawn(on, off, half, turns, -1.0 if longer == (turns % 2 == 0) else 1.0)
        over = float(((grown[0].points - heads[0]) @ out).max()) + _RIBBON.hair_in
        if over <= _RIBBON.hair_in / 2:
            return grown
        share -= 1.3 * over / length
        if share < _SHARES[-1]:
            break
    return []


def _widening(until: float, power: float) -> Numbers:
    """Shares of its width that a ribbon has along it, all of it from ``until`` on. Shape (_FINE,)."""
    return np.asarray(np.clip(np.linspace(0, 1, _FINE) / until, 0, 1) ** power)


def _smoothed(half: Numbers) -> Numbers:
    """Half widths (n,) without steps, nowhere wider."""
    for _ in range(3):
        half = np.minimum(half, np.convolve(np.pad(half, 2, mode="edge"), np.full(5, 0.2), mode="valid"))
    return half


def along(
    axis: Numbers, half: Numbers, smallest: float, hand: float = 1.0, turn: float = _RIBBON.turn
) -> list[Outline]:
    """A streamer along an axis (n, 2), of half widths (m,)."""
    line = Polylines.of([axis])
    length = float(line.lengths()[0])
    middle = line.at(np.linspace(0, length, _FINE)[None])[0]
    wide = np.interp(np.linspace(0, 1, _FINE), np.linspace(0, 1, len(half)), half)
    return _drawn(middle, across(middle), wide, _turns(length, wide, smallest, turn), hand)


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
    t = np.linspace(0, 1, _FINE)
    for side in SIDES:
        out = np.sqrt(0.5) * radius
        way = heart.way((side * radius, y), *((side * x, up) for x, up in _RIBBON.bow))
        grown += loop(
            even(way, count=_FINE), _RIBBON.loop * heart.size * t * (1.8 - 0.8 * t), needs.smallest, side
        )
        way = heart.way((side * out, y + out), *((side * x, up) for x, up in _RIBBON.tail))
        half = _RIBBON.tail_width * heart.size * _widening(0.5, 0.7)
        grown += along(way, half, needs.smallest, side)
    return Motif(tuple(grown), np.concatenate([one.points for one in grown if not one.within]))


def in_gap(axis: Numbers, half: Numbers, thin: float) -> list[Outline]:
    """A streamer in a gap about an axis (n, 2) of half widths (n,); thin: half the smallest feature."""
    keep = np.linspace(0, 1, len(axis)) <= _RIBBON.gap_end
    return along(axis[keep], half[keep], 2 * thin, turn=_RIBBON.gap_turn)


def small_ribbon(hole: Hole, needs: Needs) -> list[list[Outline]]:
    """A short ribbon in a hole, from where it hangs to the far side; a narrower one if that meets something."""
    base, way = np.array(hole.nearest), np.array(hole.centre) - np.array(hole.nearest)
    away = float(np.hypot(*way))
    found = []
    for share in _RIBBON.hole:
        half = share * hole.radius
        if half > _RIBBON.least_flag * needs.smallest:
            # A flag's tips lie side by side: they keep within the circle.
            far = sqrt(1 - share**2) if half < _RIBBON.least_fold * needs.smallest else _RIBBON.hole_end
            reach = 1 + far * hole.radius / away
            axis = base + np.linspace(0, reach, _FINE)[:, None] * way
            found.append(along(axis, half * _widening(1 / reach, 0.7), needs.smallest))
    return found


def small_loop(hole: Hole, needs: Needs) -> list[Outline]:
    """A loop hung into a hole."""
    grown = small_drop(hole, needs, "loop")
    if grown and hole.radius > _RIBBON.nested * needs.smallest / 2:
        foot, middle = np.array(hole.nearest), np.array(hole.centre)
        inner = replace(hole, centre=as_point(middle + 0.1 * (foot - middle)), radius=0.5 * hole.radius)
        grown += [replace(one, within=True) for one in small_drop(inner, needs, "loop")]
    return grown


STYLE = Style(
    lean=Lean(radians(46), radians(16)),
    width=0.72,
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
    work=inf,  # In variants it would take more than a second.
)
RIBBON = FillRecord(
    kind="ribbon",
    listed="ribbon",
    spoken="ribbon",
    by_hand="Each ribbon: along one edge from fold to fold, round its forked end and home along the other edge; "
    "then the folds across it.",
    needs=NeedRange(
        least_room=0.625,
        comfortable_room=1.0,
        most_room=1.75,
        longest_ratio=2.5,
        longest_most=4.0,
        curl_share=0.85,
        smallest_feature=0.125,
    ),
    thread=ThreadFigures(area=7.4, spine=2.1, feature=-10.16),
    style=STYLE,
    one="ribbon",
    many="ribbons",
)
