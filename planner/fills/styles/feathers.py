"""Feathers: plumes that lean forward, a curled teardrop at every tip, teardrops in the crooks and corners."""

from __future__ import annotations

from math import hypot, radians

import numpy as np

from planner.fills.growing.bent import Bent
from planner.fills.growing.flow import Lean
from planner.fills.growing.gaps import Hole, drop
from planner.fills.growing.grow import FlowStrips, Motif, Needs, Style
from planner.fills.growing.outline import Outline, tapered
from planner.fills.record import FillRecord, ThreadFigures
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Arc, Point
from planner.kinds import NeedRange

_HAIR_IN = 0.012  # from a plume's edge to the middle of the line between it and its neighbour
_ROUND = 2.05  # exponent of the head: 2 is an ellipse, more is fuller
_UP = 24  # points up one side of a plume
_NODES = np.array([0, 8, 16, 23, 29, 35, 39, 43, 49, 55, 62, 70, 78])


def plumes(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """One plume a strip: narrow at the spine, swelling, with a full round head."""
    points = strips.points(*plume_profile(strips.width, strips.length))
    return [[Outline("plume", one, _NODES)] for one in points]


def plume_profile(width: Numbers, length: Numbers) -> tuple[Numbers, Numbers]:
    """Across and up (0..1) along the outline of a plume in its strip; shapes (m, 79)."""
    width, length = np.maximum(width, 1e-3)[:, None], np.maximum(length, 1e-3)[:, None]
    cap = np.clip(0.72 * width / length, 0.16, 0.75)
    hair = np.minimum(_HAIR_IN / width, 0.2)
    up = np.linspace(0, 1, _UP)[None, :] * (1 - cap)
    swell = 0.22 * (1 - np.clip(up / 0.55, 0, 1)) ** 2
    side = 0.5 - hair - swell
    shoulder = side[:, -1:]
    a = np.linspace(0, np.pi, 33)[None, 1:-1]
    over = np.sign(np.cos(a)) * np.abs(np.cos(a)) ** (2 / _ROUND) * shoulder
    rise = 1 - cap + cap * np.abs(np.sin(a)) ** (2 / _ROUND)
    across = 0.5 + np.concatenate((-side, -over, side[:, ::-1]), axis=1)
    return across, np.concatenate((up, rise, up[:, ::-1]), axis=1) * (1 - 0.012 / length)


def curled_teardrop(tail: Arc, needs: Needs) -> Motif:
    """The tail's line carried on into the heart of its curl, swelling to a round head; another in it."""
    head = min(0.27 * tail.radius, 0.6 * needs.room)
    if head < needs.smallest:
        return bud(tail, needs)
    axis = curl_axis(tail, 1.5, 0.95)
    width = head * np.linspace(0, 1, len(axis)) ** 0.85
    whole = tapered(axis, width)
    outlines = [Outline.of("teardrop", whole, 10)]
    if head > 0.2 * needs.room:
        outlines.append(Outline.of("teardrop", nested(axis, width), 10, within=True))
    return Motif(tuple(outlines), whole)


def curl_axis(tail: Arc, turn: float, reach: float) -> Numbers:
    """A spiral that carries a tail on from its tip into the heart of its circle; shape (60, 2).

    turn: radians it turns about the centre; reach: share of the radius by which it comes inwards.
    """
    t = np.linspace(0, 1, 60)
    angle = tail.begin + tail.sweep + (turn if tail.sweep > 0 else -turn) * t
    radius = tail.radius * (1 - reach * t**1.12)
    return np.asarray(
        np.array(tail.centre) + radius[:, None] * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    )


def bud(tail: Arc, needs: Needs) -> Motif:
    """At the tip of a curl too small to hold a teardrop: one that hangs on from its end."""
    x, y = tail.end
    heading = tail.heading(1)
    way = np.array([np.cos(heading), np.sin(heading)])
    t = np.linspace(0, 1, 30)
    axis = np.array([x, y]) + 2.4 * needs.smallest * t[:, None] * way
    whole = tapered(axis, needs.smallest * t)
    return Motif((Outline.of("teardrop", whole),), whole)


def nested(axis: Numbers, width: Numbers) -> Numbers:
    """A smaller drop inside another, from the same point."""
    return tapered(axis, width * np.linspace(0.15, 0.55, len(axis)))


def crook_teardrop(axis: Numbers, width: Numbers, needs: Needs) -> Motif | None:
    """A teardrop that fills the wedge between neighbouring curls."""
    if width[-1] < needs.smallest / 2:
        return None
    whole = tapered(axis, width)
    outlines = (Outline.of("teardrop", whole), Outline.of("teardrop", nested(axis, width), within=True))
    return Motif(outlines if width[-1] > 0.3 * needs.room else outlines[:1], whole)


def heart_teardrop(base: Point, centre: Point, needs: Needs) -> Motif | None:
    """A straight teardrop from the spine to the middle of its circle, another nested in it."""
    reach = hypot(centre[0] - base[0], centre[1] - base[1])
    head = min(0.3 * reach, 0.7 * needs.room)
    t = np.linspace(0, 1, 50)
    axis = np.array(base) + t[:, None] * (np.array(centre) - np.array(base))
    width = head * t**0.9
    whole = tapered(axis, width)
    return Motif(
        (Outline.of("teardrop", whole, 10), Outline.of("teardrop", nested(axis, width), 10, within=True)),
        whole,
    )


def parting_teardrops(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """Two nested teardrops where the flow parts."""
    across, up = plume_profile(strips.width, strips.length)
    outer = strips.points(across, up)
    inner = strips.points(0.5 + (across - 0.5) * (0.2 + 0.35 * up), up * 0.78)
    return [
        [Outline("teardrop", one, _NODES), Outline("teardrop", other, _NODES, within=True)]
        for one, other in zip(outer, inner, strict=True)
    ]


def small_drop(hole: Hole, needs: Needs, kind: str = "teardrop") -> list[Outline]:
    """A drop hung into a hole."""
    if hole.radius < needs.smallest / 2:
        return []
    return [drop(hole.nearest, hole.centre, hole.radius, kind)]


STYLE = Style(
    lean=Lean(radians(55), radians(8)),
    width=0.5,
    shortest=0.3,
    strips=plumes,
    tip=curled_teardrop,
    crook=crook_teardrop,
    crook_radius=0.4,
    parting=parting_teardrops,
    heart=heart_teardrop,
    drop=small_drop,
    bent=Bent("teardrop", pointed=False),
)
FEATHERS = FillRecord(
    kind="feathers",
    listed="feathers",
    spoken="feathers",
    by_hand="Each plume begins and ends at the spine: up one side, round its head, and down the other.",
    needs=NeedRange(
        least_room=0.5,
        comfortable_room=1.0,
        most_room=1.75,
        longest_ratio=2.5,
        longest_most=4.0,
        curl_share=0.75,
        smallest_feature=0.125,
    ),
    thread=ThreadFigures(area=1.55, spine=11.56, feature=-0.69),
    style=STYLE,
)
