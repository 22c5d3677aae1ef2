"""Feathers: plumes that lean forward, a curled teardrop at every tip, teardrops in the crooks and corners."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, radians, sqrt

import numpy as np

from planner.fills.growing.bent import Bent
from planner.fills.growing.flow import Lean
from planner.fills.growing.outline import Outline, tapered
from planner.fills.growing.rows import rows
from planner.fills.growing.standing import ROUNDEST, Hole, drop
from planner.fills.growing.style import FlowStrips, Motif, Needs, Style
from planner.fills.record import FillRecord, ThreadFigures
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Arc, Point
from planner.geometry.polylines import even
from planner.kinds import NeedRange


@dataclass(frozen=True, slots=True)
class _Feather:
    """The proportions of plumes and teardrops: shares and exponents, inches where a name says so.

    Common practice, no source.
    """

    hair_in: float = 0.012  # Kept off the line half way to its neighbour, so that two threads do not touch.
    most_hair: float = 0.2  # Of a strip's width: a narrow plume gives up no more, or it would close.
    least_strip_in: float = 1e-3  # A strip counts as no less, since its width and length divide.
    cap: float = 0.72  # Height of the head in widths: a little more than half, so that it looks full.
    least_cap: float = 0.16  # Of the length: a long plume still shows a head, not a flat end.
    most_cap: float = 0.75  # Of the length: a short plume still has a side that rises from the spine.
    roundness: float = 2.05  # Exponent of the head: 2 is an ellipse, and a little more is fuller.
    pinch: float = 0.22  # Of the width, off each side at the spine: plumes are narrow where they begin.
    pinched: float = 0.55  # Of the rise, by which a plume is at its full width.
    curl_head: float = 0.27  # Of a tail's radius: a teardrop so wide still leaves air inside its curl.
    most_curl_head: float = 0.6  # Of the room: a wide curl's teardrop stays of a size with the plumes.
    curl_turn: float = 1.1  # Radians by which it carries the tail on: less is a stub, more winds over itself.
    curl_reach: float = 0.95  # Of the radius: its head lies on the heart of the curl, not past it.
    curl_inwards: float = 1.12  # Exponent: over 1 a tail goes on as a circle and only then turns inwards.
    curl_swell: float = 0.85  # Exponent of its width: under 1 it swells early, so that it has a body.
    curl_varies: float = 0.08  # Of its turn, more or less in variants: seen, and still the same motif.
    reach_varies: float = 0.02  # Of its reach: the head keeps about the heart of its curl.
    head_varies: float = 0.1  # Of its width, likewise.
    curl_nested: float = 0.2  # Of the room: in a narrower head the second line would fill it with thread.
    bud: float = 2.4  # Length in half widths: plump, since so small a drop would else look like a tick.
    nested_tail: float = 0.15  # Of the outer width where a nested drop begins: the lines part at once.
    nested_head: float = 0.55  # Of the outer width at its head: about as much air outside it as within.
    crook_plump: float = 0.45  # Half its width of the way to its head: a crook's rounder drop is a ball.
    crook_nested: float = 0.2  # Of the room: in a crook's narrower drop the second line would crowd.
    heart_head: float = 0.3  # Of its reach: a straight drop may be plumper than a curled one.
    most_heart_head: float = 0.7  # Of the room: in a wide circle it stays of a size with the plumes.
    heart_swell: float = 0.9  # Exponent of its width: nearly a cone, since nothing bends it.
    parting_tail: float = 0.2  # Of the outer width where the inner plume begins: it leaves the same point.
    parting_widens: float = 0.35  # What the inner gains on the way up, so that it ends in a round head too.
    parting_up: float = 0.78  # Of the outer's height: as much air over the inner as beside it.
    grain: float = 0.86  # Of the root of the room: plumes sized for as much leave no open ground beside them.
    on_curl: float = 0.85  # Of a curl's radius: or its plumes would stand about it like horns.
    widths: float = 5.0  # Of the smallest feature: so that a short plume is still as wide as that.


_FEATHER = _Feather()
_UP = 24  # points up one side of a plume
_NODES = np.array([0, 8, 16, 23, 29, 35, 39, 43, 49, 55, 62, 70, 78])


def plumes(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """Plumes with full round heads, side by side on shared lines, and a second rank over long ones."""
    return rows(strips, needs.room)


def plume_profile(width: Numbers, length: Numbers) -> tuple[Numbers, Numbers]:
    """Across and up (0..1) along the outline of a plume in its strip; shapes (m, 79)."""
    width, length = (np.maximum(one, _FEATHER.least_strip_in)[:, None] for one in (width, length))
    cap = np.clip(_FEATHER.cap * width / length, _FEATHER.least_cap, _FEATHER.most_cap)
    hair = np.minimum(_FEATHER.hair_in / width, _FEATHER.most_hair)
    up = np.linspace(0, 1, _UP)[None, :] * (1 - cap)
    swell = _FEATHER.pinch * (1 - np.clip(up / _FEATHER.pinched, 0, 1)) ** 2
    side = 0.5 - hair - swell
    shoulder = side[:, -1:]
    a = np.linspace(0, np.pi, 33)[None, 1:-1]
    over = np.sign(np.cos(a)) * np.abs(np.cos(a)) ** (2 / _FEATHER.roundness) * shoulder
    rise = 1 - cap + cap * np.abs(np.sin(a)) ** (2 / _FEATHER.roundness)
    across = 0.5 + np.concatenate((-side, -over, side[:, ::-1]), axis=1)
    return across, np.concatenate((up, rise, up[:, ::-1]), axis=1) * (1 - _FEATHER.hair_in / length)


def curled_teardrop(tail: Arc, needs: Needs) -> Motif:
    """The tail's line carried on into the heart of its curl, swelling to a round head; another in it."""
    head = min(_FEATHER.curl_head * tail.radius, _FEATHER.most_curl_head * needs.room)
    head = needs.about(head, _FEATHER.head_varies, "head")
    if head < needs.smallest:
        return bud(tail, needs)
    axis = curl_axis(tail, _FEATHER.curl_turn, _FEATHER.curl_reach, needs)
    width = head * np.linspace(0, 1, len(axis)) ** _FEATHER.curl_swell
    whole = tapered(axis, width)
    outlines = [Outline.of("teardrop", whole, 10)]
    if head > _FEATHER.curl_nested * needs.room:
        outlines.append(Outline.of("teardrop", nested(axis, width), 10, within=True))
    return Motif(tuple(outlines), whole)


