"""Flowers: one on a curved stem in every curl, berries and leaves along the spine, leaves in the crooks."""

from __future__ import annotations

from math import radians

import numpy as np

from planner.fills.growing.bent import Bent
from planner.fills.growing.flow import Lean
from planner.fills.growing.gaps import Hole
from planner.fills.growing.grow import FlowStrips, Motif, Needs, Style
from planner.fills.growing.outline import Outline
from planner.fills.record import FillRecord, ThreadFigures
from planner.fills.styles.feathers import curl_axis, small_drop
from planner.fills.styles.leaves import crook_leaf, leaf_and_vein
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Arc, Point
from planner.geometry.polylines import Polylines
from planner.kinds import NeedRange

_PETALS = 5
_A_PETAL = 16  # points along a petal
_NOTCH = 0.15  # by so much its tip is dented
_VALLEY = (
    0.42,
    0.58,
)  # how deep petals are parted, as a share of the radius: of one ring, of the outer of two
_TWO_RINGS = 0.5  # rooms: a flower of a greater radius has a second ring
_SECOND, _EYE = 0.5, 0.22  # radius of the second ring and of the eye, as shares of the flower's
_RING_NODES = np.arange(0, _PETALS * _A_PETAL + 1, 4)
_VALLEYS = tuple(range(0, _PETALS * _A_PETAL + 1, _A_PETAL))
_HAIR_IN = 0.012  # from a berry's edge to the middle of the line between it and its neighbour
_BERRY_NODES = np.array([0, 6, 12, 20, 28, 36, 44, 50, 56])
_BERRY_CORNERS = (12, 44)  # where it sits on its stem
_LEAST_BERRY = 0.14  # share of the room: a berry of a smaller radius is a leaf instead
_BERRY_EVERY = 3  # one strip in so many bears a berry, the others leaves


