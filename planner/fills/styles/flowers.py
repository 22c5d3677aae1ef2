"""Flowers: one on a curved stem in every curl, leaves and sprays of berries on the spine, leaves in the crooks.

Tendrils where no slender leaf fits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import radians

import numpy as np
import shapely

from planner.fills.growing.bent import Bent
from planner.fills.growing.flow import Lean
from planner.fills.growing.outline import Outline, drawn
from planner.fills.growing.standing import Hole
from planner.fills.growing.style import FlowStrips, Motif, Needs, Style
from planner.fills.record import FillRecord, ThreadFigures
from planner.fills.styles.feathers import curl_axis
from planner.fills.styles.leaves import blade, crook_leaf, leaves, small_leaf
from planner.geometry.arrays import MEETING_IN, Numbers
from planner.geometry.curves import Arc, Point
from planner.kinds import NeedRange

# Of a leaf that cups a flower: the node of the stem it leaves, radians it goes round, how far off, in radii.
Cup = tuple[int, float, float]


@dataclass(frozen=True, slots=True)
class _Flower:
    """The proportions of flowers and berries: shares and exponents, inches where a name says so.

    Common practice, no source.
    """

    petals: int = 5  # As a wild rose has: fewer look like a propeller, more are small to stitch.
    notch: float = 0.15  # By so much of its reach a petal's tip is dented, so that it reads as a petal.
    notch_width: float = 0.1  # Of a petal's width: a narrow dent, or the petal would look like two.
    petal_fullness: float = 0.42  # Exponent: well under 1 a petal is broad and only parted at its foot.
    valley: float = 0.42  # Of the radius: one ring is parted deeply, since only its eye stands inside it.
    outer_valley: float = 0.58  # Of the radius: the outer of two is parted less, to go round the second.
    two_rings: float = 0.5  # Of the room: a flower of a greater radius would be empty with one ring.
    second: float = 0.5  # Of the radius: a second ring so large stays inside the outer one's valleys.
    eye: float = 0.22  # Of the radius: well inside one ring.
    inner_eye: float = 0.15  # Of the radius: likewise inside a second ring, whose valleys are at 0.21 of it.
    least_eye: float = 1.05  # Smallest features: few curves draw a circle a little short of its radius.
    stem_end: float = 1.02  # Of the radius: its stem stops just outside, and goes to a valley from there.
    hair_in: float = 0.012  # Kept off the line half way to its neighbour, so that two threads do not touch.
    end_in: float = 0.02  # Left free beyond a berry or flower, so that it does not touch what it faces.
    berry: float = 0.175  # Of the room: the radius of a spray's first berry, an accent beside the leaves.
    graded: tuple[float, float, float] = (
        1.0,
        0.84,
        0.72,
    )  # Of that: three alike would be a sign, not a plant.
    below: tuple[float, float, float] = (
        0.0,
        1.5,
        2.4,
    )  # In radii of the first: how far the others hang below it.
    aside: tuple[float, float, float] = (0.0, -0.58, 0.6)  # Of half the strip: the others stand to its sides.
    apart_in: float = 0.03  # Between two berries, so that they do not touch.
    branch: float = 0.45  # How much of its way a branch takes from the stem where it leaves it.
    spray_length: float = 1.0  # Rooms: a shorter strip would leave a spray no stem.
    spray_width: float = 0.5  # Rooms: a narrower strip cannot hold two berries side by side.
    spray_every: int = 6  # Strips from one spray to the next: leaves between keep berries an accent.
    least_berry: float = 0.08  # Of the room: a smaller berry would be a blot, so a leaf stands there.
    curl_cups: tuple[Cup, ...] = (
        (2, 1.25, 1.32),
        (1, -1.25, 1.32),
    )  # In a curl two leaves cup it, on with the stem and back.
    heart_cups: tuple[Cup, ...] = (
        (2, 1.6, 1.34),
        (2, -1.6, 1.34),
        (1, 0.8, 1.96),
        (1, -0.8, 1.96),
    )  # In a corner's circle two pairs do.
    cup_width: float = 0.24  # Of that radius: half as wide as the ring they lie in.
    cup_slender: float = 0.2  # Of their length, at most.
    curl_turn: float = 1.9  # Radians by which a stem carries the tail on: a stem is slender and may wind far.
    curl_reach: float = 0.97  # Of the radius: its flower lies on the heart of the curl, not past it.
    curl_radius: float = 0.42  # Of the tail's radius: a flower so large still leaves a ring of air round it.
    most_curl_radius: float = 0.8  # Of the room: in a wide curl it stays of a size with the leaves.
    parting_radius: float = 0.45  # Of its strip's width: it all but fills its strip from side to side.
    most_parting_radius: float = 0.32  # Of its strip's length: a larger one would leave no stem below it.
    heart_radius: float = 0.42  # Of the way to the middle: two pairs of leaves stand round it.
    most_heart_radius: float = 1.1  # Of the room: a circle's heart is the place for the largest flower.
    tendril_turns: float = 1.5  # A tendril winds so often ...
    tendril_out: float = 0.78  # ... from so far off the middle of its hole, in radii of that ...
    tendril_in: float = 0.2  # ... to so near ...
    tendril_falls: float = 0.05  # ... on the first part of its way, straight in from what it hangs on ...
    tendril_bends: float = 1.25  # ... exponent: over 1 it then bends, and is the tighter the farther in.
    tendril_apart: float = 1.0  # Smallest features from turn to turn: in a smaller hole it would be a blot.


_FLOWER = _Flower()
_A_PETAL = 16  # points along a petal
_RING = _FLOWER.petals * _A_PETAL
_RING_NODES = np.arange(0, _RING + 1, 4)
_VALLEYS = tuple(range(0, _RING + 1, _A_PETAL))
_IN = 6  # points on the way in to a ring
_IN_NODES = np.array([0, 3, 6])
_STALK_NODES = np.array([0, 6, 12])
_BALL_NODES = np.array([0, 8, 16, 24, 32])


def leaves_and_berries(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """Leaves, and here and there among long ones a spray of berries."""
    grown = leaves(strips, needs)
    room = needs.room
    fit = (strips.length > _FLOWER.spray_length * room) & (strips.width > _FLOWER.spray_width * room)
    last = -2 - needs.variant % _FLOWER.spray_every
    for k in np.flatnonzero(fit[:-1]).tolist():
        if k - last >= _FLOWER.spray_every:
            berries = spray(strips.some(slice(k, k + 1)), needs)
            if berries:
                grown[k], last = berries, k
    return grown


def spray(strip: FlowStrips, needs: Needs) -> list[Outline]:
    """Three berries on one stem, each smaller than the last: one on its end, two on branches beside it.

    None where they would crowd each other or the sides of the strip, or a branch would cross the stem.
    """
    level = np.linspace(0, 1, 61)
    middle, left, right = (strip.points(np.full((1, 61), x), level[None])[0] for x in (0.5, 0.0, 1.0))
    sides = np.concatenate((left, right, strip.points(level[None], np.ones((1, 61)))[0]))
    way = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(middle, axis=0).T))))
    radius = _FLOWER.berry * needs.room
    balls: list[tuple[Numbers, float]] = []
    top = way[-1] - radius - _FLOWER.end_in
    for share, below, aside in zip(_FLOWER.graded, _FLOWER.below, _FLOWER.aside, strict=True):
        at = float(np.interp(top - below * radius, way, level))
        across = (left, right)[aside < 0]
        centre = _at(middle, level, at) * (1 - abs(aside)) + abs(aside) * _at(across, level, at)
        free = float(np.hypot(*(sides - centre).T).min()) - _FLOWER.hair_in
        free = min([free, *(np.hypot(*(centre - c)) - r - _FLOWER.apart_in for c, r in balls)])
        balls.append((centre, min(share * radius, free)))
    if min(r for _, r in balls) < max(needs.smallest / 2, _FLOWER.least_berry * needs.room):
        return []
    stalk = middle[way < top - balls[0][1]]
    stem = Outline.of("stem", np.concatenate((stalk, _rim(*balls[0], stalk[-1])[:1])), 4)
    grown = [stem, Outline("berry", _rim(*balls[0], stalk[-1]), _BALL_NODES)]
    for (centre, r), n in zip(balls[1:], (3, 2), strict=True):
        k = stem.nodes[n]
        foot, ahead = stem.points[k], stem.points[k + 1] - stem.points[k - 1]
        reach = float(np.hypot(*(centre - foot)))
        leaving = _FLOWER.branch * ahead / np.hypot(*ahead) + (1 - _FLOWER.branch) * (centre - foot) / reach
        elbow = foot + 0.5 * reach * leaving
        rim = _rim(centre, r, elbow)
        t = np.linspace(0, 1, 13)[:, None]
        branch = (1 - t) ** 2 * foot + 2 * t * (1 - t) * elbow + t**2 * rim[0]
        grown += [Outline("stem", branch, _STALK_NODES), Outline("berry", rim, _BALL_NODES)]
    lines = drawn(grown, 20).between_ends(2 * MEETING_IN).linestrings()
    meets = shapely.intersects(lines[:, None], lines[None])
    return [] if np.any(np.triu(meets, 1)) else grown


def _at(line: Numbers, level: Numbers, at: float) -> Numbers:
    """The point of a line at a level."""
    return np.array([np.interp(at, level, line[:, 0]), np.interp(at, level, line[:, 1])])


def _rim(centre: Numbers, radius: float, towards: Numbers) -> Numbers:
    """A circle, from where it faces a point once round."""
    x, y = towards - centre
    angle = np.arctan2(y, x) + np.linspace(0, 2 * np.pi, 33)
    return np.asarray(centre + radius * np.stack((np.cos(angle), np.sin(angle)), axis=1))


def flower(stem: Numbers, radius: float, needs: Needs, cups: Sequence[Cup] = ()) -> Motif:
    """A flower on its stem (n, 2) that ends in the flower's middle: one ring of petals or two, and its eye.

    The stem ends in the valley between two petals; from there the second ring is reached and left, and from that
    (or from the valley) the eye, on a way that belongs to the petals.
    """
    centre = stem[-1]
    stalk = stem[np.linalg.norm(stem - centre, axis=1) > _FLOWER.stem_end * radius]
    facing = float(np.arctan2(*(stalk[-1] - centre)[::-1])) if len(stalk) else 0.0
    least_eye = _FLOWER.least_eye * needs.smallest / 2
    two = radius > max(_FLOWER.two_rings * needs.room, least_eye / _FLOWER.inner_eye)
    eye = (_FLOWER.inner_eye if two else _FLOWER.eye) * radius
    petals = _ring(centre, radius, facing, _FLOWER.outer_valley if two else _FLOWER.valley)
    stalk = np.concatenate((stalk, petals[:1]))
    stem_outline = Outline.of("stem", stalk, 4)
    outlines = [stem_outline, Outline("flower", petals, _RING_NODES, corners=_VALLEYS)]
    if eye > least_eye:
        foot = petals[0]
        if two:
            outlines.append(_second_ring(centre, radius, facing, foot))
            foot = outlines[-1].points[_IN]
        angle = facing + np.linspace(0, 2 * np.pi, 33)
        ball = centre + eye * np.stack((np.cos(angle), np.sin(angle)), axis=1)
        outlines += [
            Outline("flower", _way(foot, ball[0]), _IN_NODES, within=True),
            Outline("eye", ball, _BALL_NODES, within=True),
        ]
    leaves = _cups(stem_outline, centre, radius, needs, cups)
    guard = np.concatenate((stalk, *(leaf.points for leaf in leaves), stalk[-1:], petals))
    return Motif((outlines[0], *leaves, *outlines[1:]), guard)


def _cups(stem: Outline, centre: Numbers, radius: float, needs: Needs, cups: Sequence[Cup]) -> list[Outline]:
    """Leaves that cup a flower, each from a node of its stem."""
    foot_on = stem.points[stem.nodes] - centre
    found = []
    for node, sweep, far in cups:
        x, y = foot_on[node]
        begin, away = np.arctan2(y, x), float(np.hypot(x, y))
        turn = foot_on[node + 1, 1] * x - foot_on[node + 1, 0] * y
        t = np.linspace(0, 1, 49)
        angle = begin + np.copysign(1.0, turn) * sweep * t
        lies = far * radius
        reach = lies + (away - lies) * (1 - t) ** 2
        axis = centre + reach[:, None] * np.stack((np.cos(angle), np.sin(angle)), axis=1)
        length = float(np.hypot(*np.diff(axis, axis=0).T).sum())
        width = min(_FLOWER.cup_width * radius, _FLOWER.cup_slender * length)
        if width < 0.6 * needs.smallest:
            continue
        found += list(blade(axis, width, "leaf", needs).outlines)
    lines = drawn([stem, *found], 20).between_ends(2 * MEETING_IN).linestrings()
    meets = shapely.intersects(lines[:, None], lines[None])
    inside = [one.within for one in [stem, *found]]
    meets[:, inside] = meets[inside] = False
    return [] if np.any(np.triu(meets, 1)) else found


def _ring(centre: Numbers, radius: float, facing: float, valley: float) -> Numbers:
    """Petals in one line, from valley to valley, each with a small notch at its tip."""
    t = np.linspace(0, 1, _A_PETAL + 1)[:-1]
    phase = 0.5 - 0.5 * np.cos(np.pi * t)
    dent = _FLOWER.notch * np.exp(-(((phase - 0.5) / _FLOWER.notch_width) ** 2))
    swell = np.sin(np.pi * phase) ** _FLOWER.petal_fullness * (1 - dent)
    reach = radius * (valley + (1 - valley) * np.tile(swell, _FLOWER.petals))
    angle = facing + 2 * np.pi * (np.arange(_FLOWER.petals)[:, None] + phase).ravel() / _FLOWER.petals
    points = centre + reach[:, None] * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    return np.concatenate((points, points[:1]))


def _second_ring(centre: Numbers, radius: float, facing: float, valley: Numbers) -> Outline:
    """A ring within the petals, in one line: in from a valley, round, and back."""
    ring = _ring(centre, _FLOWER.second * radius, facing, _FLOWER.valley)
    way = _way(valley, ring[0])[:-1]
    return Outline(
        "flower",
        np.concatenate((way, ring, way[::-1])),
        np.concatenate(([0], _IN + _RING_NODES, [2 * _IN + _RING])),
        within=True,
        corners=tuple(_IN + n for n in _VALLEYS),
    )


def _way(begin: Numbers, end: Numbers) -> Numbers:
    """Points straight from one point to another."""
    return np.asarray(begin + np.linspace(0, 1, _IN + 1)[:, None] * (end - begin))


def flower_in_the_curl(tail: Arc, needs: Needs) -> Motif | None:
    """The tail's line carried on as a stem into the heart of its curl, with a flower on it."""
    radius = min(_FLOWER.curl_radius * tail.radius, _FLOWER.most_curl_radius * needs.room)
    axis = curl_axis(tail, _FLOWER.curl_turn, _FLOWER.curl_reach, needs)
    return flower(axis, radius, needs, _FLOWER.curl_cups)