def curl_axis(tail: Arc, turn: float, reach: float, needs: Needs) -> Numbers:
    """A spiral that carries a tail on from its tip into the heart of its circle; shape (60, 2).

    turn: radians it turns about the centre; reach: share of the radius by which it comes inwards. Both are a little
    different in each variant of a pocket.
    """
    turn = needs.about(turn, _FEATHER.curl_varies, "turn")
    reach = needs.about(reach, _FEATHER.reach_varies, "reach")
    t = np.linspace(0, 1, 60)
    angle = tail.begin + tail.sweep + (turn if tail.sweep > 0 else -turn) * t
    radius = tail.radius * (1 - reach * t**_FEATHER.curl_inwards)
    return np.asarray(
        np.array(tail.centre) + radius[:, None] * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    )


def bud(tail: Arc, needs: Needs) -> Motif:
    """At the tip of a curl too small to hold a teardrop: one that hangs on from its end."""
    x, y = tail.end
    heading = tail.heading(1)
    way = np.array([np.cos(heading), np.sin(heading)])
    t = np.linspace(0, 1, 30)
    axis = np.array([x, y]) + _FEATHER.bud * needs.smallest * t[:, None] * way
    whole = tapered(axis, needs.smallest * t)
    return Motif((Outline.of("teardrop", whole),), whole)


def nested(axis: Numbers, width: Numbers) -> Numbers:
    """A smaller drop inside another, from the same point."""
    return tapered(axis, width * np.linspace(_FEATHER.nested_tail, _FEATHER.nested_head, len(axis)))


