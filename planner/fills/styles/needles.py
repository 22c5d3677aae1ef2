"""Needles: slender needles off the spine; cones at the tips, in the crooks and corners, and berries on these."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import radians, sqrt

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.fills.growing.bent import Bent
from planner.fills.growing.contour import as_point
from planner.fills.growing.flow import LEVELS, Lean
from planner.fills.growing.gaps import Hole
from planner.fills.growing.grow import FlowStrips, Motif, Needs, Style
from planner.fills.growing.hearts import SIDES, Heart
from planner.fills.growing.outline import Outline, across, drawn, tapered
from planner.fills.growing.sprigs import LEAST_SHARE, TURN, Stalk, in_a_hole
from planner.fills.record import FillRecord, ThreadFigures
from planner.fills.styles.feathers import curl_axis
from planner.fills.styles.leaves import blade
from planner.geometry.arrays import MEETING_IN, Mask, Numbers
from planner.geometry.curves import Arc, Point
from planner.geometry.polylines import even
from planner.kinds import NeedRange


@dataclass(frozen=True, slots=True)
class _Needle:
    """The proportions of needles and cones: shares and exponents, inches where a name says so.

    Common practice, no source.
    """

    hair_in: float = 0.012  # Kept off the line half way to its neighbour, so that two threads do not touch.
    most_hair: float = 0.2  # Of a strip's width: a narrow needle gives up no more, or it would close.
    least_strip_in: float = 1e-3  # A strip counts as no less, since its width and length divide.
    belly: float = 0.8  # Exponent: under 1 a needle is widest below its middle and runs out to its point.
    fullness: float = 0.8  # Exponent of its width: under 1 it is even for most of its length.
    astray_in: float = 5e-3  # A needle that leaves its strip by more is drawn through more nodes.
    shorter: tuple[float, ...] = (0.85, 0.7, 0.55)  # Of its strip, where one would cross itself at its end.
    fork_in: float = 0.085  # A fan's every second needle begins only where its strip is so wide.
    forked: float = 0.1  # Of its length: if that is farther up than this, it begins on its neighbour.
    eased: float = 0.14  # Of the rest of its length: along so much it bends out of its neighbour.
    free_in: float = 0.01  # So far from where it begins it is clear of it; a flatter one might run into it.
    fit_from: float = 0.06  # Of a needle's length: nearer its base it has no width to be measured.
    fit_to: float = 0.9  # Of its length: nearer its point likewise.
    most_tuft: int = 3  # Needles of a tuft: pines bear them in twos and threes.
    curves: int = 8  # Of one that is drawn about an axis, four on either side of its point.
    tuft_least: float = 1.12  # Half smallest features: few curves draw it a little narrower than it is.
    tuft_short: float = 0.45  # Of its length: how much shorter one is that lies quite at its side.
    tuft_fullness: float = 1.4  # Exponent of its width: over 1, since they part only beyond their bases.
    tuft_slender: float = 0.075  # Of its length: half as wide at most, as the needles beside it.
    scales: float = 0.16  # Of the room, from one row of scales to the next: wide enough to stitch evenly.
    curl_turn: float = 1.5  # Radians it carries the tail on: a longer cone would wind over itself.
    curl_reach: float = 0.95  # Of the radius: its head lies on the heart of the curl, not past it.
    curl_head: float = 0.25  # Of the tail's radius: a cone so wide still leaves air inside its curl.
    most_curl_head: float = 0.6  # Of the room: a wide curl's cone stays of a size with the needles.
    swell: float = 0.8  # Exponent of a cone's width: under 1 it swells early, so that scales find room.
    parting_head: float = 0.42  # Of the strip's width: nearly half, since a cone may fill where flow parts.
    most_parting_head: float = 0.3  # Of the strip's length: a plumper cone would be a ball.
    parting_end_in: float = 0.02  # Left free beyond its head, so that it does not touch what it faces.
    hollow_to: float = 0.86  # Of a cone's length, as far as needles lie along it in the hollow of its curl.
    hollow_hair_in: float = 0.03  # Left between them and the cone.
    hollow_heads: float = (
        0.7  # Of the hollow's width: their heads lie so far apart, or they would be a sheaf.
    )
    hollow_least: float = 0.6  # Smallest features: a narrower one is left out.
    hollow: float = 0.16  # Of the room: how wide one is with its hair.
    least_heart: float = 1.0  # Rooms: in a narrower circle it would be a tangle, so none stands there.
    most_heart: float = 4.0  # Rooms: in a wide circle crossed cones stay of a size with the others.
    heart_apart: float = 0.15  # Crossed cones' stems leave the spine so far from the miter ...
    heart_cross: float = -0.72  # ... cross so far before the middle ...
    heart_neck: float = 0.45  # ... and go on by this share of their way to there ...
    heart_bend: float = 0.6  # ... to the cones, which go on so before they bend ...
    heart_end: tuple[float, float] = (0.36, 0.3)  # ... to where its head lies: all shares of their size.
    heart_between: float = 0.5  # A needle between them goes so far past the middle ...
    heart_needle: float = 0.055  # ... and is so wide, by half.
    heart_lead: float = 0.45  # Of what the stems leave between them: one that leads to it from the spine.
    heart_head: float = 0.21  # Of that size: half as wide as a cone of a wreath is long.


_NEEDLE = _Needle()


@dataclass(frozen=True, slots=True)
class _Sprig:
    """The proportions of a sprig of berries: shares, inches where a name says so. Common practice, no source.

    Berries of one sprig touch, so that a thread of their own goes from one into the next and is started once.
    """

    radius: float = 0.17  # Of the room: the first berry; smaller would be a blot, larger a bead.
    stem: float = 1.2  # Of the first one's radius: short, and doubled since it is gone back on.
    least: float = 2.5  # Smallest features: a berry less wide would be stitched as a corner or two.
    hair_in: float = 0.03  # Left between a sprig and what else stands in its place.
    sizes: tuple[float, ...] = (
        1.0,
        0.85,
        0.72,
    )  # Of that: where there is less room they are a little smaller.
    crook_head: float = 0.45  # Of the half width of a wedge where it is widest: a larger cone left no place.
    most_crook_head: float = 0.4  # Of the room: in a wide wedge a cone stays of a size with the needles.


_SPRIG = _Sprig()
_NODES = np.array([0, 10, 20, 30, 40])
_MORE_NODES = np.array([0, 5, 10, 15, 20, 25, 30, 35, 40])  # where so few would stray from its strip


def needles(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """One needle a strip: from a point at the spine to a point at its end."""
    width, length = (
        np.maximum(one, _NEEDLE.least_strip_in)[:, None] for one in (strips.width, strips.length)
    )
    x = np.linspace(0, 1, 21)[None, :]
    hair = np.minimum(_NEEDLE.hair_in / width, _NEEDLE.most_hair)
    side = (0.5 - hair) * _profile(x)
    across = 0.5 + np.concatenate((-side, side[:, -2::-1]), axis=1)
    up = np.concatenate((x, x[:, -2::-1]), axis=1) * (1 - _NEEDLE.hair_in / length)
    points = strips.points(across, up)
    outlines = _kept(strips, [Outline("needle", one, _NODES) for one in points])
    crossed = _crossed(outlines)
    for shorter in _NEEDLE.shorter:
        which = np.flatnonzero(crossed)
        for i in which.tolist():
            cut = strips.some(slice(i, i + 1)).points(across[i : i + 1], shorter * up[i : i + 1])
            outlines[i] = Outline("needle", cut[0], _MORE_NODES)
        crossed[which] = _crossed([outlines[i] for i in which.tolist()])
    grown = [[] if gone else [one] for one, gone in zip(outlines, crossed.tolist(), strict=True)]
    begun = _begun(strips)
    for i in range(1, len(outlines), 2):
        if begun[i] > _NEEDLE.forked and not crossed[i - 1]:
            fork = _fork(strips, i, across[i], up[i], float(begun[i]), outlines[i - 1])
            if fork:
                grown[i - 1].append(fork)
                grown[i] = []
    return grown


def _crossed(outlines: Sequence[Outline]) -> Mask:
    """Which needles cross themselves: where its strip all but closes, one's sides change places."""
    return np.asarray(~shapely.is_simple(drawn(outlines, 60).linestrings()), dtype=bool)


