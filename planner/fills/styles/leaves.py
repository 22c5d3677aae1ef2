"""Leaves: pointed leaves with a vein on short stems, a curled leaf at every tip; berries where none lies well."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians

import numpy as np

from planner.fills.growing.bent import Bent
from planner.fills.growing.flow import Lean
from planner.fills.growing.hearts import SIDES, Heart
from planner.fills.growing.outline import Outline, across
from planner.fills.growing.sprigs import in_a_hole
from planner.fills.growing.standing import Hole
from planner.fills.growing.style import FlowStrips, Motif, Needs, Style
from planner.fills.record import FillRecord, ThreadFigures
from planner.fills.styles.feathers import curl_axis
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Arc, Point
from planner.kinds import NeedRange


@dataclass(frozen=True, slots=True)
class _Leaf:
    """The proportions of leaves: shares and exponents, inches where a name says so.

    Common practice, no source.
    """

    hair_in: float = 0.012  # Kept off the line half way to its neighbour, so that two threads do not touch.
    least_strip_in: float = 0.1  # A strip counts as no shorter, since its length divides.
    stem: float = 5 / 32  # Of the length: long enough to be seen as a stem, and most of it is leaf.
    slender: float = 0.24  # Half width at most this share of the length: a wider leaf would look round.
    shorter: tuple[float, ...] = (1.0, 0.85, 0.72, 0.6, 0.5)  # Shares of its strip that it may take ...
    grass: float = 0.07  # ... until its half width is more than that share of its length, or it is left out.
    bends: float = (
        0.35  # Radians by which a strip may turn from one point of a leaf to the next: or it was torn.
    )
    belly: float = 0.82  # Exponent: under 1 a leaf is widest below its middle, as leaves on a stem are.
    fullness: float = 0.8  # Exponent of its width: under 1 it is fuller towards stem and point.
    fit_from: float = 0.12  # Of the blade: nearer its stem a leaf has no width to be measured.
    fit_to: float = 0.9  # Of the blade: nearer its point likewise.
    blade_belly: float = 1.1  # Exponent: over 1 a lone leaf is widest past its middle, where there is room.
    vein: float = 0.8  # Of a lone leaf's length: a vein to the point would crowd it with thread.
    curl_turn: float = 1.9  # Radians it carries the tail on: a point needs a longer way in than a head.
    curl_reach: float = 1.06  # Of the radius: a point looks centred only when it goes a little past.
    curl_width: float = 0.27  # Of the tail's radius: a half width that leaves air inside the curl.
    curl_varies: float = 0.12  # Of that width, more or less in variants of a curl.
    most_curl_width: float = 0.5  # Of the room: in a wide curl it stays of a size with the other leaves.
    crook_from: float = 0.1  # Of the last half width: where its point begins to go on past the crook's axis.
    crook_to: float = 0.9  # Of the last half width: where it ends, short of the wall ahead.
    crook_fit_from: float = 0.1  # Of the length: nearer its base a leaf has no width to be measured.
    crook_fit_to: float = 0.95  # Of the length: nearer its point likewise.
    roundest: float = (
        0.84  # Radius of a hole, at most this share of the way to its middle: or it had no base.
    )
    plump: float = 0.29  # Half width of a leaf in a hole, at most this share of its length: or it was square.
    berry: float = 0.18  # Of the room: the largest of three where a leaf would lie across the others.
    least_spray: float = 0.8  # Rooms: in a narrower circle it would be a tangle, so none stands there.
    most_spray: float = 3.2  # Rooms: in a wide circle a spray's leaves stay of a size with the others.
    spray_broad: float = 1.2  # Smallest features: it has fewer leaves if these would be less broad.
    spray_ahead: float = 1.1  # A leaf of a spray ends farther ahead by this share of how far it ends aside.
    spray_bow: float = 0.62  # Of the way aside before it bends ahead ...
    spray_rise: float = 0.35  # ... when it has risen by so much of its own.


@dataclass(frozen=True, slots=True)
class _Spray:
    """A spray: shares of its size. Common practice, no source.

    pairs: where leaves leave its stem in pairs; aside: how far aside they end; tip: from where to where the leaf
    ahead grows; wide: half widths, that of the leaf ahead the last.
    """

    pairs: tuple[float, ...]
    aside: tuple[float, ...]
    tip: tuple[float, float]
    wide: tuple[float, ...]


_LEAF = _Leaf()
_SPRAYS = (  # the first whose leaves are broad enough
    _Spray((-0.72, -0.45, -0.18, 0.09), (0.4, 0.5, 0.5, 0.4), (0.26, 0.8), (0.085, 0.095, 0.095, 0.09, 0.11)),
    _Spray((-0.55, -0.1), (0.5, 0.5), (0.2, 0.8), (0.14, 0.14, 0.15)),
)
_NODES = np.array([0, 5, 11, 17, 24, 32, 40, 47, 53, 59, 64])
_CORNERS = (5, 32, 59)  # where the stem ends, and the point
_VEIN_NODES = np.array([0, 10, 21])
_BODY = np.clip(
    (np.linspace(0, 1, 33) - _LEAF.stem) / (1 - _LEAF.stem), 0, 1
)  # places on a blade, 0 on its stem
_SHAPE = np.sin(np.pi * _BODY**_LEAF.belly) ** _LEAF.fullness  # share of its half width there


def leaves(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """One leaf a strip, as wide as the strip lets it be, with its vein, that its stem runs into.

    Where the strip narrows or turns sharply ahead, the leaf ends before it does; where it would still be a blade of
    grass, there is none: what is open is filled later.
    """
    count = len(strips.left)
    every = strips.some(np.tile(np.arange(count), len(_LEAF.shorter)))
    share = np.repeat(_LEAF.shorter, count)
    length = np.maximum(every.length, _LEAF.least_strip_in)
    inner = (_LEAF.fit_from < _BODY) & (_LEAF.fit_to > _BODY)
    middle, square, free = every.middles(
        np.linspace(0, 1, 33) * ((1 - _LEAF.hair_in / length) * share)[:, None]
    )
    width = (np.maximum(free[:, inner] - _LEAF.hair_in, 0) / _SHAPE[inner]).min(axis=1)
    width = np.minimum(width, _LEAF.slender * every.length * share)
    whole = (square[:, 1:] * square[:, :-1]).sum(axis=2).min(axis=1) > cos(_LEAF.bends)
    fine = (whole & (width > _LEAF.grass * share * length)).reshape(-1, count)
    taken = fine.argmax(axis=0) * count + np.arange(count)
    middle, square, width = middle[taken], square[taken], width[taken]
    side = (width[:, None] * _SHAPE)[..., None] * square
    outlines = np.concatenate((middle + side, (middle - side)[:, -2::-1]), axis=1)
    return [
        [Outline("leaf", outline, _NODES, corners=_CORNERS), Outline("stem", vein, _VEIN_NODES, within=True)]
        if some
        else []
        for outline, vein, some in zip(outlines, middle[:, 5:27], np.any(fine, axis=0).tolist(), strict=True)
    ]


def blade(axis: Numbers, width: float, kind: str, needs: Needs) -> Motif:
    """A leaf of the given half width along an axis (n, 2), with its vein."""
    x = np.linspace(0, 1, len(axis))
    side = (width * np.sin(np.pi * x**_LEAF.blade_belly))[:, None] * across(axis)
    whole = np.concatenate((axis + side, (axis - side)[-2::-1]))
    vein = Outline.of("stem", axis[: int(_LEAF.vein * len(axis))], 4, within=True)
    return Motif((Outline.of(kind, whole, 10), vein), whole)


def curled_leaf(tail: Arc, needs: Needs) -> Motif | None:
    """The tail's line carried on into a leaf that curls into the heart of its curl."""
    width = min(_LEAF.curl_width * tail.radius, _LEAF.most_curl_width * needs.room)
    width = needs.about(width, _LEAF.curl_varies, "head")
    return blade(curl_axis(tail, _LEAF.curl_turn, _LEAF.curl_reach, needs), width, "leaf", needs)


