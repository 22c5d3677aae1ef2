"""Fern: fronds with round leaflets along a rib, a fiddlehead at every tip."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import radians

import numpy as np

from planner.fills.growing.bent import Bent
from planner.fills.growing.contour import as_point
from planner.fills.growing.flow import Lean
from planner.fills.growing.hearts import SIDES, Heart
from planner.fills.growing.outline import Outline, across, drawn, tapered
from planner.fills.growing.standing import Hole
from planner.fills.growing.style import FlowStrips, Motif, Needs, Style
from planner.fills.record import FillRecord, ThreadFigures
from planner.fills.styles.feathers import bud, curl_axis, small_drop
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Arc, Point
from planner.geometry.polylines import Polylines, even
from planner.kinds import NeedRange


@dataclass(frozen=True, slots=True)
class _Fern:
    """The proportions of fronds: shares and exponents, inches where a name says so. Common practice, no source."""

    hair_in: float = 0.012  # Kept off the line half way to its neighbour, so that two threads do not touch.
    stem: float = 0.1  # Of the length: bare below the first leaflets ...
    gap_stem: float = 0.07  # ... and in a gap, or the gap would go on there.
    leaflet: float = 0.62  # Of a frond's half width: from one leaflet to the next along the rib.
    least_leaflet: float = 1.3  # Of the smallest feature: nearer to each other they could not be stitched.
    most_leaflet: float = (
        2.2  # The same: leaflets of broad fronds are narrow, or these would look like oak leaves.
    )
    broad: float = (
        4.0  # Half smallest features: the half width from which a frond in a gap has leaflets of a size.
    )
    cut: float = 0.42  # Of the width: what is left of it between two leaflets.
    lean: float = 0.45  # Of its width, by which a leaflet's end lies ahead of its foot.
    taper: float = 0.6  # Exponent: under 1 the frond stays broad and then comes to its point quickly.
    grass: float = 0.1  # Half width at least that share of the length: a longer one would be a caterpillar.
    shorter: tuple[float, ...] = (
        1.0,
        0.8,
        0.64,
    )  # Shares of its strip that it may take until it is so broad.
    slender: float = 0.3  # Half width at most this share of the length: broader would be no fern.
    rib: float = 0.9  # Of the blade: the rib ends before the point.
    head: float = 0.2  # Of a tail's radius: half width of a fiddlehead's round end.
    most_head: float = 0.4  # Of the room: in a wide curl it stays of a size with the fronds.
    curl_turn: float = 3.3  # Radians by which a fiddlehead winds on: more than a teardrop, it is a spiral.
    curl_reach: float = 0.82  # Of the radius: its end lies short of the heart, so that it is seen to wind.
    neck: float = 0.3  # Of its head: a fiddlehead's stalk, of even width until it swells.
    roundest: float = 0.84  # Of the way to its base: a hole that a small frond hangs in counts as no rounder.
    bud: float = 0.2  # Of the room: a bud alone is no larger.
    least_width: float = 0.72  # Of the smallest feature, for a half width: its cuts take the rest.
    rolled: float = 0.15  # Of the room: in a narrower crozier a spiral would fill it with thread.
    roll: float = 8.0  # Radians by which that spiral winds: a little more than once.
    roll_in: float = 0.78  # Of its radius, by which it closes on the way.
    least_heart: float = 1.0  # Rooms: in a narrower circle it would be a tangle, so none stands there.
    most_heart: float = 2.5  # Rooms: in a wide circle a fern stays of a size with the fronds.
    heart_foot: float = -0.6  # How far before the middle its frond begins ...
    heart_tip: float = 0.7  # How far past the middle its frond reaches ...
    heart_width: float = 0.17  # ... and how broad it is, by half ...
    heart_curl: tuple[float, float] = (0.5, 0.02)  # ... where a fiddlehead has its heart ...
    heart_radius: float = 0.2  # ... how wide it winds about that ...
    heart_winds: float = 1.5  # ... by so many half turns ...
    heart_tight: float = 0.55  # ... closing by so much of its width.
    heart_rise: tuple[tuple[float, float], ...] = ((0.16, -0.72), (0.3, -0.33))  # How it comes there.
    heart_head: float = 0.09  # Half width of its round end.


_FERN = _Fern()
_A_LEAFLET = 8  # points along one side of a leaflet
_FINE = 120  # points at which a strip is measured


def fronds(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """A frond for each strip, as broad as the strip lets it be, and its rib."""
    middle, _, free = strips.middles(np.linspace(0, 1, _FINE)[None])
    return [_in_strip(*one, needs.smallest) for one in zip(middle, free - _FERN.hair_in, strict=True)]


def _in_strip(middle: Numbers, free: Numbers, smallest: float) -> list[Outline]:
    """A frond in a strip, as far along it as leaves it broad enough."""
    for share in _FERN.shorter:
        count = round(share * len(middle))
        if grown := frond(middle[:count], free[:count], smallest, _FERN.grass):
            return grown
    return []


def frond(
    middle: Numbers, free: Numbers, smallest: float, grass: float = 0.0, stem: float = _FERN.stem
) -> list[Outline]:
    """A frond about its middle (n, 2), with half widths of at most ``free`` (n,).

    grass: half width at least that share of its length, or there is none; stem: the share of it that is bare.
    """
    line = Polylines.of([middle])
    length = float(line.lengths()[0]) - _FERN.hair_in
    share = np.linspace(0, 1, len(middle))
    inner = (share > 0.15) & (share < 0.85)
    width = float(np.min(free[inner] / _envelope((share[inner] - stem) / (1 - stem))))
    width = min(width, _FERN.slender * length)
    if width < max(_FERN.least_width * smallest, grass * length):
        return []
    least, most = _FERN.least_leaflet * smallest, _FERN.most_leaflet * smallest
    step = min(max(_FERN.leaflet * width, least), most)
    count = max(2, round((1 - stem) * length / step))
    t, lobe = _along(count)
    level = stem + (1 - stem) * t
    half = width * _envelope(t) * lobe
    ahead = np.minimum(_FERN.lean * half * np.maximum(lobe - _FERN.cut, 0), (1 - level) * length)
    place = np.clip(level * length + ahead, 0, length)
    axis = line.at(place[None])[0]
    # Square to the rib where a leaflet leaves it: before a valley its lead runs back, and would change the sides.
    side = half[:, None] * across(line.at(level[None] * length)[0])
    foot = line.at(np.linspace(0, stem * length, 4)[None, :-1])[0]
    one, other = axis + side, axis - side
    outline = np.concatenate((foot, one, other[-2::-1], foot[::-1]))
    n, low = len(outline), len(foot)
    valleys = [low + _A_LEAFLET * k for k in range(count + 1)]
    nodes = [0, *range(low, low + len(one), _A_LEAFLET // 2)]
    rib = line.at(np.linspace(stem, _FERN.rib, 17)[None] * length)[0]
    return [
        Outline(
            "frond",
            outline,
            np.array([*nodes, *(n - 1 - k for k in reversed(nodes[:-1]))]),
            corners=(*valleys, *(n - 1 - k for k in valleys)),
        ),
        Outline("stem", rib, np.array([0, 8, 16]), within=True),
    ]


def _along(count: int) -> tuple[Numbers, Numbers]:
    """Places 0..1 along the blade, and of each how far a leaflet reaches there: 1 at most, cut between two."""
    s = np.arange(_A_LEAFLET) / _A_LEAFLET
    lobe = np.append(np.tile(_leaflet(s), count), 0.0)
    lobe[0] = 0.0
    t = (np.arange(count)[:, None] + s).ravel() / count
    return np.append(t, 1.0), lobe


def _leaflet(s: Numbers) -> Numbers:
    """Share of its width that a frond has from one cut (0) over a leaflet to the next (1)."""
    return np.asarray(_FERN.cut + (1 - _FERN.cut) * np.sin(np.pi * s) ** 0.7)


def _envelope(t: Numbers) -> Numbers:
    """Half width of a frond along its blade, 1 near its foot."""
    t = np.clip(t, 0, 1)
    rise = np.clip(0.42 + 2.6 * t, 0, 1)
    return np.asarray(rise * np.clip(1.08 * (1 - t), 0, 1) ** _FERN.taper)


def fiddlehead(tail: Arc, needs: Needs) -> Motif:
    """The tail's line carried on into a spiral that ends in a round head."""
    head = min(_FERN.head * tail.radius, _FERN.most_head * needs.room)
    if head < needs.smallest / 2:
        return bud(tail, needs)
    axis = curl_axis(tail, _FERN.curl_turn, _FERN.curl_reach, needs)
    whole = tapered(axis, _swell(len(axis), head))
    return Motif((Outline.of("fiddlehead", whole, 14),), whole)