def parting_flower(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """A flower on a straight stem where the flow parts."""
    found = []
    for axis, width, length in zip(
        strips.points(np.full((1, 40), 0.5), np.linspace(0, 1, 40)[None, :]),
        strips.width,
        strips.length,
        strict=True,
    ):
        radius = min(_FLOWER.parting_radius * float(width), _FLOWER.most_parting_radius * float(length))
        way = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(axis, axis=0), axis=1))))
        stem = axis[way <= way[-1] - radius - _FLOWER.end_in]
        found.append(list(flower(stem, radius, needs).outlines))
    return found


def heart_flower(base: Point, centre: Point, needs: Needs) -> Motif | None:
    """A flower on a straight stem in the middle of its circle, cupped by leaves in pairs."""
    axis = np.array(base) + np.linspace(0, 1, 50)[:, None] * (np.array(centre) - np.array(base))
    reach = float(np.linalg.norm(axis[-1] - axis[0]))
    radius = min(_FLOWER.heart_radius * reach, _FLOWER.most_heart_radius * needs.room)
    return flower(axis, radius, needs, _FLOWER.heart_cups)


def tendril(hole: Hole, needs: Needs) -> list[Outline]:
    """A tendril in a hole that no slender leaf fits: in from where it hangs, and round."""
    turns = _FLOWER.tendril_turns
    apart = (_FLOWER.tendril_out - _FLOWER.tendril_in) * hole.radius / turns
    if apart < _FLOWER.tendril_apart * needs.smallest:
        return []
    x, y = hole.nearest[0] - hole.centre[0], hole.nearest[1] - hole.centre[1]
    t = np.linspace(0, 1, 97)
    begins = np.hypot(x, y) - _FLOWER.tendril_out * hole.radius
    reach = begins * np.exp(-t / _FLOWER.tendril_falls) + hole.radius * np.interp(
        t, [0, 1], [_FLOWER.tendril_out, _FLOWER.tendril_in]
    )
    reach[0] = np.hypot(x, y)
    angle = np.arctan2(y, x) + 2 * np.pi * turns * t**_FLOWER.tendril_bends
    way = np.array(hole.centre) + reach[:, None] * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    return [Outline.of("tendril", way, 12)]


