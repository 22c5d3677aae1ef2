"""A pocket before it is filled: the spine round it, the edges of the border, where flows meet or part. Inches."""

from __future__ import annotations

from dataclasses import dataclass

from planner.fills.growing.contour import Stretch
from planner.fills.growing.flow import BorderEdge
from planner.geometry.curves import Point

Place = tuple[int, float]  # a stretch of the flank and a share of its length


@dataclass(frozen=True, slots=True)
class Ground:
    """One pocket before it is filled.

    flank: the spine round it, with some to spare at both ends; the pocket itself runs from begin to end.
    rim: corner points of the border between the end's flow line and the begin's; mirror: u of the line in
    which the pocket faces its own image, if it does; partings: where the flow parts both ways and a large
    drop stands; heart: where a drop reaches into the middle of the circle; still: where the flow stands
    upright.
    """

    flank: tuple[Stretch, ...]
    begin: Place
    end: Place
    edges: tuple[BorderEdge, ...]
    rim: tuple[Point, ...]
    mirror: float | None = None
    partings: tuple[Place, ...] = ()
    heart: Place | None = None
    still: tuple[Place, ...] = ()