def crook_leaf(axis: Numbers, width: Numbers, needs: Needs) -> Motif | None:
    """A leaf in the wedge between neighbouring curls, with its point outwards."""
    if width[-1] < needs.smallest / 2:
        return None
    ahead = axis[-1] - axis[-2]
    ahead = ahead / np.linalg.norm(ahead) * width[-1]
    past = np.linspace(_LEAF.crook_from, _LEAF.crook_to, 10)
    longer = np.concatenate((axis, axis[-1] + ahead * past[:, None]))
    t = np.linspace(0, 1, len(longer))
    room = np.concatenate((width, width[-1] * np.sqrt(1 - past**2)))
    shape = np.sin(np.pi * t**_LEAF.blade_belly)
    inner = (t > _LEAF.crook_fit_from) & (t < _LEAF.crook_fit_to)
    return blade(longer, float(np.min(room[inner] / shape[inner])), "leaf", needs)


def parting_leaf(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """A spray of three where the flow parts: one leaf alone would be a shield."""
    return leaves(strips, needs)


def heart_spray(base: Point, centre: Point, needs: Needs) -> Motif | None:
    """A spray in a corner's circle: a leaf ahead on a straight stem, and leaves in pairs beside it."""
    heart = Heart.of(base, centre, _LEAF.most_spray * needs.room)
    broad = _LEAF.spray_broad * needs.smallest / 2
    spray = next((one for one in _SPRAYS if heart.size * min(one.wide) > broad), None)
    if not spray or heart.size < _LEAF.least_spray * needs.room:
        return None
    grown = [heart.stem(*spray.pairs, spray.tip[0])]
    *wide, ahead = (heart.size * half for half in spray.wide)
    for y, x, half in zip(spray.pairs, spray.aside, wide, strict=True):
        rise = _LEAF.spray_ahead * x
        for side in SIDES:
            bend = (side * x * _LEAF.spray_bow, y + _LEAF.spray_rise * rise)
            grown += blade(heart.way((0.0, y), bend, (side * x, y + rise)), half, "leaf", needs).outlines
    grown += blade(heart.way(*((0.0, y) for y in spray.tip)), ahead, "leaf", needs).outlines
    return Motif(tuple(grown), np.concatenate([one.points for one in grown if not one.within]))


def small_leaf(hole: Hole, needs: Needs, kind: str = "leaf") -> list[Outline]:
    """A leaf hung into a hole: from where it hangs to the far side, as wide as the hole lets it be."""
    base, centre = np.array(hole.nearest), np.array(hole.centre)
    away = float(np.hypot(*(centre - base)))
    radius = min(hole.radius, _LEAF.roundest * away)
    length = away + radius
    t = np.linspace(0, 1, 41)
    on = t * length
    shape = np.sin(np.pi * t**_LEAF.blade_belly)
    rising = on * radius / np.sqrt(away**2 - radius**2)
    free = np.where(
        on < away - radius**2 / away, rising, np.sqrt(np.maximum(radius**2 - (on - away) ** 2, 0))
    )
    inner = (t > _LEAF.fit_from) & (t < _LEAF.fit_to)
    width = min(float((free[inner] / shape[inner]).min()), _LEAF.plump * length)
    if width < needs.smallest / 2:
        return []
    return list(blade(base + t[:, None] * length * (centre - base) / away, width, kind, needs).outlines)


def berries(hole: Hole, needs: Needs) -> list[list[Outline]]:
    """Berries on a stem where a leaf would lie across the others."""
    return in_a_hole(hole, _LEAF.berry * needs.room, needs.smallest)


STYLE = Style(
    lean=Lean(radians(50), radians(18)),
    width=0.6,
    shortest=0.35,
    strips=leaves,
    tip=curled_leaf,
    crook=crook_leaf,
    crook_radius=0.36,
    parting=parting_leaf,
    partings=3,
    heart=heart_spray,
    drop=small_leaf,
    covers=True,
    jump=2.0,
    sprigs=berries,
    bent=Bent(
        "leaf",
        pointed=True,
        vein=0.66,
        upright=0.3,
        foot=0.3,
        bow=0.1,
        along=0.66,
        shuns=frozenset(("berry",)),
    ),
)
LEAVES = FillRecord(
    kind="leaves",
    parts=("main", "stems", "accents"),
    listed="leaves",
    spoken="leaves",
    by_hand="Each leaf: out along one edge to the point, back along the other, then the vein and back; "
    "berries out along their stem, round each of them, and home on the stem.",
    needs=NeedRange(
        least_room=0.4375,
        comfortable_room=0.875,
        most_room=1.5,
        longest_ratio=18 / 7,
        longest_most=3.5,
        curl_share=6 / 7,
        smallest_feature=0.125,
    ),
    thread=ThreadFigures(area=5.06, spine=8.08, feature=-0.38),
    style=STYLE,
    one="leaf",
    many="leaves",
)