def _begun(strips: FlowStrips) -> Numbers:
    """The level from which each strip is wide enough for a needle of its own (m,); nought where none is."""
    level = np.linspace(0, 1, LEVELS + 1)
    both = strips.points(np.repeat([[0.0, 1.0]], LEVELS + 1, axis=1), np.concatenate((level, level))[None])
    gap = np.linalg.norm(both[:, : LEVELS + 1] - both[:, LEVELS + 1 :], axis=2)
    wide = gap >= _NEEDLE.fork_in
    return np.where(wide.any(axis=1), level[np.argmax(wide, axis=1)], 0.0)


def _fork(
    strips: FlowStrips, i: int, across: Numbers, up: Numbers, begun: float, host: Outline
) -> Outline | None:
    """The needle of a strip that is too narrow below: it leaves its neighbour where there is room for both."""
    up = begun + (1 - begun) * up
    points = strips.some(slice(i, i + 1)).points(across[None], up[None])[0]
    rim = drawn([host], 60).points
    foot = rim[np.argmin(np.hypot(*(rim - points[0]).T))]
    ease = np.maximum(1 - np.abs(up - begun) / (_NEEDLE.eased * (1 - begun)), 0.0) ** 2
    fork = Outline("needle", points + ease[:, None] * (foot - points[0]), _MORE_NODES)
    free = drawn([fork], 20).between_ends(_NEEDLE.free_in).linestrings()[0]
    if shapely.dwithin(free, drawn([host], 20).linestrings()[0], MEETING_IN) or _crossed([fork]).any():
        return None
    return fork


