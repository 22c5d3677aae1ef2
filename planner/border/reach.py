"""Reach: the farthest any point of the border lies from a spine, so the longest plume needed (inches).

``measure`` takes a placed layout and quarters cells where it may be worst. What the solver needs of thousands that
are not placed yet is in ``planner.border.estimates``.
"""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import dataclass, replace
from typing import Literal, get_args

from planner.border.band import next_side, previous_side
from planner.border.corners.styles import CORNER_STYLES
from planner.border.farthest import Box, farthest
from planner.border.layout import Layout, corner_arc, mirror, pieces_as_measured
from planner.border.meetings import MEETINGS
from planner.border.spine import Piece
from planner.geometry.curves import Arc, Motion, Point, Track
from planner.plan import SIDES, SideName

SEAM_SLIVER_IN = 1 / 32  # left clear along the seam ditch so that no stitch falls into it
_BESIDE = 8  # curves of a run that stand near its corner, and more
_GLANCE_IN = 24.0  # of a run: enough curls to see whether they reach much too far


Zone = Literal["run", "corner", "middle"]


@dataclass(frozen=True, slots=True)
class Reach:
    """Largest distances to a spine (inches): along the runs, in the corners, in the middles, and where."""

    run: float
    corner: float
    middle: float
    worst_at: Point

    @property
    def worst(self) -> float:
        """The farthest of the three zones, inches."""
        return max(self.run, self.corner, self.middle)


def measure(layout: Layout) -> Reach:
    """Reach of a layout, each side as she measured it, to a five hundredth of an inch."""
    return _measured(layout, *_seen_from(layout))


def keeps_within(layout: Layout, run: float, ends: float) -> bool:
    """Whether the runs reach no farther than ``run``, corners and middles no farther than ``ends`` (inches): known
    long before the reach itself, where that is far less."""
    curves, zones = _seen_from(layout)
    return (
        _worst(curves, zones, {"run"}, run)[0] <= run
        and _worst(curves, zones, {"corner", "middle"}, ends)[0] <= ends
    )


def of_runs(layout: Layout) -> dict[SideName, float]:
    """How far the run of each side reaches (inches), of those that ``measure`` looks at."""
    seen = zip(_unlike(layout), *_seen_from(layout), strict=True)
    return {
        side: farthest([(curves, [box for zone, box in zones if zone == "run"])])[0]
        for side, curves, zones in seen
    }


def measured_within(layout: Layout, longest: float) -> Reach | None:
    """The same; None, at a glance, where the beginning of a run alone reaches farther than ``longest``."""
    curves, zones = _seen_from(layout)
    u0, h0, u1, h1 = next(box for zone, box in zones[0] if zone == "run")
    if farthest([(curves[0], [(u0, h0, min(u1, u0 + _GLANCE_IN), h1)])])[0] > longest:
        return None
    return _measured(layout, curves, zones)


def _seen_from(layout: Layout) -> tuple[list[list[Track]], list[list[tuple[Zone, Box]]]]:
    """What is measured along each side: the curves about it, and the boxes of each zone."""
    sides, pieces = _unlike(layout), pieces_as_measured(layout)
    return [list(_around(layout, pieces, side)) for side in sides], [
        list(_zones(layout, side)) for side in sides
    ]


def _measured(layout: Layout, curves: list[list[Track]], zones: list[list[tuple[Zone, Box]]]) -> Reach:
    run, corner, middle = (_worst(curves, zones, {zone}) for zone in get_args(Zone))
    _, view, at = max(run, corner, middle)
    return Reach(run[0], corner[0], middle[0], layout.quilt.motion(_unlike(layout)[view]).point(at))


def _worst(
    curves: list[list[Track]], zones: list[list[tuple[Zone, Box]]], wanted: Set[Zone], least: float = 0.0
) -> tuple[float, int, Point]:
    """The farthest point of some zones."""
    boxes = ([box for zone, box in some if zone in wanted] for some in zones)
    return farthest(list(zip(curves, boxes, strict=True)), least)


def _unlike(layout: Layout) -> tuple[SideName, ...]:
    """The sides to measure: top and left stand for all where both are like the sides that face them."""
    own = [(replace(layout.quilt.own[side], side="top"), layout.own[side]) for side in SIDES]
    return ("top", "left") if own[0] == own[2] and own[1] == own[3] else SIDES


def _around(layout: Layout, pieces: dict[SideName, list[Piece]], side: SideName) -> Iterator[Track]:
    """The spine of a side as measured, and of the sides beside it near its corners, in its band coordinates."""
    before, after = previous_side(side), next_side(side)
    own, behind = _curls(pieces[side]), _curls(pieces[before])
    yield corner_arc(layout, pieces, side)
    yield from own
    if layout.mirrored:
        yield from (curve.moved(mirror(layout.quilt.own[side])) for curve in own)
        yield from (curve.moved(Motion(0, 1, 1, 0, 0, 0)) for curve in behind[:_BESIDE])
        return
    back, onward = (
        Motion(0, -1, 1, 0, 0, layout.quilt.own[before].span),
        Motion(0, 1, -1, 0, layout.quilt.own[side].span, 0),
    )
    yield from (curve.moved(back) for curve in behind[-_BESIDE:])
    yield from (
        c.moved(onward) for c in (corner_arc(layout, pieces, after), *_curls(pieces[after])[:_BESIDE])
    )


def _curls(pieces: list[Piece]) -> list[Track]:
    """A side's spine, each stem with its tail as one arc from its joint to its tip."""
    found: list[Track] = []
    for piece in pieces:
        stem, tail = found[-1] if found else None, piece.curve
        if (
            piece.part == "tail"
            and isinstance(stem, Arc)
            and isinstance(tail, Arc)
            and stem.centre == tail.centre
        ):
            found[-1] = replace(stem, sweep=stem.sweep + tail.sweep)
        else:
            found.append(piece.curve)
    return found


def _zones(layout: Layout, side: SideName) -> Iterator[tuple[Zone, Box]]:
    """Boxes that cover a side's first corner, its run and its middle, in its band coordinates."""
    own, chain, before = layout.quilt.own, layout.own[side], previous_side(side)
    band, near, behind = own[side], own[before], layout.own[before].circles
    low, high, seam = -band.room, band.edge - SEAM_SLIVER_IN, near.edge - SEAM_SLIVER_IN
    strict = CORNER_STYLES[layout.plan.corner].strict
    alike = strict and not layout.choice.drifts
    n = 0 if strict else 1  # where the first circle stands higher than its row, it belongs to the corner
    first, last = chain.circles[n].centre[0], chain.circles[-1 - n].centre[0]
    arrives = behind[0].centre[0] if layout.mirrored else near.span - behind[-1 - n].centre[0]
    yield "corner", (-near.room, low, seam, arrives)
    yield "corner", (seam, low, first, high)
    if layout.mirrored and layout.choice.meeting and not MEETINGS[layout.choice.meeting].woven:
        yield "middle", (last, low, band.span / 2, high)
    # every two steps of a strict run are alike
    yield "run", (first, low, min(last, first + 2 * chain.step) if alike else last, high)
