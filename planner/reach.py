"""Reach: the farthest any point of the border lies from a spine, so the longest plume needed (inches).

``measure`` takes a placed layout and finds it on a fine net of points (shapely, refined where it is worst).
The solver needs it for thousands of layouts that are not placed yet: ``of_runs``, ``of_corners`` and
``of_middles`` work on arrays straight from the closed forms, on one step of an endless run and along the two
axes of symmetry where corners and middles are emptiest. All lengths are inches, h grows inward.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from planner import run
from planner.curves import Point
from planner.layout import Layout
from planner.meetings.little_spines import HOOK, HOOK_SWEEP
from planner.run import Numbers

SEAM_SLIVER_IN = 1 / 32  # left clear along the seam ditch so that no stitch falls into it
NET_IN = 0.08  # spacing of the net; distance changes by less than that from point to point
_FINE_NET_IN = 0.01  # spacing near the worst points: half of it is the error of the figure
_CURVE_TOLERANCE_IN = 0.001
_AXIS_POINTS = 40
_ACROSS, _ALONG = 13, 33  # net over one step of an endless run


@dataclass(frozen=True, slots=True)
class Reach:
    """Largest distances to a spine (inches): along the runs, in the corners, in the middles, and where."""

    run: float
    corner: float
    middle: float
    worst_at: Point

    @property
    def worst(self) -> float:
        return max(self.run, self.corner, self.middle)


def measure(layout: Layout) -> Reach:
    """Reach of a placed layout. Top and left sides stand for all four: their opposites are alike."""
    lines = np.array(
        [shapely.LineString(s.piece.curve.points(_CURVE_TOLERANCE_IN)) for s in layout.spines], dtype=object
    )
    tree = shapely.STRtree(lines)
    worst: dict[str, tuple[float, Point]] = {"run": (0, (0, 0)), "corner": (0, (0, 0)), "middle": (0, (0, 0))}
    for zone, points in _zones(layout):
        if points.size:
            found = _farthest(tree, points)
            worst[zone] = max(worst[zone], found)
    at = max(worst.values())[1]
    return Reach(worst["run"][0], worst["corner"][0], worst["middle"][0], at)


def _zones(layout: Layout) -> list[tuple[str, Numbers]]:
    """Nets of points (n, 2) in quilt coordinates for a corner and, on two sides, a run and a middle."""
    quilt, zones = layout.quilt, []
    bands = quilt.bands
    first = {side: chain.circles[0].centre[0] for side, chain in layout.chains.items()}
    left, top = bands["left"], bands["top"]
    net = _net(-left.room, first["top"], -top.room, first["left"])
    seam = (net[:, 0] <= left.height + left.room - SEAM_SLIVER_IN) | (
        net[:, 1] <= top.height + top.room - SEAM_SLIVER_IN
    )
    zones.append(("corner", _to_quilt(layout, "top", net[seam])))
    for side in ("top", "left"):
        band, chain = bands[side], layout.chains[side]
        low, high = -band.room, band.height + band.room - SEAM_SLIVER_IN
        if layout.plan.corner == "mirrored":
            end = chain.circles[-1].centre[0]
            if layout.choice.meeting != "lattice":
                zones.append(("middle", _to_quilt(layout, side, _net(end, band.span / 2, low, high))))
        else:
            end = band.span - first[side]
        begin = first[side]
        if layout.plan.corner != "easy_going":
            # every two steps of a strict run are alike
            end = min(end, begin + 2 * chain.step)
        zones.append(("run", _to_quilt(layout, side, _net(begin, end, low, high))))
    return zones


def _net(u0: float, u1: float, h0: float, h1: float) -> Numbers:
    """A net of points over a box, its edges included. Shape (n, 2)."""
    if u1 <= u0:
        return np.empty((0, 2))
    u = np.linspace(u0, u1, int((u1 - u0) / NET_IN) + 2)
    h = np.linspace(h0, h1, int((h1 - h0) / NET_IN) + 2)
    return np.stack(np.meshgrid(u, h), axis=-1).reshape(-1, 2)


def _to_quilt(layout: Layout, side: str, points: Numbers) -> Numbers:
    m = layout.quilt.motion(side)  # type: ignore[arg-type]
    x = m.a * points[:, 0] + m.c * points[:, 1] + m.e
    y = m.b * points[:, 0] + m.d * points[:, 1] + m.f
    return np.stack([x, y], axis=-1)


def _farthest(tree: shapely.STRtree, points: Numbers) -> tuple[float, Point]:
    """Largest distance from any of the points to the tree's lines, refined near the worst few."""
    bounds = points.min(axis=0), points.max(axis=0)
    distances = _distances(tree, points)
    offsets = np.arange(-NET_IN, NET_IN + _FINE_NET_IN / 2, _FINE_NET_IN)
    around = np.stack(np.meshgrid(offsets, offsets), axis=-1).reshape(-1, 2)
    # a better point within a cell of the net gains at most the cell's half diagonal
    worst = points[np.argsort(distances)[-4:]]
    fine = np.clip((worst[:, None, :] + around[None, :, :]).reshape(-1, 2), *bounds)
    fine_distances = _distances(tree, fine)
    best = int(np.argmax(fine_distances))
    return float(fine_distances[best]), (float(fine[best, 0]), float(fine[best, 1]))