def _kept(strips: FlowStrips, outlines: list[Outline]) -> list[Outline]:
    """The outlines, with more nodes where so few would stray from their strips."""
    level = np.linspace(0, 1, LEVELS + 1)
    edges = strips.points(
        np.repeat([[0.0, 1.0]], LEVELS + 1, axis=1), np.concatenate((level, level[::-1]))[None]
    )
    grounds = shapely.buffer(shapely.polygons(edges), _NEEDLE.astray_in)
    keeps = np.asarray(shapely.covers(grounds, drawn(outlines, 10).linestrings()))
    return [one if ok else replace(one, nodes=_MORE_NODES) for one, ok in zip(outlines, keeps, strict=True)]


def cone(axis: Numbers, width: Numbers, needs: Needs) -> Motif | None:
    """A cone: a drop with rows of scales across it."""
    if width[-1] < needs.smallest:
        return None
    whole = tapered(axis, width)
    body = Outline.of("cone", whole, 12)
    rim = drawn([body], 40).points
    way = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(axis, axis=0), axis=1))))
    scales = []
    for depth in np.arange(0.0, way[-1], max(_NEEDLE.scales * needs.room, 2 * needs.smallest)):
        k, share = divmod(float(np.interp(way[-1] - depth, way, np.arange(len(way)))), 1)
        i, j = int(k), min(int(k) + 1, len(axis) - 1)
        if width[i] < needs.smallest:
            break
        sides = ((1 - share) * whole[one] + share * whole[other] for one, other in ((i, j), (-1 - i, -1 - j)))
        one, other = (rim[np.argmin(np.hypot(*(rim - end).T))] for end in sides)
        across = np.linspace(0, 1, 21)[:, None]
        ahead = axis[j] - axis[j - 1]
        sag = ahead / np.linalg.norm(ahead) * width[i] * 2 * across * (1 - across)
        scales.append(Outline.of("cone", one + (other - one) * across + sag, 2, within=True))
    return Motif((body, *reversed(scales)), whole)


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
    axis = curl_axis(tail, _NEEDLE.curl_turn, _NEEDLE.curl_reach, needs)
    head = min(_NEEDLE.curl_head * tail.radius, _NEEDLE.most_curl_head * needs.room)
    if head < 2 * needs.smallest:
        return blade(axis, head, "needle", needs)
    bare = cone(axis, head * np.linspace(0, 1, len(axis)) ** _NEEDLE.swell, needs)
    if bare is None:
        return None
    beside = _along_the_cone(bare.outlines[0], axis, tail, needs)
    guard = np.concatenate((bare.guard, *(one.points for one in beside)))
    return Motif((*bare.outlines, *beside), guard)


