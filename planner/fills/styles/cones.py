"""Cones: at tips, in crooks, where flow parts, a great one in a corner's circle; berries on them. Inches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.fills.growing.hearts import SIDES, Heart, bezier
from planner.fills.growing.outline import Outline, across, drawn, tapered
from planner.fills.growing.sprigs import LEAST_SHARE, TURN, Stalk, in_a_hole, turned
from planner.fills.growing.standing import Hole
from planner.fills.growing.style import FlowStrips, Motif, Needs
from planner.fills.styles.feathers import curl_axis
from planner.fills.styles.leaves import blade
from planner.fills.styles.tufts import FIT_FROM, FIT_TO, HAIR_IN, needle, profile
from planner.geometry.arrays import MEETING_IN, Numbers
from planner.geometry.curves import Arc, Point
from planner.geometry.polylines import even


@dataclass(frozen=True, slots=True)
class _Cone:
    """The proportions of cones: shares and exponents, inches where a name says so. Common practice, no source."""

    scales: float = 0.16  # Of the room, from one row of scales to the next: wide enough to stitch evenly.
    curl_turn: float = 1.5  # Radians it carries the tail on: a longer cone would wind over itself.
    curl_reach: float = 0.95  # Of the radius: its head lies on the heart of the curl, not past it.
    curl_head: float = 0.25  # Of the tail's radius: a cone so wide still leaves air inside its curl.
    most_curl_head: float = 0.6  # Of the room: a wide curl's cone stays of a size with the needles.
    swell: float = 0.8  # Exponent of a cone's width: under 1 it swells early, so that scales find room.
    lone_head: float = 0.3  # Of the tail's radius: half as wide as a cone that stands among other shapes.
    most_lone_head: float = 0.45  # Of the room: in a wide curl it stays of a size with these.
    lone_way: tuple[tuple[float, float], ...] = ((0.9, 0.5), (0.3, 0.28), (-0.42, -0.18))  # How it comes.
    lone_tile: float = 0.34  # Of the room: its scales are smaller.
    lone_stem: float = 0.34  # Of its way: bare, so that it is seen to hang on a stem.
    lone_belly: float = 0.62  # Exponent: under 1 it is widest nearer its stem, as a cone is.
    lone_fullness: float = 0.66  # Exponent of its width: under 1 it is plump.
    lone_end: float = 0.93  # Of its shape: it ends a little blunt.
    parting_head: float = 0.42  # Of the strip's width: nearly half, since a cone may fill where flow parts.
    most_parting_head: float = 0.3  # Of the strip's length: a plumper cone would be a ball.
    parting_end_in: float = 0.02  # Left free beyond its head, so that it does not touch what it faces.
    hollow_to: float = 0.86  # Of a cone's length, as far as needles lie along it in the hollow of its curl.
    hollow_hair_in: float = 0.03  # Left between them and the cone.
    hollow_heads: float = 0.7  # Of the hollow's width: so far apart lie their heads, or they were a sheaf.
    hollow_least: float = 0.6  # Smallest features: a narrower one is left out.
    hollow: float = 0.16  # Of the room: how wide one is with its hair.
    least_heart: float = 1.0  # Rooms: in a narrower circle it would be a tangle, so none stands there.
    most_heart: float = 4.0  # Rooms: in a wide circle it stays of a size with the others.
    heart_neck: float = -0.62  # Of its circle's size before the middle: so far goes a great one's stem ...
    heart_node: float = -0.72  # ... with berries on either side from here ...
    heart_tip: float = 0.3  # ... and so far past the middle its axis ends ...
    heart_wide: float = 0.34  # ... and is so wide, by half, but for what the next two take of that:
    heart_swell: float = 0.5  # Exponent: it swells at once, as a cone does that hangs from a twig ...
    heart_narrows: float = 0.42  # ... and is narrower by this share at its end.
    heart_sprigs: float = 80.0  # Degrees off its way at which berries leave its stem.
    heart_place: float = 0.95  # Of that size about the middle: there they have room.
    tile_step: float = 0.22  # Of the room: its rows are so far apart.
    heart_tile: float = 0.55  # Of the room: about so wide is each of a row of scales ...
    tile_bulge: float = 0.75  # ... and bulges by this share of the step from row to row ...
    most_bulge: float = 0.4  # ... but at most by this share of its width.


_CONE = _Cone()
_FINE = 50  # points along an axis
_SCALE = 8  # and along one of a row of scales


@dataclass(frozen=True, slots=True)
class _Sprig:
    """The proportions of a sprig of berries: shares, inches where a name says so. Common practice, no source.

    Berries of one sprig touch, so that a thread of their own goes from one into the next and is started once.
    """

    radius: float = 0.17  # Of the room: the first berry; smaller would be a blot, larger a bead.
    stem: float = 1.2  # Of the first one's radius: short, and doubled since it is gone back on.
    least: float = 2.5  # Smallest features: a berry less wide would be stitched as a corner or two.
    hair_in: float = 0.03  # Left between a sprig and what else stands in its place.
    sizes: tuple[float, ...] = (1.0, 0.85, 0.72)  # Of that: a little smaller where there is less room.
    crook_head: float = 0.45  # Of the half width of a wedge where it is widest: a larger cone left no place.
    most_crook_head: float = 0.4  # Of the room: in a wide wedge a cone stays of a size with the needles.


_SPRIG = _Sprig()


def cone(axis: Numbers, width: Numbers, needs: Needs, *, tile: float = 0.0) -> Motif | None:
    """A cone: a drop with rows of scales across it.

    tile: of the room, about so wide is each scale of a row, one more in every second; nought for plain rows.
    """
    if width.max() < needs.smallest:
        return None
    whole = tapered(axis, width)
    body = Outline.of("cone", whole, 12)
    rim = drawn([body], 40).points
    way = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(axis, axis=0), axis=1))))
    scales: list[Outline] = []
    step = max((_CONE.tile_step if tile else _CONE.scales) * needs.room, 2 * needs.smallest)
    bulge = min(_CONE.tile_bulge * step, _CONE.most_bulge * tile * needs.room)
    for row, depth in enumerate(np.arange(bulge, way[-1], step).tolist()):
        k, share = divmod(float(np.interp(way[-1] - depth, way, np.arange(len(way)))), 1)
        i, j = int(k), min(int(k) + 1, len(axis) - 1)
        if width[i] < needs.smallest:
            continue
        sides = ((1 - share) * whole[one] + share * whole[other] for one, other in ((i, j), (-1 - i, -1 - j)))
        one, other = (rim[np.argmin(np.hypot(*(rim - end).T))] for end in sides)
        ahead = axis[j] - axis[j - 1]
        ahead /= np.linalg.norm(ahead)
        count = max(round(2 * width[i] / (tile * needs.room)) + row % 2, 1) if tile else 1
        scales.append(_scales(one, other, ahead * width[i] / 2, count, bulge * ahead))
    return Motif((body, *reversed(_within(scales, body) if tile else scales)), whole)


def _within(rows: Sequence[Outline], body: Outline) -> list[Outline]:
    """The rows that keep within a cone and off the one before: at a narrow end they bulge out or come together."""
    fine, kept = drawn(rows, 30), list[Outline]()
    last = drawn([body], 40).linestrings()[0]
    out = shapely.intersects(fine.between_ends(MEETING_IN).linestrings(), last)
    for row, line, bad in zip(rows, fine.linestrings(), out.tolist(), strict=True):
        if not bad and (not kept or not shapely.dwithin(line, last, MEETING_IN)):
            kept.append(row)
            last = line
    return kept


def _scales(one: Numbers, other: Numbers, sag: Numbers, count: int, bulge: Numbers) -> Outline:
    """A row of so many scales from point to point: it sags by ``sag`` in its middle, each bulges by ``bulge``."""
    if count == 1:
        t = np.linspace(0, 1, 21)[:, None]
        return Outline.of("cone", one + (other - one) * t + 4 * sag * t * (1 - t), 2, within=True)
    t = np.linspace(0, 1, _SCALE * count + 1)[:, None]
    line = one + (other - one) * t + 4 * sag * t * (1 - t) + np.abs(np.sin(np.pi * count * t)) * bulge
    corners = tuple(range(_SCALE, _SCALE * count, _SCALE))
    return Outline("cone", line, np.arange(0, len(line), _SCALE // 2), within=True, corners=corners)


def _bearing(bare: Motif, stalks: Sequence[Stalk], place: BaseGeometry, needs: Needs) -> Motif:
    """A cone with a sprig on each stalk where it lies within a place, clear of the cone and of other sprigs.

    It is the largest of a few sizes, all alike.
    """
    least = _SPRIG.least * needs.smallest / 2 / LEAST_SHARE
    borne, guard = list(bare.outlines), [bare.guard]
    for radius in (size * _SPRIG.radius * needs.room for size in _SPRIG.sizes):
        for one in (stalk.sprig(_SPRIG.stem * radius, radius) for stalk in stalks if radius >= least):
            lines = drawn(one, 20).linestrings()
            off = shapely.multilinestrings(drawn(borne, 20).linestrings())
            if (
                shapely.covers(place, lines).all()
                and not shapely.dwithin(lines[1:], off, _SPRIG.hair_in).any()
            ):
                borne += one
                guard += [o.points for o in one]
        if len(guard) > 1:
            break
    return Motif(tuple(borne), np.concatenate(guard))


def crook_cone(axis: Numbers, width: Numbers, needs: Needs) -> Motif | None:
    """A cone in the wedge between neighbouring curls, and beyond its head three berries, where they have room."""
    most = _SPRIG.most_crook_head * needs.room
    bare, ahead = _cone_up_to(min(_SPRIG.crook_head * width[-1], most), axis, width, needs)
    if bare:
        rim = drawn(bare.outlines[:1], 40).points
        foot = rim[np.argmax(rim @ ahead)]
        place = shapely.union_all(shapely.buffer(shapely.points(axis[1:]), width[1:]))
        berried = _bearing(bare, [Stalk(foot, ahead, (-TURN, TURN))], place, needs)
        if len(berried.outlines) > len(bare.outlines):
            return berried
    return _cone_up_to(most, axis, width, needs)[0]


def _cone_up_to(head: float, axis: Numbers, width: Numbers, needs: Needs) -> tuple[Motif | None, Numbers]:
    """A cone along a wedge up to a half width, or as far as that goes; and which way its head lies."""
    end = int(np.argmax(width > head)) or len(width)
    return cone(axis[:end], width[:end], needs), axis[-1] - axis[min(end, len(axis) - 1) - 1]


def hanging_cone(tail: Arc, needs: Needs) -> Motif | None:
    """The tail's line carried on into the heart of its curl, with a cone hanging from it (or a spike).

    In the hollow of its curl needles lie along it.
    """
    axis = curl_axis(tail, _CONE.curl_turn, _CONE.curl_reach, needs)
    head = min(_CONE.curl_head * tail.radius, _CONE.most_curl_head * needs.room)
    if head < 2 * needs.smallest:
        return blade(axis, head, "needle", needs)
    bare = cone(axis, head * np.linspace(0, 1, len(axis)) ** _CONE.swell, needs)
    if bare is None:
        return None
    beside = _along_the_cone(bare.outlines[0], axis, tail, needs)
    guard = np.concatenate((bare.guard, *(one.points for one in beside)))
    return Motif((*bare.outlines, *beside), guard)


def cone_on_a_stem(tail: Arc, needs: Needs) -> Motif | None:
    """The tail's line carried on as a stem into its curl, and a plump cone on it across the curl's heart."""
    head = min(_CONE.lone_head * tail.radius, _CONE.most_lone_head * needs.room)
    x, y = (np.array(tail.end) - tail.centre) / tail.radius
    ahead = np.array([-y, x]) * np.sign(tail.sweep)
    places = ((1.0, 0.0), *_CONE.lone_way)
    axis = even(bezier(tail.centre + tail.radius * (np.array(places) @ np.array([(x, y), ahead]))), count=60)
    foot = round(_CONE.lone_stem * len(axis))
    t = _CONE.lone_end * np.linspace(0, 1, len(axis) - foot)
    width = head * np.sin(np.pi * t**_CONE.lone_belly) ** _CONE.lone_fullness
    hung = cone(axis[foot:], width, needs, tile=_CONE.lone_tile)
    if not hung:
        return None
    stem = Outline.of("stem", axis[: foot + 1], 4)
    return Motif((stem, *hung.outlines), np.concatenate((stem.points, hung.guard)))


def _along_the_cone(body: Outline, axis: Numbers, tail: Arc, needs: Needs) -> list[Outline]:
    """Needles side by side in the hollow of a curl: from the tail before its tip along the cone, up to its head."""
    end = int(_CONE.hollow_to * (len(axis) - 1)) + 1
    side = ((1 if tail.sweep < 0 else -1) * across(axis))[:end]
    flank = even(_flank(drawn([body], 40).points, axis[:end], side) + _CONE.hollow_hair_in * side, count=end)
    chord = (flank[-1] - flank[0]) / np.hypot(*(flank[-1] - flank[0]))
    wide = float(np.abs((flank - flank[0]) @ np.array([-chord[1], chord[0]])).max())
    before = tail.reversed()
    t = np.linspace(0, 1, end)

    def lying(share: float) -> Numbers:
        """A line between the cone's flank (0) and the first that comes straight from the tail (1)."""
        foot = np.array(before.point(min(share * wide / before.length, 1.0)))
        straight = foot + t[:, None] * (flank[-1] + _CONE.hollow_heads * wide * side[-1] - foot)
        line = (1 - share) * flank + share * straight
        return np.asarray(line + (1 - t[:, None]) ** 4 * (foot - line[0]))

    shape = profile(t)
    inner = (t > FIT_FROM) & (t < FIT_TO)
    found = []
    for low, high in pairwise(np.linspace(0, 1, round(wide / (_CONE.hollow * needs.room)) + 1).tolist()):
        line, sides = lying((low + high) / 2), np.concatenate((lying(low), lying(high)))
        half = np.hypot(*(line[:, None] - sides).transpose(2, 0, 1)).min(axis=1) - HAIR_IN
        width = float((half[inner] / shape[inner]).min())
        if width > _CONE.hollow_least * needs.smallest:
            found.append(needle(line, width * shape))
    return found


