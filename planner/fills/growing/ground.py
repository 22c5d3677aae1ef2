"""A pocket before it is filled: the spine round it, the edges of the border, where flows meet or part. Inches."""

from __future__ import annotations

from dataclasses import dataclass, replace

from planner.fills.growing.contour import Stretch
from planner.fills.growing.flow import HAIR_IN, BorderEdge
from planner.geometry.arrays import SAME_IN
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

    def within(self, off: float) -> Ground:
        """The same with its edges so far further in, and the corners that lie on them.

        A lattice is no edge of the border: it stands where it did, a hair beyond its plane.
        """

        def beyond(point: Point, plane: tuple[float, float, float]) -> float:
            u, v, far = plane
            return abs(u * point[0] + v * point[1] - far)

        planes = {
            plane
            for edge in self.edges
            for plane in edge.planes
            if not any(abs(beyond(corner, plane) - HAIR_IN) < SAME_IN for corner in self.rim)
        }
        rim = []
        for corner in self.rim:
            on = [plane for plane in planes if beyond(corner, plane) < SAME_IN]
            rim.append((corner[0] - off * sum(p[0] for p in on), corner[1] - off * sum(p[1] for p in on)))
        edges = tuple(
            BorderEdge(tuple((u, v, far - off * ((u, v, far) in planes)) for u, v, far in edge.planes))
            for edge in self.edges
        )
        return replace(self, edges=edges, rim=tuple(rim))