def _along_the_cone(body: Outline, axis: Numbers, tail: Arc, needs: Needs) -> list[Outline]:
    """Needles side by side in the hollow of a curl: from the tail before its tip along the cone, up to its head."""
    end = int(_NEEDLE.hollow_to * (len(axis) - 1)) + 1
    side = ((1 if tail.sweep < 0 else -1) * across(axis))[:end]
    flank = even(
        _flank(drawn([body], 40).points, axis[:end], side) + _NEEDLE.hollow_hair_in * side, count=end
    )
    chord = (flank[-1] - flank[0]) / np.hypot(*(flank[-1] - flank[0]))
    wide = float(np.abs((flank - flank[0]) @ np.array([-chord[1], chord[0]])).max())
    before = tail.reversed()
    t = np.linspace(0, 1, end)

    def lying(share: float) -> Numbers:
        """A line between the cone's flank (0) and the first that comes straight from the tail (1)."""
        foot = np.array(before.point(min(share * wide / before.length, 1.0)))
        straight = foot + t[:, None] * (flank[-1] + _NEEDLE.hollow_heads * wide * side[-1] - foot)
        line = (1 - share) * flank + share * straight
        return np.asarray(line + (1 - t[:, None]) ** 4 * (foot - line[0]))

    shape = _profile(t)
    inner = (t > _NEEDLE.fit_from) & (t < _NEEDLE.fit_to)
    found = []
    for low, high in pairwise(np.linspace(0, 1, round(wide / (_NEEDLE.hollow * needs.room)) + 1).tolist()):
        line, sides = lying((low + high) / 2), np.concatenate((lying(low), lying(high)))
        half = np.hypot(*(line[:, None] - sides).transpose(2, 0, 1)).min(axis=1) - _NEEDLE.hair_in
        width = float((half[inner] / shape[inner]).min())
        if width > _NEEDLE.hollow_least * needs.smallest:
            found.append(_needle(line, width * shape))
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
        head = min(_NEEDLE.parting_head * float(width), _NEEDLE.most_parting_head * float(length))
        keep = up[0] * length <= length - head - _NEEDLE.parting_end_in
        t = up[0][keep] / up[0][keep][-1]
        motif = cone(axis[keep], head * t**_NEEDLE.swell, needs)
        found.append(list(motif.outlines) if motif else [])
    return found


def crossed_cones(base: Point, centre: Point, needs: Needs) -> Motif | None:
    """Two cones in a corner's circle, on stems that cross, berries on them, and a needle between them.

    The second stem is stitched up to the first, and on from it. Another needle leads from the spine to the one
    between, which would stand on the stems alone, and these may be of another thread.
    """
    heart = Heart.of(base, centre, _NEEDLE.most_heart * needs.room)
    if heart.size < _NEEDLE.least_heart * needs.room:
        return None
    cross = np.array((0.0, _NEEDLE.heart_cross))
    grown: list[Outline] = []
    for side in SIDES:
        foot = np.array((-side * _NEEDLE.heart_apart, -sqrt(heart.low**2 - _NEEDLE.heart_apart**2)))
        neck = cross + _NEEDLE.heart_neck * (cross - foot)
        end = np.array(_NEEDLE.heart_end) * (side, 1)
        axis = heart.way(*map(as_point, (neck, neck + _NEEDLE.heart_bend * (cross - foot), end)))
        head = heart.size * _NEEDLE.heart_head
        hung = cone(axis, head * np.linspace(0, 1, len(axis)), needs)
        if not hung:
            return None
        stems = (heart.way(as_point(foot), as_point(cross)), heart.way(as_point(cross), as_point(neck)))
        grown += [*(Outline.of("stem", one, 2) for one in stems), *hung.outlines]
    between = heart.way(as_point(cross), (0.0, _NEEDLE.heart_between))
    grown.append(_led_to(heart, cross))
    grown += blade(between, heart.size * _NEEDLE.heart_needle, "needle", needs).outlines[:1]
    hull = shapely.convex_hull(shapely.MultiPoint(np.concatenate([one.points for one in grown])))
    foot, *aside = heart.at(
        (0.0, _NEEDLE.heart_cross), (-1.0, _NEEDLE.heart_cross), (1.0, _NEEDLE.heart_cross)
    )
    stalks = [Stalk(foot, end - foot, (-TURN, TURN)) for end in aside]
    bare = Motif(tuple(grown), np.concatenate([one.points for one in grown if not one.within]))
    return _bearing(bare, stalks, hull, needs)


def tuft(axis: Numbers, half: Numbers, thin: float) -> list[Outline]:
    """Needles from one point, as a bough bears them: side by side within a leaf about an axis, if they have room.

    thin: half the smallest feature.
    """
    for count in range(_NEEDLE.most_tuft, 1, -1):
        if half.max() > count * (thin + _NEEDLE.hair_in):
            aside = (np.arange(count) - (count - 1) / 2) * 2 / count
            grown = [_of_tuft(axis, half, count, one, thin) for one in aside.tolist()]
            if all(grown):
                whole = [one for one in grown if one]
                lines = drawn(whole, 20).between_ends(MEETING_IN).linestrings()
                if not any(shapely.intersects(lines[i], lines[:i]).any() for i in range(count)):
                    return whole
    x = np.linspace(0, 1, len(axis))
    width = min(float(half.max()), _NEEDLE.tuft_slender * float(np.hypot(*np.diff(axis, axis=0).T).sum()))
    return [_needle(axis, max(width, _NEEDLE.tuft_least * thin) * _profile(x))]