def _distances(tree: shapely.STRtree, points: Numbers) -> Numbers:
    return np.asarray(tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)[1])


def arc_distance(
    x: Numbers, y: Numbers, cx: Numbers, cy: Numbers, r: Numbers, begin: Numbers, sweep: Numbers
) -> Numbers:
    """Distance from points to arcs: to the circle where the arc spans the point's angle, else to an end."""
    dx, dy = x - cx, y - cy
    turn = np.sign(sweep)
    past = (turn * (np.arctan2(dy, dx) - begin)) % (2 * np.pi)
    on_circle = np.abs(np.hypot(dx, dy) - r)
    start = np.hypot(dx - r * np.cos(begin), dy - r * np.sin(begin))
    end = np.hypot(dx - r * np.cos(begin + sweep), dy - r * np.sin(begin + sweep))
    return np.where(past <= np.abs(sweep), on_circle, np.minimum(start, end))


def of_runs(
    height: Numbers, r: Numbers, lift: Numbers, gap: Numbers, room: float, tail_deg: float
) -> Numbers:
    """Reach of endless runs, each array of shape (n,); a glide reflection carries every step to the next."""
    height, r, lift, gap = (
        np.asarray(a, dtype=float)[:, None] for a in np.broadcast_arrays(height, r, lift, gap)
    )
    p, v = run.step(height, r, lift, gap), run.rise(height, r, lift)
    lean = np.arctan2(v, p)
    off = np.arccos(np.minimum(1.0, 2 * r / (2 * r + gap)))
    share_u, share_h = (
        a.reshape(1, -1) for a in np.meshgrid(np.linspace(0, 1, _ACROSS), np.linspace(0, 1, _ALONG))
    )
    x, y = share_u * p, -room + share_h * (height + 2 * room - SEAM_SLIVER_IN)
    nearest = np.full(np.broadcast_shapes(x.shape, y.shape), np.inf)
    for i in (-2, -1, 0, 1, 2):  # circle 0 stands on the inner row at u = 0
        inner = i % 2 == 0
        turn = -1.0 if inner else 1.0
        cy = height - r - lift if inner else r + lift
        rising = -lean if inner else lean  # direction to the next centre; the last one lies mirrored
        enter = np.pi - rising + turn * off
        leave = rising - turn * off
        tip = (-np.pi / 2 if inner else np.pi / 2) + turn * np.radians(tail_deg - 90)
        stem = (turn * (leave - enter)) % (2 * np.pi)
        tail = (turn * (tip - leave)) % (2 * np.pi)
        sweep = np.minimum(stem + tail, 2 * np.pi - np.radians(30))
        nearest = np.minimum(nearest, arc_distance(x, y, i * p, cy, r, enter, turn * sweep))
    return np.asarray(nearest.max(axis=1))


