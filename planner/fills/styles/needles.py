"""Needles: slender needles off the spine, a cone at every tip, in the crooks and in the corners."""

from __future__ import annotations

from dataclasses import replace
from math import radians

import numpy as np
import shapely

from planner.fills.growing.bent import Bent
from planner.fills.growing.flow import LEVELS, Lean
from planner.fills.growing.gaps import Hole
from planner.fills.growing.grow import FlowStrips, Motif, Needs, Style
from planner.fills.growing.outline import Outline, drawn, tapered
from planner.fills.record import FillRecord, ThreadFigures
from planner.fills.styles.feathers import curl_axis, small_drop
from planner.fills.styles.leaves import blade
from planner.geometry.arrays import MEETING_IN, Numbers
from planner.geometry.curves import Arc, Point
from planner.kinds import NeedRange

_NODES = np.array([0, 10, 20, 30, 40])
_MORE_NODES = np.array([0, 5, 10, 15, 20, 25, 30, 35, 40])  # where so few would stray from its strip
_ASTRAY_IN = 5e-3  # by so much
_FORK_IN = 0.085  # every second needle of a fan begins only where its strip is so wide, on its neighbour
_FORKED = 0.1  # if that is so far up it
_EASED = 0.14  # and along so much of it bends into its strip


def needles(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """One needle a strip: from a point at the spine to a point at its end."""
    width, length = np.maximum(strips.width, 1e-3)[:, None], np.maximum(strips.length, 1e-3)[:, None]
    x = np.linspace(0, 1, 21)[None, :]
    side = (0.5 - np.minimum(0.012 / width, 0.2)) * np.sin(np.pi * x**0.8) ** 0.8
    across = 0.5 + np.concatenate((-side, side[:, -2::-1]), axis=1)
    up = np.concatenate((x, x[:, -2::-1]), axis=1) * (1 - 0.012 / length)
    points = strips.points(across, up)
    outlines = _kept(strips, [Outline("needle", one, _NODES) for one in points])
    grown = [[one] for one in outlines]
    begun = _begun(strips)
    for i in range(1, len(outlines), 2):
        if begun[i] > _FORKED:
            fork = _fork(strips, i, across[i], up[i], float(begun[i]), outlines[i - 1])
            if fork:
                grown[i - 1].append(fork)
                grown[i] = []
    return grown


def _begun(strips: FlowStrips) -> Numbers:
    """The level from which each strip is wide enough for a needle of its own (m,); nought where none is."""
    level = np.linspace(0, 1, LEVELS + 1)
    both = strips.points(np.repeat([[0.0, 1.0]], LEVELS + 1, axis=1), np.concatenate((level, level))[None])
    gap = np.linalg.norm(both[:, : LEVELS + 1] - both[:, LEVELS + 1 :], axis=2)
    wide = gap >= _FORK_IN
    return np.where(wide.any(axis=1), level[np.argmax(wide, axis=1)], 0.0)


def _fork(
    strips: FlowStrips, i: int, across: Numbers, up: Numbers, begun: float, host: Outline
) -> Outline | None:
    """The needle of a strip that is too narrow below: it leaves its neighbour where there is room for both."""
    up = begun + (1 - begun) * up
    points = strips.some(slice(i, i + 1)).points(across[None], up[None])[0]
    rim = drawn([host], 60).points
    foot = rim[np.argmin(np.hypot(*(rim - points[0]).T))]
    ease = np.maximum(1 - np.abs(up - begun) / (_EASED * (1 - begun)), 0.0) ** 2
    fork = Outline("needle", points + ease[:, None] * (foot - points[0]), _MORE_NODES)
    lines = drawn([fork, host], 20).between_ends(MEETING_IN).linestrings()
    return None if shapely.intersects(lines[0], lines[1]) else fork


def _kept(strips: FlowStrips, outlines: list[Outline]) -> list[Outline]:
    """The outlines, with more nodes where so few would stray from their strips."""
    level = np.linspace(0, 1, LEVELS + 1)
    edges = strips.points(
        np.repeat([[0.0, 1.0]], LEVELS + 1, axis=1), np.concatenate((level, level[::-1]))[None]
    )
    grounds = shapely.buffer(shapely.polygons(edges), _ASTRAY_IN)
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
    for depth in np.arange(0.0, way[-1], max(0.16 * needs.room, 2 * needs.smallest)):
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


def hanging_cone(tail: Arc, needs: Needs) -> Motif | None:
    """The tail's line carried on into the heart of its curl, with a cone hanging from it (or a spike)."""
    axis = curl_axis(tail, 1.5, 0.95)
    head = min(0.25 * tail.radius, 0.6 * needs.room)
    if head < 2 * needs.smallest:
        return blade(axis, head, "needle", needs)
    return cone(axis, head * np.linspace(0, 1, len(axis)) ** 0.8, needs)


def parting_cone(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """A large cone where the flow parts, along the middle of its strip."""
    found: list[list[Outline]] = []
    up = np.linspace(0, 1, 40)[None, :]
    for axis, width, length in zip(
        strips.points(np.full((1, 40), 0.5), up), strips.width, strips.length, strict=True
    ):
        head = min(0.42 * float(width), 0.3 * float(length))
        keep = up[0] * length <= length - head - 0.02
        t = up[0][keep] / up[0][keep][-1]
        motif = cone(axis[keep], head * t**0.8, needs)
        found.append(list(motif.outlines) if motif else [])
    return found


def heart_cone(base: Point, centre: Point, needs: Needs) -> Motif | None:
    """A cone from the spine to the middle of its circle."""
    t = np.linspace(0, 1, 50)
    axis = np.array(base) + t[:, None] * (np.array(centre) - np.array(base))
    reach = float(np.linalg.norm(axis[-1] - axis[0]))
    return cone(axis, min(0.3 * reach, 0.7 * needs.room) * t**0.9, needs)


def seed(hole: Hole, needs: Needs) -> list[Outline]:
    """A berry hung into a hole."""
    return small_drop(hole, needs, "berry")


STYLE = Style(
    lean=Lean(radians(58), radians(24)),
    width=0.26,
    shortest=0.35,
    strips=needles,
    tip=hanging_cone,
    crook=cone,
    crook_radius=0.42,
    parting=parting_cone,
    heart=heart_cone,
    drop=seed,
    bent=Bent("needle", pointed=True),
)
NEEDLES = FillRecord(
    kind="needles",
    listed="needles and cones",
    spoken="needles and cones",
    by_hand="Each needle goes out to its point and back to the spine; a cone's outline first, then its scales.",
    needs=NeedRange(
        least_room=0.375,
        comfortable_room=0.75,
        most_room=1.5,
        longest_ratio=3.0,
        longest_most=3.75,
        curl_share=5 / 6,
        smallest_feature=0.0625,
    ),
    thread=ThreadFigures(area=5.16, spine=12.65, feature=-9.84),
    style=STYLE,
    shapes={"needle": "a pine needle"},
)