def _swell(count: int, head: float) -> Numbers:
    """Half widths of a stalk that ends in a round head."""
    t = np.linspace(0, 1, count)
    return np.asarray(head * (_FERN.neck * np.clip(6 * t, 0, 1) + (1 - _FERN.neck) * t**3.5))


def crook_crozier(axis: Numbers, width: Numbers, needs: Needs) -> Motif | None:
    """A crozier in the wedge between neighbouring curls, a spiral rolled up in its head if that is large enough."""
    if width[-1] < needs.smallest / 2:
        return None
    whole = tapered(axis, width)
    grown = [Outline.of("fiddlehead", whole)]
    if width[-1] > _FERN.rolled * needs.room:
        t, ahead = np.linspace(0, 1, 60), axis[-1] - axis[-2]
        angle = np.arctan2(ahead[1], ahead[0]) + np.pi / 2 - _FERN.roll * t
        radius = width[-1] * (1 - _FERN.roll_in * t)
        spiral = axis[-1] + radius[:, None] * np.stack((np.cos(angle), np.sin(angle)), axis=1)
        rim = drawn(grown, 40).points
        off = rim[np.argmin(np.hypot(*(rim - spiral[0]).T))] - spiral[0]
        spiral += off * np.maximum(1 - 4 * t, 0)[:, None]
        grown.append(Outline.of("stem", spiral, 8, within=True))
    return Motif(tuple(grown), whole)