def _of_tuft(axis: Numbers, half: Numbers, count: int, aside: float, thin: float) -> Outline | None:
    """One of so many needles within a leaf, if it is wide enough; aside: where it lies, from -1 to 1."""
    x = np.linspace(0, 1, len(axis))
    level = x * (1 - _NEEDLE.tuft_short * abs(aside))
    line = np.stack([np.interp(level, x, one) for one in axis.T], axis=1)
    free = np.interp(level, x, half)
    fan = np.minimum(free, half.max() * np.sin(np.pi * np.minimum(level, 0.5)))  # not steep where they part
    line = line + aside * fan[:, None] * across(line)
    inner = (x > _NEEDLE.fit_from) & (x < _NEEDLE.fit_to)
    shape = _profile(x, _NEEDLE.tuft_fullness)
    widest = float((fan[inner] / count / shape[inner]).min()) - _NEEDLE.hair_in
    slender = _NEEDLE.tuft_slender * float(np.hypot(*np.diff(line, axis=0).T).sum())
    least = _NEEDLE.tuft_least * thin
    return _needle(line, max(min(widest, slender), least) * shape) if widest > least else None


def _needle(axis: Numbers, half: Numbers) -> Outline:
    """A needle about an axis (n, 2) of half widths (n,)."""
    side = half[:, None] * across(axis)
    nodes = np.linspace(0, 2 * len(axis) - 2, _NEEDLE.curves + 1).round().astype(np.int64)
    return Outline("needle", np.concatenate((axis + side, (axis - side)[-2::-1])), nodes)


def _profile(x: Numbers, fullness: float = _NEEDLE.fullness) -> Numbers:
    """Share of its half width that a needle has at some places from its base (0) to its point (1)."""
    return np.asarray(np.maximum(np.sin(np.pi * x**_NEEDLE.belly), 0.0) ** fullness)


def _led_to(heart: Heart, cross: Numbers) -> Outline:
    """A needle from the spine at the miter between two stems to where they cross."""
    axis = heart.way((0.0, heart.low), as_point(cross))
    x = np.linspace(0, 1, len(axis))
    most = _NEEDLE.heart_lead * _NEEDLE.heart_apart * heart.size
    side = (most * (1 - x) * np.sin(np.pi * x))[:, None] * across(axis)
    whole = Outline.of("needle", np.concatenate((axis + side, (axis - side)[-2::-1])), 10)
    return replace(whole, corners=(5,))


def small_needle(hole: Hole, needs: Needs) -> list[Outline]:
    """A needle hung into a hole: from where it hangs to the far side."""
    base, centre = np.array(hole.nearest), np.array(hole.centre)
    ahead = (centre - base) / np.hypot(*(centre - base))
    axis = np.linspace(base, centre + hole.radius * ahead, 41)
    width = min(_NEEDLE.tuft_slender * float(np.hypot(*(axis[-1] - base))), hole.radius / 2)
    shape = _profile(np.linspace(0, 1, 41), _NEEDLE.tuft_fullness)
    return [_needle(axis, max(width, _NEEDLE.tuft_least * needs.smallest / 2) * shape)]


def berries(hole: Hole, needs: Needs) -> list[list[Outline]]:
    """Berries on a stem where no needle fits."""
    return in_a_hole(hole, _SPRIG.radius * needs.room, _SPRIG.least * needs.smallest)


STYLE = Style(
    lean=Lean(radians(58), radians(24)),
    width=0.26,
    shortest=0.35,
    strips=needles,
    tip=hanging_cone,
    crook=crook_cone,
    crook_radius=0.9,
    parting=parting_cone,
    heart=crossed_cones,
    drop=small_needle,
    covers=True,
    sweeps=True,
    sprigs=berries,
    jump=2.0,
    bent=Bent(
        "needle",
        pointed=True,
        plump=0.26,
        bow=0.06,
        along=0.3,
        shuns=frozenset(("cone", "berry", "stem")),
        parts=tuft,
    ),
)
NEEDLES = FillRecord(
    kind="needles",
    parts=("main", "stems", "accents", "cones"),
    listed="needles and cones",
    spoken="needles and cones",
    by_hand="Each needle goes out to its point and back to the spine; a cone's outline first, then its scales; "
    "then out along the stem of its berries, round each of them, and home on the stem.",
    needs=NeedRange(
        least_room=0.375,
        comfortable_room=0.75,
        most_room=1.5,
        longest_ratio=3.0,
        longest_most=3.75,
        curl_share=5 / 6,
        smallest_feature=0.0625,
    ),
    thread=ThreadFigures(area=5.66, spine=8.85, feature=-5.61),
    style=STYLE,
    one="needle",
    many="needles",
    shapes={"needle": "a pine needle"},
)
