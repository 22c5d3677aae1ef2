"""The judge of a fill: what crosses, what is too thin, what begins in the air, how large the largest hole is.

It knows shapely, Pillow and scipy, and of the fill only its outlines. Lengths are inches.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from scipy.ndimage import distance_transform_edt, maximum_filter

from planner.border.layout import Layout
from planner.border.room import smallest_feature
from planner.fills.shape import FillOfLayout, Shape
from planner.geometry.curves import Bezier, Motion

CHORD_IN = 1e-4  # how far the judge's polylines stray from the curves
# What leaves a line as a tangent meets it for longer: a lattice's frame, a plume beside whose line it shares,
# a pebble, a meander that begins on a prickle.
TANGENTS_IN = {"hatch": 0.02, "plume": 0.01, "pebble": 0.02, "meander": 0.01}
MEETING_IN = 2e-3  # shapes meet where one begins or ends on another: a crossing farther off than this counts
GRAIN_IN = 0.02  # of the raster on which holes are measured
MOST_PLACES = 60  # so many of the largest holes on the raster are measured exactly
SLIVER_IN = 0.04  # the seam ditch, which the fill leaves free

Fault = tuple[Any, ...]


@dataclass(frozen=True)
class Judged:
    """The faults of a fill, each with where it is, and the diameter and place of its largest hole."""

    spine_crossings: list[Fault]
    crossings: list[Fault]
    outside: list[Fault]
    thin: list[Fault]
    in_the_air: list[Fault]
    hole: float
    hole_at: tuple[float, float]


class Drawing:
    """A fill in quilt coordinates: its shapes, and an outline for each."""

    def __init__(self, layout: Layout, fill: FillOfLayout) -> None:
        self.layout = layout
        cells = [[_points(s) for s in cell.shapes] for cell in fill.cells]
        ends = [
            [_short_of_ends(p, s.kind) for p, s in zip(points, cell.shapes, strict=True)]
            for points, cell in zip(cells, fill.cells, strict=True)
        ]
        bodies = [
            [is_body(s, p) for p, s in zip(points, cell.shapes, strict=True)]
            for points, cell in zip(cells, fill.cells, strict=True)
        ]
        cloths = [
            [_cloth(points, cell.shapes, i) for i in range(len(points))]
            for points, cell in zip(cells, fill.cells, strict=True)
        ]
        self.cloths: list[NDArray[np.float64]] = []
        self.shapes: list[tuple[Shape, str, int]] = []  # the shape in its cell, its pocket, which cell
        self.points: list[NDArray[np.float64]] = []
        self.bodies: list[bool] = []
        between: list[NDArray[np.float64]] = []
        for copy in fill.copies:
            self.shapes += [(shape, copy.pocket, copy.cell) for shape in fill.cells[copy.cell].shapes]
            self.points += [_moved(points, copy.motion) for points in cells[copy.cell]]
            between += [_moved(points, copy.motion) for points in ends[copy.cell]]
            self.bodies += bodies[copy.cell]
            self.cloths += [_moved(points, copy.motion) for points in cloths[copy.cell]]
        self.lines = np.array([shapely.LineString(p) for p in self.points], dtype=object)
        self.between = np.array([shapely.LineString(p) for p in between], dtype=object)
        self.spines = np.array([shapely.LineString(s.piece.curve.points(1e-5)) for s in layout.spines])

    def names(self, i: int) -> tuple[str, str]:
        return self.shapes[i][1], self.shapes[i][0].kind


def _points(shape: Shape) -> NDArray[np.float64]:
    """Points along an outline, no chord farther than CHORD_IN from it: h²/8 of the second derivative at most."""
    if not all(isinstance(c, Bezier) for c in shape.curves):
        return np.array(shape.points(CHORD_IN))
    p = np.array([(c.p0, c.p1, c.p2, c.p3) for c in shape.curves if isinstance(c, Bezier)])
    second = 6 * np.linalg.norm(np.diff(p, n=2, axis=1), axis=2).max()
    t = np.linspace(0, 1, int(np.ceil(np.sqrt(second / (8 * CHORD_IN)))) + 2)[:-1, None]
    share = np.concatenate(((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t * t, t**3), axis=1)
    return np.concatenate((np.einsum("tk,ckx->ctx", share, p).reshape(-1, 2), p[-1:, 3]))


def _short_of_ends(points: NDArray[np.float64], kind: str) -> NDArray[np.float64]:
    """The outline without the bits in which it meets others."""
    bit = TANGENTS_IN.get(kind, MEETING_IN)
    way = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    low, high = bit, way[-1] - bit
    ends = np.stack([np.interp((low, high), way, points[:, k]) for k in (0, 1)], axis=1)
    return np.concatenate((ends[:1], points[(way > low) & (way < high)], ends[1:]))


def is_body(shape: Shape, points: NDArray[np.float64]) -> bool:
    """Whether it encloses cloth, with the bit of spine on which it stands, or the line of the plume beside it.

    No stem, vein, scale, echo line or meander does.
    """
    (x, y), (u, v) = shape.start, shape.end
    length = np.hypot(*np.diff(points, axis=0).T).sum()
    if shape.kind == "plume":
        return True
    return shape.kind not in ("stem", "echo", "echo_line", "meander", "hatch") and bool(
        hypot(u - x, v - y) < 0.4 * length
    )


def _cloth(lines: Sequence[NDArray[np.float64]], shapes: Sequence[Shape], i: int) -> NDArray[np.float64]:
    """The outline of the cloth that a shape encloses: a plume shares a line with the one from which it leaves."""
    if shapes[i].kind == "plume":
        for j in range(i - 1, max(i - 12, -1), -1):
            if shapes[j].kind == "plume":
                away = np.hypot(*(lines[j] - lines[i][0]).T)
                if away.min() < 2 * CHORD_IN:
                    return np.concatenate((lines[i], lines[j][int(np.argmin(away)) :][::-1]))
    return lines[i]


def _moved(points: NDArray[np.float64], m: Motion) -> NDArray[np.float64]:
    return np.asarray(points @ np.array([[m.a, m.b], [m.c, m.d]]) + (m.e, m.f))


def judge(layout: Layout, fill: FillOfLayout) -> Judged:
    """Everything that is wrong with a fill; holes are looked for along the top border, corners included."""
    d = Drawing(layout, fill)
    hole, at = largest_hole(d)
    return Judged(
        list(spine_crossings(d)),
        list(crossings(d)),
        list(outside(d)),
        list(thin(d, fill)),
        list(in_the_air(d)),
        hole,
        at,
    )


def spine_crossings(d: Drawing) -> Iterator[Fault]:
    for i, j in zip(*shapely.STRtree(d.spines).query(d.between, predicate="intersects"), strict=True):
        yield (*d.names(i), _where(d.between[i], d.spines[j]))


def crossings(d: Drawing) -> Iterator[Fault]:
    """Pairs of outlines that meet elsewhere than at their ends. A lattice is meant to cross itself."""
    for a, b in zip(*shapely.STRtree(d.between).query(d.between, predicate="intersects"), strict=True):
        if a < b and not d.names(a) == d.names(b) == (d.names(a)[0], "hatch"):
            yield (*d.names(a), *d.names(b), _where(d.between[a], d.between[b]))


def _where(one: Any, other: Any) -> tuple[float, float]:
    point = one.intersection(other).representative_point()
    return round(point.x, 2), round(point.y, 2)


def outside(d: Drawing) -> Iterator[Fault]:
    quilt, s = d.layout.quilt, d.layout.plan.binding_allowance_in
    border = d.layout.plan.border_in
    inner = shapely.box(border.left, border.top, quilt.width - border.right, quilt.height - border.bottom)
    ground = shapely.box(s, s, quilt.width - s, quilt.height - s).difference(inner)
    shapely.prepare(ground)
    for i in np.flatnonzero(~shapely.covers(ground, d.lines)).tolist():
        yield (*d.names(i), tuple(np.round(d.points[i][0], 2).tolist()))


def thin(d: Drawing, fill: FillOfLayout) -> Iterator[Fault]:
    """Closed shapes whose largest inscribed circle is narrower than the smallest feature, each cell once."""
    half = 0.495 * smallest_feature(d.layout.plan.fill)
    seen: set[int] = set()
    for copy in fill.copies:
        if copy.cell in seen:
            continue
        seen.add(copy.cell)
        shapes = fill.cells[copy.cell].shapes
        lines = [_points(shape) for shape in shapes]
        for i, (shape, points) in enumerate(zip(shapes, lines, strict=True)):
            if is_body(shape, points) and shapely.Polygon(_cloth(lines, shapes, i)).buffer(-half).is_empty:
                yield (copy.pocket, shape.kind, copy.motion.point(shape.start))


def in_the_air(d: Drawing) -> Iterator[Fault]:
    """Shapes that begin neither on a spine nor on a shape stitched before them.

    Lines of a seam strip go round the quilt by themselves: somewhere each of them begins. An echo line begins where
    that of any neighbour ends, or at a step out to it.
    """
    goes_round = np.array([d.names(i)[1] == "echo_line" for i in range(len(d.points))], dtype=np.bool_)
    starts = np.asarray(shapely.points(np.array([p[0] for p in d.points])))
    near = np.zeros(len(d.points), dtype=np.bool_)
    for geometries, earlier in ((d.spines, False), (d.lines, True)):
        i, j = shapely.STRtree(geometries).query(starts, predicate="dwithin", distance=2 * CHORD_IN)
        near[i[(j < i) | (not earlier) | (goes_round[i] & (j != i))]] = True
    for i in np.flatnonzero(~near).tolist():
        if d.names(i)[1] != "strip":
            yield (*d.names(i), tuple(np.round(d.points[i][0], 2).tolist()))


def largest_hole(d: Drawing) -> tuple[float, tuple[float, float]]:
    """Diameter and centre of the largest circle along the top border that holds no stitch; bodies are full."""
    layout = d.layout
    s, deep = layout.plan.binding_allowance_in, layout.plan.border_in.top - SLIVER_IN
    size = (int((layout.quilt.width - 2 * s) / GRAIN_IN), int((deep - s) / GRAIN_IN))
    image = Image.new("1", size, 0)
    draw = ImageDraw.Draw(image)
    everything = list(zip(d.cloths, d.bodies, strict=True))
    everything += [(np.array(line.coords), False) for line in d.spines]
    for points, body in everything:
        if points[:, 1].min() > deep + 0.5:
            continue
        flat = ((points - s) / GRAIN_IN).ravel().tolist()
        if body:
            draw.polygon(flat, fill=1, outline=1)
        else:
            draw.line(flat, fill=1)
    free = np.pad(~np.array(image), 1)
    # Below the top border the corners go on into the sides; there the raster ends, as if there were an edge.
    distance = distance_transform_edt(free)[1:-1, 1:-1] * GRAIN_IN
    distance[distance < maximum_filter(distance, size=25)] = 0
    widest = np.argsort(-distance, axis=None)[:MOST_PLACES]
    places = np.stack(np.unravel_index(widest, distance.shape), axis=1)
    wall = shapely.box(s, s, s + size[0] * GRAIN_IN, s + size[1] * GRAIN_IN).exterior
    tree = shapely.STRtree([*d.lines, *d.spines, wall])
    return max(_exact(tree, s + (place[::-1] + 0.5) * GRAIN_IN) for place in places)


def _exact(tree: shapely.STRtree, centre: NDArray[np.float64]) -> tuple[float, tuple[float, float]]:
    """The largest circle about a place near the given one: its diameter and its centre, to a thousandth."""
    grid = np.stack(np.meshgrid(*[np.linspace(-1, 1, 5)] * 2), axis=-1).reshape(-1, 2)
    for step in (GRAIN_IN, GRAIN_IN / 3, GRAIN_IN / 9, GRAIN_IN / 27):
        tried = centre + step * grid
        (which, _), far = tree.query_nearest(shapely.points(tried), return_distance=True, all_matches=False)
        free = np.zeros(len(tried))
        free[which] = far
        centre = tried[int(np.argmax(free))]
    return 2 * float(free.max()), (round(float(centre[0]), 2), round(float(centre[1]), 2))
