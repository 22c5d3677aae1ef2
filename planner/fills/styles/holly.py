"""Holly: prickly leaves with a vein, berries in threes between them, a curled leaf at every tip."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from math import radians

import numpy as np

from planner.fills.growing.bent import Bent
from planner.fills.growing.flow import Lean
from planner.fills.growing.hearts import SIDES, Heart
from planner.fills.growing.outline import Outline, across
from planner.fills.growing.sprigs import in_a_hole
from planner.fills.growing.standing import Hole
from planner.fills.growing.style import FlowStrips, Motif, Needs, Style
from planner.fills.record import FillRecord, ThreadFigures
from planner.fills.styles.feathers import curl_axis, small_drop
from planner.fills.styles.leaves import small_leaf
from planner.geometry.arrays import NOUGHT, Numbers
from planner.geometry.curves import Arc, Point
from planner.geometry.polylines import Polylines
from planner.kinds import NeedRange


@dataclass(frozen=True, slots=True)
class _Holly:
    """The proportions of holly: shares and exponents, inches where a name says so. Common practice, no source."""

    hair_in: float = 0.014  # Kept off the line half way to its neighbour, so that two threads do not touch.
    stem: float = 0.12  # Of the length: short, since a holly leaf sits close.
    slender: float = 0.27  # Half width at most this share of the length: a holly leaf is broad.
    plump: float = (
        0.2  # Half width at least that share, or a shorter leaf is taken: a long one looks like grass.
    )
    grass: float = (
        0.12  # Half width at least that share, or no leaf at all: what is open is filled afterwards.
    )
    belly: float = 0.92  # Exponent: a little under 1, widest just below the middle.
    fullness: float = 0.62  # Exponent: well under 1, so that the first and last prickles stand off.
    valley: float = 0.36  # Of the width: how deep the edge is hollowed between two prickles.
    vein: float = 0.8  # Of the blade: a vein to the point would crowd it with thread.
    berries_every: int = 5  # One strip in so many bears berries: an accent, not a crop.
    berry: float = 0.2  # Of the room: the largest of three.
    most_berry: float = 0.2  # Of its strip's width: three of them stand beside each other.
    beside: float = 0.86  # Of the first one's radius: the two beside it, or it would be a sign, not a plant.
    lone: float = 0.18  # Of the room: a berry alone, on a neck of its own, is no larger than those in threes.
    fork: float = 2.45  # Radii below the first berry's middle two branches leave: so all three are parted.
    curl_turn: float = 1.35  # Radians by which a leaf carries the tail on.
    curl_reach: float = 1.02  # Of the radius: a point looks centred only when it goes a little past.
    curl_width: float = 0.2  # Of the tail's radius: a half width that leaves air inside the curl.
    most_curl_width: float = 0.38  # Of the room: in a wide curl it stays of a size with the other leaves.
    least_berry: float = 1.05  # Smallest features: few curves draw a circle a little short of its radius.
    least_sprig: float = 0.9  # Rooms: in a narrower circle it would be a tangle, so none stands there.
    most_sprig: float = 2.5  # Rooms: in a wide circle a sprig's leaves stay of a size with the others.
    sprig_leaves: tuple[float, ...] = (-0.62, -0.22)  # Where a sprig's pairs of leaves leave its stem ...
    sprig_ends: tuple[tuple[float, float], ...] = ((0.66, -0.56), (0.8, -0.06))  # ... and end.
    sprig_widths: tuple[float, ...] = (0.14, 0.17)  # Half widths: the pair ahead is the larger.
    sprig_bow: float = 0.75  # Of the way ahead before a leaf bends aside.
    sprig_berries: tuple[tuple[float, float], ...] = (
        (0.0, 0.34),
        (-0.16, 0.16),
        (0.16, 0.16),
    )  # Where three berries have their middles.
    sprig_berry: float = 0.12  # Of the size: the largest of three.


_HOLLY = _Holly()


def _hollow(s: Numbers) -> Numbers:
    """Share of its width that a leaf has from one prickle (0) to the next (1)."""
    return np.asarray(1 - _HOLLY.valley * np.sin(np.pi * s))


_PRICKLES = np.array(
    [0.0, 0.2, 0.46, 0.73, 1.0]
)  # of the blade: from the stem's end by the prickles to the point
_STEP = 8  # points from one prickle to the next
_STALK = 5  # points on the stem
_SHARE = np.concatenate([a + (z - a) * np.arange(_STEP) / _STEP for a, z in pairwise(_PRICKLES)] + [[1.0]])
_LEVELS = np.concatenate((_HOLLY.stem * np.arange(_STALK) / _STALK, _HOLLY.stem + (1 - _HOLLY.stem) * _SHARE))
_POINTS = len(_LEVELS)
_ENVELOPE = np.sin(np.pi * np.clip(_SHARE, 0, 1) ** _HOLLY.belly) ** _HOLLY.fullness
_HOLLOW = _hollow(np.arange(len(_SHARE)) % _STEP / _STEP)
_BODY = np.concatenate((np.zeros(_STALK), _ENVELOPE))
_EDGE = np.concatenate((np.zeros(_STALK), _ENVELOPE * _HOLLOW))
_ONE_SIDE = [0, *range(_STALK, _POINTS, _STEP // 2)]
_NODES = np.array([*_ONE_SIDE, *(2 * _POINTS - 2 - n for n in reversed(_ONE_SIDE[:-1]))])
_SHARP = tuple(range(_STALK, _POINTS, _STEP))
_CORNERS = (*_SHARP, *(2 * _POINTS - 2 - n for n in _SHARP))
_SHORTER = (1.0, 0.85, 0.7, 0.58, 0.47, 0.38)  # shares of a strip that a leaf may take
_FORK = 8  # the point of a stem at which it forks
_BALL_NODES = np.array([0, 8, 16, 24, 32])


def leaves_and_berries(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """Leaves, and every so often three berries on a forked stem."""
    grown = prickly(strips)
    first = (_HOLLY.berries_every - 2 + 2 * needs.variant) % _HOLLY.berries_every
    for k in range(first, len(grown), _HOLLY.berries_every):
        three = berries(strips.some(slice(k, k + 1)), needs)
        if three:
            grown[k] = three
    return grown


def prickly(strips: FlowStrips) -> list[list[Outline]]:
    """A leaf for each strip and its vein; where the strip narrows ahead, a shorter and broader one, or none."""
    count = len(strips.left)
    every = strips.some(np.tile(np.arange(count), len(_SHORTER)))
    middle, width, length, square = _in_strips(every, np.repeat(_SHORTER, count))
    ratio = (width / length).reshape(-1, count)
    good = ratio > _HOLLY.plump
    which = np.where(good.any(axis=0), good.argmax(axis=0), ratio.argmax(axis=0))
    return [
        _leaf(middle[n], width[n], square[n]) if ratio.flat[n] > _HOLLY.grass else []
        for n in (which * count + np.arange(count)).tolist()
    ]


def _in_strips(strips: FlowStrips, share: Numbers) -> tuple[Numbers, Numbers, Numbers, Numbers]:
    """Middles of strips up to shares of their lengths (m,), half widths free there, lengths, and square to them."""
    middle, square, free = strips.middles(_LEVELS * share[:, None])
    inner = _BODY > 0.4
    width = (np.maximum(free[:, inner] - _HOLLY.hair_in, 0) / _BODY[inner]).min(axis=1)
    step = np.diff(middle, axis=1)
    length = np.hypot(step[..., 0], step[..., 1]).sum(axis=1)
    return middle, np.minimum(width, _HOLLY.slender * length), length, square


def _leaf(middle: Numbers, width: float, square: Numbers) -> list[Outline]:
    """A leaf about its middle (n, 2), and its vein."""
    side = (width * _EDGE)[:, None] * square
    outline = np.concatenate((middle + side, (middle - side)[-2::-1]))
    blade = middle[_STALK:]
    vein = blade[: int(_HOLLY.vein * len(blade))]
    return [Outline("leaf", outline, _NODES, corners=_CORNERS), Outline.of("stem", vein, 3, within=True)]


def berries(strip: FlowStrips, needs: Needs) -> list[Outline]:
    """Three berries, parted, on a stem that forks; none where they would be blots."""
    radius = min(
        _HOLLY.berry * needs.room, _HOLLY.most_berry * float(strip.width[0]), 0.14 * float(strip.length[0])
    )
    if 2 * _HOLLY.beside * radius < _HOLLY.least_berry * needs.smallest:
        return []
    line = Polylines.of(strip.points(np.full((1, 60), 0.5), np.linspace(0, 1, 60)[None]))
    length = float(line.lengths()[0])
    centre = length - 1.2 * radius
    fork = centre - _HOLLY.fork * radius
    if fork < 0.2 * length:
        return []
    axis = line.at(
        np.array([[*np.linspace(0, fork, 9), *np.linspace(fork, centre - radius, 9)[1:], centre]])
    )[0]
    square = across(axis)
    stem = axis[:17]
    nodes = np.array([0, 4, 8, 12, 16])
    grown = [Outline("stem", stem, nodes), _ball(stem[-1], axis[17] - stem[-1], radius)]
    for sign in (-1.0, 1.0):
        foot, ahead = axis[_FORK], axis[_FORK + 1] - axis[_FORK]
        way = 0.55 * ahead / np.linalg.norm(ahead) + sign * square[_FORK]
        way /= np.linalg.norm(way)
        end = foot + 0.75 * radius * way
        grown += [
            Outline("stem", foot + np.linspace(0, 1, 9)[:, None] * (end - foot), np.array([0, 4, 8])),
            _ball(end, way, _HOLLY.beside * radius),
        ]
    middles = [one.points[:-1].mean(axis=0) for one in grown if one.kind == "berry"]
    apart = min(float(np.linalg.norm(a - b)) for a, b in combinations(middles, 2))
    return (
        grown if apart > 1.86 * radius + _HOLLY.hair_in else []
    )  # in a strip that bends they may come together


def _ball(foot: Numbers, way: Numbers, radius: float) -> Outline:
    """A round berry that begins at a foot and lies that way from it."""
    way = way / (np.linalg.norm(way) + NOUGHT)
    centre = foot + radius * way
    angle = np.arctan2(-way[1], -way[0]) + np.linspace(0, 2 * np.pi, 33)
    return Outline("berry", centre + radius * np.stack((np.cos(angle), np.sin(angle)), axis=1), _BALL_NODES)


def along_axis(axis: Numbers, width: float) -> Motif:
    """A large leaf along an axis (n, 2)."""
    line = Polylines.of([axis])
    middle = line.at(line.lengths()[:, None] * _LEVELS)[0]
    leaf = _leaf(middle, width, across(middle))
    return Motif(tuple(leaf), leaf[0].points)


def curled_leaf(tail: Arc, needs: Needs) -> Motif | None:
    """The tail's line carried on into a leaf that curls into the heart of its curl."""
    width = min(_HOLLY.curl_width * tail.radius, _HOLLY.most_curl_width * needs.room)
    return along_axis(curl_axis(tail, _HOLLY.curl_turn, _HOLLY.curl_reach, needs), width)