def crook_teardrop(axis: Numbers, width: Numbers, needs: Needs) -> Motif | None:
    """A teardrop that fills the wedge between neighbouring curls."""
    axis, width = _slim(axis, width)
    if width[-1] < needs.smallest / 2:
        return None
    whole = tapered(axis, width)
    outlines = (Outline.of("teardrop", whole), Outline.of("teardrop", nested(axis, width), within=True))
    return Motif(outlines if width[-1] > _FEATHER.crook_nested * needs.room else outlines[:1], whole)


def _slim(axis: Numbers, width: Numbers) -> tuple[Numbers, Numbers]:
    """A drop's axis and half widths, slimmer and no shorter where it would be a ball: its head goes on as far ahead
    as it is narrower, so that it stays within the old one."""
    away, ahead = float(np.hypot(*(axis[-1] - axis[0]))), axis[-1] - axis[-2]
    most = _FEATHER.crook_plump * (away + width[-1]) / (1 + _FEATHER.crook_plump)
    if width[-1] <= most:
        return axis, width
    on = axis[-1] + ahead / np.hypot(*ahead) * (width[-1] - most)
    return even(np.concatenate((axis, [on])), count=len(axis)), width * (most / width[-1])


def heart_teardrop(base: Point, centre: Point, needs: Needs) -> Motif | None:
    """A straight teardrop from the spine to the middle of its circle, another nested in it."""
    reach = hypot(centre[0] - base[0], centre[1] - base[1])
    head = min(_FEATHER.heart_head * reach, _FEATHER.most_heart_head * needs.room)
    t = np.linspace(0, 1, 50)
    axis = np.array(base) + t[:, None] * (np.array(centre) - np.array(base))
    width = head * t**_FEATHER.heart_swell
    whole = tapered(axis, width)
    return Motif(
        (Outline.of("teardrop", whole, 10), Outline.of("teardrop", nested(axis, width), 10, within=True)),
        whole,
    )


def parting_teardrops(strips: FlowStrips, needs: Needs) -> list[list[Outline]]:
    """Two nested teardrops where the flow parts."""
    across, up = plume_profile(strips.width, strips.length)
    outer = strips.points(across, up)
    narrower = _FEATHER.parting_tail + _FEATHER.parting_widens * up
    inner = strips.points(0.5 + (across - 0.5) * narrower, up * _FEATHER.parting_up)
    return [
        [Outline("teardrop", one, _NODES), Outline("teardrop", other, _NODES, within=True)]
        for one, other in zip(outer, inner, strict=True)
    ]


def small_drop(hole: Hole, needs: Needs, kind: str = "teardrop") -> list[Outline]:
    """A drop hung into a hole."""
    away = hypot(hole.centre[0] - hole.nearest[0], hole.centre[1] - hole.nearest[1])
    if min(hole.radius, ROUNDEST * away) < needs.smallest / 2:
        return []
    return [drop(hole.nearest, hole.centre, hole.radius, kind)]


def _grain(room: float, radius: float, smallest: float) -> float:
    """Where there is more room there are more plumes, not only larger ones; small curls have small ones."""
    fine = min(_FEATHER.grain * sqrt(room), _FEATHER.on_curl * radius)
    return min(room, max(fine, _FEATHER.widths * smallest))


STYLE = Style(
    lean=Lean(radians(55), radians(8)),
    width=0.42,
    shortest=0.3,
    strips=plumes,
    covers=True,
    sweeps=True,
    jump=2.0,
    tip=curled_teardrop,
    crook=crook_teardrop,
    crook_radius=0.32,
    parting=parting_teardrops,
    heart=heart_teardrop,
    drop=small_drop,
    bent=Bent("teardrop", pointed=False, plump=0.24, neck=0.36),
)
FEATHERS = FillRecord(
    kind="feathers",
    parts=("main", "teardrops"),
    listed="feathers",
    spoken="feathers",
    by_hand="Up the line that a plume shares with the one before, round its head, and down to the spine.",
    needs=NeedRange(
        least_room=0.5,
        comfortable_room=1.0,
        most_room=1.75,
        longest_ratio=2.5,
        longest_most=4.0,
        curl_share=0.75,
        smallest_feature=0.125,
    ),
    thread=ThreadFigures(area=1.35, spine=9.31, feature=1.76),
    style=STYLE,
    one="plume",
    many="plumes",
    grain=_grain,
)