def of_corners(
    height: Numbers, beside: Numbers, big: Numbers, r: Numbers, room: float, tail_deg: float
) -> Numbers:
    """Reach in corners along the miter, circles touching; ``beside`` is the height of the other band. (n,)"""
    height, beside, big, r = (
        np.asarray(a, dtype=float)[:, None] for a in np.broadcast_arrays(height, beside, big, r)
    )
    t = np.linspace(0, 1, _AXIS_POINTS)[None, :]
    x, y = -room + t * (beside + 2 * room - SEAM_SLIVER_IN), -room + t * (height + 2 * room - SEAM_SLIVER_IN)
    ahead = _first_curl(height, big, r, tail_deg)
    behind = _first_curl(beside, big, r, tail_deg)
    begin = np.arctan2(behind[0] - big, behind[1] - big)
    sweep = (np.arctan2(ahead[1] - big, ahead[0] - big) - begin) % (2 * np.pi)
    nearest = arc_distance(x, y, big, big, big, begin, sweep)
    nearest = np.minimum(nearest, arc_distance(x, y, *ahead))
    return np.asarray(np.minimum(nearest, arc_distance(y, x, *behind)).max(axis=1))


def _first_curl(
    height: Numbers, big: Numbers, r: Numbers, tail_deg: float
) -> tuple[Numbers, Numbers, Numbers, Numbers, Numbers]:
    """The arc of the curl next to a corner: centre u, h, radius, begin, sweep."""
    none = np.zeros(())
    u, h = run.first(height, big, r, none, none), height - r
    begin = np.arctan2(big - h, big - u)
    lean = np.arctan2(run.rise(height, r, none), run.step(height, r, none, none))
    return u, h, r, begin, -_inner_sweep(begin, -lean, tail_deg)


def _inner_sweep(begin: Numbers, leave: Numbers, tail_deg: float) -> Numbers:
    """How far an inner curl turns from its joint to its tip, radians, positive."""
    tip = -np.pi / 2 - np.radians(tail_deg - 90)
    turn = (begin - leave) % (2 * np.pi) + (leave - tip) % (2 * np.pi)
    return np.asarray(np.minimum(turn, 2 * np.pi - np.radians(30)))


def of_middles(
    meeting: str,
    height: Numbers,
    r: Numbers,
    middle: Numbers,
    lift: Numbers,
    gap: Numbers,
    room: float,
    tail_deg: float,
) -> Numbers:
    """Reach across the middles of sides, along the centre line of the meeting. Shape (n,)."""
    if meeting == "lattice":
        return np.zeros(np.broadcast(height, r, middle, lift, gap).shape)
    height, r, middle, lift, gap = (
        np.asarray(a, dtype=float)[:, None] for a in np.broadcast_arrays(height, r, middle, lift, gap)
    )
    half = run.half_middle(meeting, height, r, middle, lift, gap)
    y = -room + np.linspace(0, 1, _AXIS_POINTS)[None, :] * (height + 2 * room - SEAM_SLIVER_IN)
    lean = np.arctan2(run.rise(height, r, lift), run.step(height, r, lift, gap))
    begin, h = np.asarray(np.pi + lean), height - r - lift
    leave = np.asarray(np.arctan2(height / 2 - h, half) if meeting == "wreath" else 0.0)
    nearest = arc_distance(half, y, np.zeros(()), h, r, begin, -_inner_sweep(begin, leave, tail_deg))
    if meeting == "wreath":
        nearest = np.minimum(nearest, np.abs(np.abs(y - height / 2) - middle / 2))
    if meeting == "little_spines":
        hook = HOOK * middle
        nearest = np.minimum(
            nearest, arc_distance(half, y, r + hook, h, hook, np.asarray(np.pi), np.asarray(HOOK_SWEEP))
        )
    return np.asarray(nearest.max(axis=1))