def crook_leaf(axis: Numbers, width: Numbers, needs: Needs) -> Motif | None:
    """A leaf in the wedge between neighbouring curls."""
    if width[-1] < needs.smallest / 2:
        return None
    ahead = (axis[-1] - axis[-2]) / np.linalg.norm(axis[-1] - axis[-2]) * width[-1]
    past = np.linspace(0.1, 0.9, 10)
    longer = np.concatenate((axis, axis[-1] + ahead * past[:, None]))
    free = np.concatenate((width, width[-1] * np.sqrt(1 - past**2)))
    t = np.linspace(0, 1, len(longer))
    shape = np.interp(t, _LEVELS, _BODY)
    inner = shape > 0.4
    return along_axis(longer, float(np.min(free[inner] / shape[inner])))


def parting_leaf(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """One large leaf where the flow parts."""
    return prickly(strips)


def heart_sprig(base: Point, centre: Point, needs: Needs) -> Motif | None:
    """A sprig in a corner's circle: leaves in pairs on a straight stem, and ahead of them three berries."""
    heart = Heart.of(base, centre, _HOLLY.most_sprig * needs.room)
    if heart.size < _HOLLY.least_sprig * needs.room:
        return None
    fork = _HOLLY.sprig_leaves[-1]
    grown = [heart.stem(*_HOLLY.sprig_leaves)]
    for y, (x, up), half in zip(_HOLLY.sprig_leaves, _HOLLY.sprig_ends, _HOLLY.sprig_widths, strict=True):
        for side in SIDES:
            axis = heart.way((0.0, y), (side * 0.5 * x, y + _HOLLY.sprig_bow * (up - y)), (side * x, up))
            grown += along_axis(axis, half * heart.size).outlines
    radius = _HOLLY.sprig_berry * heart.size
    if 2 * _HOLLY.beside * radius > _HOLLY.least_berry * needs.smallest:
        for (x, y), share in zip(_HOLLY.sprig_berries, (1.0, _HOLLY.beside, _HOLLY.beside), strict=True):
            way = heart.way((0.0, fork), (0.2 * x, 0.5 * (fork + y)), (x, y))
            branch = way[np.hypot(*(way - way[-1]).T) > share * radius]
            grown += [
                Outline.of("stem", branch, 2),
                _ball(branch[-1], way[-1] - branch[-1], share * radius),
            ]
    return Motif(tuple(grown), np.concatenate([one.points for one in grown if not one.within]))


def small_sprig(hole: Hole, needs: Needs) -> list[list[Outline]]:
    """Berries on a stem where no leaf fits."""
    return in_a_hole(hole, _HOLLY.lone * needs.room, _HOLLY.least_berry * needs.smallest)


def berry(hole: Hole, needs: Needs) -> list[Outline]:
    """A berry hung into a hole, or where none has room a plain leaf."""
    least = needs.smallest / 2 + _HOLLY.hair_in
    round_ = replace(hole, radius=max(least, min(hole.radius, _HOLLY.lone * needs.room)))
    return small_drop(round_, needs, "berry") + small_leaf(hole, needs)


STYLE = Style(
    lean=Lean(radians(44), radians(14)),
    width=0.8,
    shortest=0.45,
    strips=leaves_and_berries,
    tip=curled_leaf,
    crook=crook_leaf,
    crook_radius=0.36,
    parting=parting_leaf,
    heart=heart_sprig,
    drop=berry,
    sprigs=small_sprig,
    bent=Bent("leaf", pointed=True, vein=0.6, edge=_hollow),
    covers=True,
    jump=2.0,
    work=1.7,
    sways=0.0,  # Prickly leaves leave holes over half the room where a pocket swings.
)
HOLLY = FillRecord(
    kind="holly",
    parts=("main", "stems", "accents"),
    listed="holly",
    spoken="holly",
    by_hand="Each leaf: from prickle to prickle in small hollows, stop at each point; then the vein and back. "
    "Berries last, out along their stem and home on it.",
    needs=NeedRange(
        least_room=0.75,  # In less the gaps hold no leaf, only berries: nearly as many as leaves.
        comfortable_room=1.0,
        most_room=1.75,
        longest_ratio=2.5,
        longest_most=4.0,
        curl_share=0.9,
        smallest_feature=0.125,
    ),
    thread=ThreadFigures(area=5.12, spine=7.29, feature=-2.11),
    style=STYLE,
    one="leaf",
    many="leaves",
)