def leaf_or_tendril(hole: Hole, needs: Needs) -> list[Outline]:
    """What stands in a hole where no bent leaf does."""
    return tendril(hole, needs) + small_leaf(hole, needs)


STYLE = Style(
    lean=Lean(radians(48), radians(12)),
    width=0.56,
    shortest=0.35,
    strips=leaves_and_berries,
    tip=flower_in_the_curl,
    crook=crook_leaf,
    crook_radius=0.36,
    parting=parting_flower,
    heart=heart_flower,
    drop=leaf_or_tendril,
    covers=True,
    jump=2.0,
    bent=Bent("leaf", pointed=True, vein=0.66, shuns=frozenset(("berry",)), widest=0.34),
)
FLOWERS = FillRecord(
    kind="flowers",
    parts=("main", "stems", "flowers", "eyes", "accents"),
    listed="flowers and berries",
    spoken="flowers and berries",
    by_hand="Each flower: out along its stem, round its petals, home on the stem; "
    "berries in threes on a stem; a tendril round to its end, and back on its own line.",
    needs=NeedRange(
        least_room=0.5625,
        comfortable_room=1.0,
        most_room=1.75,
        longest_ratio=2.5,
        longest_most=4.0,
        curl_share=0.875,
        smallest_feature=0.125,
    ),
    thread=ThreadFigures(area=5.43, spine=9.17, feature=-3.73),
    style=STYLE,
    one="spray",
    many="sprays",
    shapes={"eye": "an eye"},
)