def _flank(rim: Numbers, axis: Numbers, side: Numbers) -> Numbers:
    """The points of a rim straight to one side of each point of an axis within it (n, 2)."""
    off = rim - axis[:, None]
    aside = (off * side[:, None]).sum(axis=2)
    ahead = np.abs(off[..., 0] * side[:, None, 1] - off[..., 1] * side[:, None, 0])
    return np.asarray(rim[np.where(aside > 0, ahead, np.inf).argmin(axis=1)])


def parting_cone(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """A large cone where the flow parts, along the middle of its strip."""
    found: list[list[Outline]] = []
    up = np.linspace(0, 1, 40)[None, :]
    for axis, width, length in zip(
        strips.points(np.full((1, 40), 0.5), up), strips.width, strips.length, strict=True
    ):
        head = min(_CONE.parting_head * float(width), _CONE.most_parting_head * float(length))
        keep = up[0] * length <= length - head - _CONE.parting_end_in
        t = up[0][keep] / up[0][keep][-1]
        motif = cone(axis[keep], head * t**_CONE.swell, needs)
        found.append(list(motif.outlines) if motif else [])
    return found


def heart_cone(base: Point, centre: Point, needs: Needs) -> Motif | None:
    """One great cone in a corner's circle, hung from the spine at the miter, its scales as on a tiled roof.

    Berries on either side of its stem, where they have room.
    """
    heart = Heart.of(base, centre, _CONE.most_heart * needs.room)
    if heart.size < _CONE.least_heart * needs.room:
        return None
    axis = even(heart.way((0.0, _CONE.heart_neck), (0.0, _CONE.heart_tip)), count=_FINE)
    t = np.linspace(0, 1, _FINE)
    width = _CONE.heart_wide * heart.size * t**_CONE.heart_swell * (1 - _CONE.heart_narrows * t**2)
    hung = cone(axis, width, needs, tile=_CONE.heart_tile)
    if not hung:
        return None
    stem = heart.stem(_CONE.heart_node, _CONE.heart_neck)
    bare = Motif((stem, *hung.outlines), np.concatenate((stem.points, hung.guard)))
    foot, ahead = heart.at((0.0, _CONE.heart_node), (0.0, 0.0))
    stalks = [Stalk(foot, turned(ahead - foot, side * _CONE.heart_sprigs), (-TURN, TURN)) for side in SIDES]
    place = shapely.Point(heart.middle).buffer(_CONE.heart_place * heart.size)
    return _bearing(bare, stalks, place, needs)


def berries(hole: Hole, needs: Needs) -> list[list[Outline]]:
    """Berries on a stem where no needle fits."""
    return in_a_hole(hole, _SPRIG.radius * needs.room, _SPRIG.least * needs.smallest)