def heart_fern(base: Point, centre: Point, needs: Needs) -> Motif | None:
    """A young fern in a corner's circle: a frond straight ahead, a fiddlehead uncurling to either side."""
    heart = Heart.of(base, centre, _FERN.most_heart * needs.room)
    if heart.size < _FERN.least_heart * needs.room:
        return None
    stem = heart.stem(_FERN.heart_foot)
    line = Polylines.of([heart.at((0.0, _FERN.heart_foot), (0.0, _FERN.heart_tip))])
    middle = line.at(np.linspace(0, 1, _FINE)[None] * line.lengths()[0])[0]
    grown = frond(middle, np.full(_FINE, _FERN.heart_width * heart.size), needs.smallest)
    if not grown:
        return None
    grown.insert(0, stem)
    x, y = _FERN.heart_curl
    t = np.linspace(0, 1, 60)
    angle, radius = np.pi * (1 - _FERN.heart_winds * t), _FERN.heart_radius * (1 - _FERN.heart_tight * t)
    for side in SIDES:
        rising = heart.way(
            (0.0, heart.low),
            *((side * a, b) for a, b in _FERN.heart_rise),
            (side * (x - _FERN.heart_radius), y),
        )
        around = np.stack((side * (x + radius * np.cos(angle)), y + radius * np.sin(angle)), axis=1)
        winding = heart.at(*map(as_point, around))
        axis = even(np.concatenate((rising[:-1], winding)), count=90)
        whole = tapered(axis, _swell(len(axis), _FERN.heart_head * heart.size))
        grown.append(Outline.of("fiddlehead", whole, 18))
    return Motif(tuple(grown), np.concatenate([one.points for one in grown if not one.within]))


def in_gap(axis: Numbers, half: Numbers, thin: float) -> list[Outline]:
    """A frond about an axis (n, 2) of half widths (n,), none where four leaflets to a side will do.

    thin: half the smallest feature.
    """
    if half.max() < _FERN.broad * thin:
        return []
    return frond(axis, half, 2 * thin, stem=_FERN.gap_stem)


def small_frond(hole: Hole, needs: Needs) -> list[Outline]:
    """A frond hung into a hole, from where it hangs to the far side; where none fits, a bud on its neck."""
    base, way = np.array(hole.nearest), np.array(hole.centre) - np.array(hole.nearest)
    away = float(np.hypot(*way))
    radius = min(hole.radius, _FERN.roundest * away)
    on = np.linspace(0, away + radius, _FINE)
    rising = on * radius / np.sqrt(away**2 - radius**2)
    round_ = np.sqrt(np.maximum(radius**2 - (on - away) ** 2, 0))
    free = np.where(on < away - radius**2 / away, rising, round_)
    grown = frond(base + on[:, None] * way / away, free, needs.smallest)[:1]
    lone = replace(hole, radius=min(hole.radius, _FERN.bud * needs.room))
    return grown + small_drop(lone, needs, "fiddlehead")


STYLE = Style(
    lean=Lean(radians(46), radians(16)),
    width=0.72,
    shortest=0.35,
    strips=fronds,
    tip=fiddlehead,
    crook=crook_crozier,
    crook_radius=0.36,
    parting=fronds,
    heart=heart_fern,
    drop=small_frond,
    bent=Bent("frond", pointed=True, vein=0.7, plump=0.3, edge=_leaflet, parts=in_gap, bare=_FERN.gap_stem),
    covers=True,
    jump=2.0,
    work=1.75,
)
FERN = FillRecord(
    kind="fern",
    parts=("main", "stems"),
    listed="fern",
    spoken="fern",
    by_hand="Each frond: leaflet by leaflet up one side, touch the point, down the other; then the rib and back.",
    needs=NeedRange(
        least_room=0.8125,  # In less the gaps between fronds hold no frond, only fiddleheads.
        comfortable_room=1.0,
        most_room=1.75,
        longest_ratio=2.5,
        longest_most=4.0,
        curl_share=0.85,
        smallest_feature=0.125,
    ),
    thread=ThreadFigures(area=8.87, spine=6.92, feature=-18.58),
    style=STYLE,
    one="frond",
    many="fronds",
)