def leaves_and_berries(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """Two leaves, then a berry on its stem, and so on."""
    grown = [list(pair) for pair in zip(*leaf_and_vein(strips), strict=True)]
    third = slice(_BERRY_EVERY - 1, None, _BERRY_EVERY)
    few = strips.some(third)
    for k, berry in zip(range(len(strips.left))[third], berry_on_stem(few), strict=True):
        if np.ptp(berry.points[12:45], axis=0).min() > 2 * _LEAST_BERRY * needs.room:
            grown[k] = [berry]
    return grown


def berry_on_stem(strips: FlowStrips) -> list[Outline]:
    """In each strip a stem with a round berry on its end, its stem stitched up and back."""
    stem, side, end = np.linspace(0, 1, 31), np.linspace(0, 1, 121), np.ones(121)
    across = np.concatenate((0.5 + 0 * stem, 0 * end, end, side))  # the middle, both sides and the head
    points = strips.points(across[None], np.concatenate((stem, side, side, end))[None])
    middles, sides = points[:, :31], points[:, 31:]
    lines = Polylines.of(middles)
    radius = np.maximum(0.02, np.minimum(0.46 * strips.width, 0.3 * strips.length) - _HAIR_IN)
    centre = lines.at((lines.lengths() - radius - 0.02)[:, None])
    free = np.linalg.norm(sides - centre, axis=2).min(axis=1)
    radius = np.maximum(0.02, np.minimum(radius, free - _HAIR_IN))
    inside = np.linalg.norm(middles - centre, axis=2) < radius[:, None]
    last = np.argmax(inside, axis=1)[:, None] - 1
    away = np.take_along_axis(middles, last[..., None], axis=1) - centre
    angle = np.arctan2(away[..., 1], away[..., 0]) + np.linspace(0, 2 * np.pi, 33)
    balls = centre + radius[:, None, None] * np.stack((np.cos(angle), np.sin(angle)), axis=2)
    stems = Polylines.of(np.where((np.arange(31) <= last)[..., None], middles, balls[:, :1]))
    stalks = stems.at(stems.lengths()[:, None] * np.linspace(0, 1, 13))
    points = np.concatenate((stalks[:, :-1], balls, stalks[:, -2::-1]), axis=1)
    return [Outline("berry", one, _BERRY_NODES, corners=_BERRY_CORNERS) for one in points]


def flower(stem: Numbers, radius: float, needs: Needs) -> Motif:
    """A flower on its stem (n, 2) that ends in the flower's middle: one ring of petals or two, and its eye.

    The stem ends in the valley between two petals; from there the second ring and the eye are reached and left.
    """
    centre = stem[-1]
    stalk = stem[np.linalg.norm(stem - centre, axis=1) > 1.02 * radius]
    facing = float(np.arctan2(*(stalk[-1] - centre)[::-1])) if len(stalk) else 0.0
    two = radius > _TWO_RINGS * needs.room
    petals = _ring(centre, radius, facing, _VALLEY[two])
    stalk = np.concatenate((stalk, petals[:1]))
    outlines = [Outline.of("stem", stalk, 4), Outline("flower", petals, _RING_NODES, corners=_VALLEYS)]
    if 2 * _EYE * radius > needs.smallest:
        outlines.append(_heart(centre, radius, facing, petals[0], two))
    return Motif(tuple(outlines), np.concatenate((stalk, petals)))


def _ring(centre: Numbers, radius: float, facing: float, valley: float) -> Numbers:
    """Petals in one line, from valley to valley, each with a small notch at its tip."""
    t = np.linspace(0, 1, _A_PETAL + 1)[:-1]
    phase = 0.5 - 0.5 * np.cos(np.pi * t)
    swell = np.sin(np.pi * phase) ** 0.42 * (1 - _NOTCH * np.exp(-(((phase - 0.5) / 0.1) ** 2)))
    reach = radius * (valley + (1 - valley) * np.tile(swell, _PETALS))
    angle = facing + 2 * np.pi * (np.arange(_PETALS)[:, None] + phase).ravel() / _PETALS
    points = centre + reach[:, None] * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    return np.concatenate((points, points[:1]))


def _heart(centre: Numbers, radius: float, facing: float, start: Numbers, two: bool) -> Outline:
    """What stands inside the petals, in one line from a valley and back: a second ring, and the eye."""
    parts: list[Numbers] = []
    nodes, corners = [0], [0]
    rings = [_ring(centre, _SECOND * radius, facing, _VALLEY[0])] if two else []
    angle = facing + np.linspace(0, 2 * np.pi, 33)
    rings.append(centre + _EYE * radius * np.stack((np.cos(angle), np.sin(angle)), axis=1))
    count, here = 1, start
    parts.append(start[None])
    for ring, every in zip(rings, (_RING_NODES, np.arange(0, 33, 4))[-len(rings) :], strict=True):
        parts.append(here + np.linspace(0, 1, 7)[1:-1, None] * (ring[0] - here))
        count += 5
        nodes += (count + every).tolist()
        corners += [count, count + len(ring) - 1]
        corners += [count + n for n in _VALLEYS] if len(ring) > 33 else []
        parts.append(ring)
        count, here = count + len(ring), ring[0]
    parts.append(here + np.linspace(0, 1, 7)[1:, None] * (start - here))
    nodes.append(count + 5)
    return Outline("berry", np.concatenate(parts), np.array(nodes), within=True, corners=tuple(corners))


def flower_in_the_curl(tail: Arc, needs: Needs) -> Motif | None:
    """The tail's line carried on as a stem into the heart of its curl, with a flower on it."""
    return flower(curl_axis(tail, 1.9, 0.97), min(0.42 * tail.radius, 0.8 * needs.room), needs)


def parting_flower(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """A flower on a straight stem where the flow parts."""
    found = []
    for axis, width, length in zip(
        strips.points(np.full((1, 40), 0.5), np.linspace(0, 1, 40)[None, :]),
        strips.width,
        strips.length,
        strict=True,
    ):
        radius = min(0.45 * float(width), 0.32 * float(length))
        way = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(axis, axis=0), axis=1))))
        stem = axis[way <= way[-1] - radius - 0.02]
        found.append(list(flower(stem, radius, needs).outlines))
    return found


def heart_flower(base: Point, centre: Point, needs: Needs) -> Motif | None:
    """A flower on a straight stem in the middle of its circle."""
    axis = np.array(base) + np.linspace(0, 1, 50)[:, None] * (np.array(centre) - np.array(base))
    reach = float(np.linalg.norm(axis[-1] - axis[0]))
    return flower(axis, min(0.42 * reach, 0.9 * needs.room), needs)


def berry(hole: Hole, needs: Needs) -> list[Outline]:
    """A berry hung into a hole."""
    return small_drop(hole, needs, "berry")


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
    drop=berry,
    bent=Bent("leaf", pointed=True),
)
FLOWERS = FillRecord(
    kind="flowers",
    listed="flowers and berries",
    spoken="flowers and berries",
    by_hand="Each flower: out along its stem, round its petals, home on the stem; berries hang on what is there.",
    needs=NeedRange(
        least_room=0.5625,
        comfortable_room=1.0,
        most_room=1.75,
        longest_ratio=2.5,
        longest_most=4.0,
        curl_share=0.875,
        smallest_feature=0.125,
    ),
    thread=ThreadFigures(area=3.89, spine=12.02, feature=-2.48),
    style=STYLE,
)
