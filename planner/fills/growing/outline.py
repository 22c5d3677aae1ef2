"""Outlines: from many points along a shape's edge to the few smooth curves that are stitched and drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import islice

import numpy as np
import shapely

from planner.geometry.arrays import CHORD_IN, MEETING_IN, NOUGHT, SAME_IN, Indices, Mask, Numbers, square
from planner.geometry.curves import Bezier, Motion
from planner.geometry.polylines import Polylines, even, tangents

_STEP_IN = 1 / 28
CLOSE = 16  # points along each curve of what is nested: it may leave its shape at a small angle
_CRUMBS = 0.1  # of the square of the smallest feature
_NEARLY = 0.99  # of it: as wide as what is not measured may be
_MIDDLES = np.array([0.2, 0.3, 0.4])  # along one side of a shape, where it is likely to be broad
_EVEN = 161  # points along an outline
OPEN = frozenset(("stem", "fold", "tendril"))  # kinds that enclose no cloth


@dataclass(frozen=True, slots=True)
class InRow:
    """How a plume stands in its row.

    name: the same for no other of its pocket; seed: where it comes in the order of the flow lines; on: the
    plumes on whose heads it stands: it goes with them. before: the one whose line it shares, if any, and
    where that one stands it is stitched from its node number ``first`` on.
    """

    name: tuple[int, float]
    seed: float
    on: tuple[tuple[int, float], ...] = ()
    before: tuple[int, float] | None = None
    first: int = 0


@dataclass(frozen=True)
class Outline:
    """A shape to be: its kind, many points along it (n, 2), and which of them its curves pass through.

    within: it is nested in the shape before it; corners: those nodes at which it turns sharply; row: how a
    plume stands among others.
    """

    kind: str
    points: Numbers
    nodes: Indices
    within: bool = False
    corners: tuple[int, ...] = ()
    row: InRow | None = None

    @staticmethod
    def of(kind: str, points: Numbers, curves: int = 8, within: bool = False, count: int = _EVEN) -> Outline:
        """An outline drawn with so many curves, the shorter the harder it bends."""
        points = even(points, count=count)
        ahead = points[1:] - points[:-1]
        heading = np.arctan2(ahead[:, 1], ahead[:, 0])
        turn = np.exp(1j * (heading[1:] - heading[:-1]))
        measure = np.zeros(count)
        measure[2:] = np.abs(np.arctan2(turn.imag, turn.real))
        measure[1:] += 3.0 / count
        measure.cumsum(out=measure)
        nodes = np.interp(np.linspace(0, measure[-1], curves + 1), measure, np.arange(count)).round()
        return Outline(kind, points, nodes.astype(np.int64), within)


@dataclass(frozen=True, slots=True)
class Drawn:
    """Shapes as polylines, as fine as the thread is thick and finer; the cloth of each; which have none (m,)."""

    rough: Polylines
    fine: Polylines
    cloth: Polylines
    open_: Mask

    @staticmethod
    def of(outlines: Sequence[Outline]) -> Drawn:
        """Outlines as polylines that stray from them by a hair at most."""
        open_ = np.array([o.kind in OPEN for o in outlines], dtype=bool)
        curves = Curves.of(outlines)
        rough, fine = curves.rough(), curves.fine(CHORD_IN)
        if not any(o.row for o in outlines):
            return Drawn(rough, fine, rough, open_)
        return Drawn(rough, fine, Polylines.of([o.points for o in outlines]), open_)

    @staticmethod
    def joined(parts: Sequence[Drawn]) -> Drawn:
        """All of these."""
        open_ = np.concatenate((np.zeros(0, dtype=bool), *(part.open_ for part in parts)))
        rough, fine, cloth = (
            Polylines.joined(lines)
            for lines in ([p.rough for p in parts], [p.fine for p in parts], [p.cloth for p in parts])
        )
        return Drawn(rough, fine, cloth, open_)

    def chosen(self, which: Mask) -> Drawn:
        """Those for which ``which`` (m,) holds."""
        rough, fine, cloth = (lines.chosen(which) for lines in (self.rough, self.fine, self.cloth))
        return Drawn(rough, fine, cloth, self.open_[which])

    def moved(self, motion: Motion) -> Drawn:
        """All of them after a motion."""
        rough, fine, cloth = (lines.moved(motion) for lines in (self.rough, self.fine, self.cloth))
        return Drawn(rough, fine, cloth, self.open_)


def nested(outlines: Sequence[Outline]) -> Mask:
    """Which outlines are nested in others (m,)."""
    return np.array([one.within for one in outlines], dtype=bool)


@dataclass(frozen=True, slots=True)
class Curves:
    """The curves of outlines: ends and handles (n, 4, 2), and how many of them each outline has (m,)."""

    handles: Numbers
    counts: Indices

    @staticmethod
    def of(outlines: Sequence[Outline]) -> Curves:
        """The curves through the nodes of outlines."""
        return Curves(*_handles(outlines))

    def chosen(self, which: Mask) -> Curves:
        """Those of the outlines for which ``which`` (m,) holds."""
        return Curves(self.handles[which.repeat(self.counts)], self.counts[which])

    def points(self, a_curve: int) -> Polylines:
        """So many points on each curve."""
        points = _shares(a_curve) @ self.handles
        keep = np.ones(points.shape[:2], dtype=bool)
        keep[:, -1] = False  # where the next curve begins
        keep[self.counts.cumsum() - 1, -1] = True
        return Polylines(points[keep], self.counts * a_curve + 1)

    def rough(self) -> Polylines:
        """Points about 1/28 in apart on the longest curve of each outline, as many on each of its others."""
        if not len(self.counts):
            return Polylines.of([])
        reach = _lengths(np.diff(self.handles, axis=1)).sum(axis=1)
        longest = np.maximum.reduceat(reach, self.counts.cumsum() - self.counts)
        a_curve = np.minimum(np.maximum(longest / _STEP_IN, 5), 40).astype(np.int64) + 1
        return (
            self.points(int(a_curve[0])) if len(a_curve) == 1 else self._points(a_curve.repeat(self.counts))
        )

    def fine(self, chord: float) -> Polylines:
        """Points on each curve, no chord farther than ``chord`` from it: see Bezier.points."""
        bend = _lengths(np.diff(self.handles, n=2, axis=1)).max(axis=1)
        return self._points(np.maximum(np.ceil(np.sqrt(0.75 * bend / chord)), 1).astype(np.int64))

    def _points(self, steps: Indices) -> Polylines:
        """So many points on each curve (n,)."""
        sizes = steps.copy()
        sizes[self.counts.cumsum() - 1] += 1  # the end of an outline's last curve
        curve = np.arange(len(steps)).repeat(sizes)
        t = (np.arange(len(curve)) - (sizes.cumsum() - sizes)[curve]) / steps[curve]
        share = _blend(t)
        owner = np.arange(len(self.counts)).repeat(self.counts)
        whole = np.bincount(owner, sizes, len(self.counts)).astype(np.int64)
        return Polylines(np.einsum("nk,nkx->nx", share, self.handles.take(curve, axis=0)), whole)


@cache
def _shares(a_curve: int) -> Numbers:
    """Shares of its ends and handles of points along a curve, so many steps from end to end (a_curve + 1, 4)."""
    return _blend(np.arange(a_curve + 1) / a_curve)


def _blend(t: Numbers) -> Numbers:
    """How much ends and handles of a curve count at its parameters t (n,). Shape (n, 4)."""
    u = 1 - t
    return np.array((u**3, 3 * u**2 * t, 3 * u * t**2, t**3)).T


def _lengths(ways: Numbers) -> Numbers:
    """How long ways (..., 2) are."""
    return np.asarray(np.hypot(ways[..., 0], ways[..., 1]))


def drawn(outlines: Sequence[Outline], a_curve: int = 0) -> Polylines:
    """Points on the curves of outlines: so many a curve, or about 1/28 in apart on the longest of each."""
    curves = Curves.of(outlines)
    return curves.points(a_curve) if a_curve else curves.rough()


def flank_points(outlines: Sequence[Outline], step: float) -> tuple[Numbers, Numbers]:
    """Points on the curves of outlines, about so far apart, and unit vectors square to the curves there (n, 2)."""
    handles, _ = _handles(outlines)
    reach = np.linalg.norm(np.diff(handles, axis=1), axis=2).sum(axis=1)
    handles, reach = handles[reach > SAME_IN], reach[reach > SAME_IN]  # at a tip a curve may be a point
    counts = np.ceil(reach / step).astype(np.int64)
    curve = np.repeat(np.arange(len(counts)), counts)
    t = (np.arange(len(curve)) - (np.cumsum(counts) - counts)[curve] + 0.5) / counts[curve]
    u, ends = 1 - t, handles[curve]
    on = np.einsum("kn,nkx->nx", np.stack((u**3, 3 * u**2 * t, 3 * u * t**2, t**3)), ends)
    along = np.einsum("kn,nkx->nx", np.stack((u**2, 2 * u * t, t**2)), np.diff(ends, axis=1))
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    return on, np.stack((-along[:, 1], along[:, 0]), axis=1)


def _handles(outlines: Sequence[Outline]) -> tuple[Numbers, Indices]:
    """Ends and handles of the curves through the nodes, with the tangents the points have there.

    The handles are Hermite's: a third of the derivative with respect to the index, times the step. Shape
    (curves, 4, 2); and how many curves each outline has (m,).
    """
    lines = Polylines.of([o.points for o in outlines])
    counts = np.array([len(o.nodes) for o in outlines], dtype=np.int64)
    first, last = lines.first.repeat(counts), lines.last.repeat(counts)
    nodes = first + np.concatenate((np.zeros(0, dtype=np.int64), *(o.nodes for o in outlines)))
    before, after = np.maximum(nodes - 1, first), np.minimum(nodes + 1, last)
    corners = [low + n for o, low in zip(outlines, lines.first.tolist(), strict=True) for n in o.corners]
    ahead, behind = before, after
    if corners:
        turns = np.zeros(len(lines.points), dtype=bool)
        turns[corners] = True
        sharp = turns[nodes]
        ahead, behind = np.where(sharp, nodes, before), np.where(sharp, nodes, after)
    at_node, at_before, at_after = (lines.points.take(one, axis=0) for one in (nodes, before, after))
    on = (at_after - lines.points.take(ahead, axis=0)) / np.maximum(after - ahead, 1)[:, None]
    back = (lines.points.take(behind, axis=0) - at_before) / np.maximum(behind - before, 1)[:, None]
    one = (first[1:] == first[:-1]).nonzero()[0]
    other = one + 1
    step = (nodes[other] - nodes[one])[:, None] / 3
    handles = np.empty((len(one), 4, 2))
    handles[:, 0], handles[:, 3] = at_node[one], at_node[other]
    handles[:, 1] = handles[:, 0] + step * on[one]
    handles[:, 2] = handles[:, 3] - step * back[other]
    return handles, counts - 1


def curves_through(outlines: Sequence[Outline]) -> list[tuple[Bezier, ...]]:
    """The curves of each outline, as they are stitched."""
    handles, counts = _handles(outlines)
    points = iter([(x, y) for x, y in handles.reshape(-1, 2).tolist()])
    curves = map(Bezier, points, points, points, points)
    return [tuple(islice(curves, count)) for count in counts.tolist()]


def thinner(lines: Polylines, smallest: float) -> Mask:
    """Which of the drawn outlines enclose cloth, but hold no circle of the smallest diameter. Shape (n,).

    The largest circle in a shape has a radius of at least its area over its length (Bonnesen's inequality).
    """
    apart: Numbers = _lengths(lines.points[lines.last] - lines.points[lines.first])
    cloth = lines.polygons()
    around = shapely.length(cloth)
    # It comes back to where it began, but for the bit of spine on which it stands.
    thin = (apart < 0.4 * (around - apart)) & (shapely.area(cloth) < smallest / 2 * around)
    if thin.any():
        thin[thin] = ~_hold(cloth[thin], lines.chosen(thin), smallest / 2)
    if not thin.any():
        return thin
    cloth = cloth[thin]
    left = shapely.area(shapely.buffer(cloth, -smallest / 2, quad_segs=2))
    # A buffer strays from its distance by a hundredth and more: where it leaves crumbs, it is measured.
    crumbs = (left > 0) & (left < _CRUMBS * smallest**2)
    within = shapely.length(shapely.maximum_inscribed_circle(cloth[crumbs], tolerance=smallest / 250))
    left[crumbs] = within > _NEARLY * smallest / 2
    thin[thin] = left == 0
    return thin


def _hold(cloth: Numbers, lines: Polylines, radius: float) -> Mask:
    """Which shapes (m,) hold a circle of a radius at one of a few places between their sides. Shape (m,)."""
    on = (_MIDDLES * (lines.sizes[:, None] - 1)).astype(np.int64)
    middle = (lines.points[lines.first[:, None] + on] + lines.points[lines.last[:, None] - on]) / 2
    away = ~shapely.dwithin(shapely.boundary(cloth)[:, None], shapely.points(middle), radius)
    return np.asarray(
        (away & shapely.contains_xy(cloth[:, None], middle[..., 0], middle[..., 1])).any(axis=1)
    )


def crosses_host(curves: Curves, within: Mask, bare: Polylines) -> Mask:
    """Which nested outlines cross the shape before them. within: which are nested (m,); bare: the others, fine."""
    inner = curves.chosen(within).points(CLOSE).between_ends(MEETING_IN)
    around = bare.linestrings()[np.cumsum(~within)[within] - 1]
    return np.asarray(shapely.intersects(inner.linestrings(), around))


def across(axis: Numbers) -> Numbers:
    """Unit vectors square to lines (..., n, 2), to the right of the way they go as y points up."""
    along = tangents(axis)
    along /= np.sqrt(square(along))[..., None] + NOUGHT
    out = along[..., ::-1].copy()
    out[..., 1] *= -1
    return out


def ball(foot: Numbers, way: Numbers, radius: float, curves: int = 4) -> Outline:
    """A round berry that begins at a foot and lies that way (a unit vector) from it."""
    angle = np.arctan2(-way[1], -way[0]) + np.linspace(0, 2 * np.pi, 8 * curves + 1)
    points = foot + radius * (way + np.stack((np.cos(angle), np.sin(angle)), axis=1))
    return Outline("berry", points, np.arange(0, 8 * curves + 1, 8))


def tapered(axis: Numbers, width: Numbers) -> Numbers:
    """Outline of a drop: down one side of its axis (n, 2) from the point, round the head, and back.

    width: half widths (n,), nought at the point. It is the envelope of the circles of those radii, so it
    touches each of them. Returns (2n + 24, 2) points, begun and ended at the point.
    """
    along = tangents(axis)
    speed = np.sqrt(square(along))
    along = along / speed[:, None]
    swell = np.clip(np.gradient(width) / speed, -0.95, 0.95)
    rise = np.sqrt(1 - swell**2)
    left = np.stack((along[:, 1], -along[:, 0]), axis=1)
    side = width[:, None]
    one = axis + side * (rise[:, None] * left - swell[:, None] * along)
    other = axis + side * (-rise[:, None] * left - swell[:, None] * along)
    heading = np.arctan2(along[-1, 1], along[-1, 0])
    back = np.arcsin(swell[-1])
    angles = heading + np.linspace(-np.pi / 2 - back, np.pi / 2 + back, 26)[1:-1]
    cap = axis[-1] + width[-1] * np.stack((np.cos(angles), np.sin(angles)), axis=1)
    return np.concatenate((one, cap, other[::-1]))
