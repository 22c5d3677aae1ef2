"""Reach: the farthest any point of the border lies from a spine, so the longest plume needed (inches).

``measure`` takes a placed layout and finds it with shapely, quartering cells where it may be worst.
The solver needs it for thousands of layouts that are not placed yet: ``of_runs``, ``of_corners`` and
``of_middles`` work on arrays straight from the closed forms, on one step of an endless run and along the two
axes of symmetry where corners and middles are emptiest. All lengths are inches, h grows inward.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from planner import run
from planner.curves import Motion, Point
from planner.layout import Layout
from planner.meetings.little_spines import HOOK, HOOK_SWEEP
from planner.plan import SideName
from planner.run import Numbers
from planner.spine import tail_sweep

SEAM_SLIVER_IN = 1 / 32  # left clear along the seam ditch so that no stitch falls into it
_FIRST_CELL_IN = 0.7  # side of the cells the search begins with
_LAST_CELL_IN = 0.01  # and ends with: its half diagonal is the error of the figure
_CURVE_TOLERANCE_IN = 0.004
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
    tree = shapely.STRtree(np.asarray(shapely.linestrings(_chords(layout))).tolist())
    worst: dict[str, tuple[float, Point]] = dict.fromkeys(("run", "corner", "middle"), (0.0, (0.0, 0.0)))
    for zone, side, box in _zones(layout):
        worst[zone] = max(worst[zone], _farthest(tree, layout.quilt.motion(side), box))
    at = max(worst.values())[1]
    return Reach(worst["run"][0], worst["corner"][0], worst["middle"][0], at)


def _chords(layout: Layout) -> Numbers:
    """Spines of the measured sides as chords, shape (n, 2, 2): a tree of short pieces is searched quickest."""
    measured = [s for s in layout.spines if s.place not in ("right", "bottom", "bottom_right")]
    pieces = [np.array(s.piece.curve.points(_CURVE_TOLERANCE_IN)) for s in measured]
    return np.concatenate([np.stack([p[:-1], p[1:]], axis=1) for p in pieces])


Box = tuple[float, float, float, float]  # u0, h0, u1, h1 in band coordinates


def _zones(layout: Layout) -> Iterator[tuple[str, SideName, Box]]:
    """Boxes that cover a corner and, on two sides, a run and a middle."""
    bands, chains = layout.quilt.bands, layout.chains
    left, top = bands["left"], bands["top"]
    first: dict[SideName, float] = {side: chain.circles[0].centre[0] for side, chain in chains.items()}
    seam_u, seam_h = left.height + left.room - SEAM_SLIVER_IN, top.height + top.room - SEAM_SLIVER_IN
    yield "corner", "top", (-top.room, -top.room, seam_u, first["left"])
    yield "corner", "top", (seam_u, -top.room, first["top"], seam_h)
    sides: tuple[SideName, SideName] = ("top", "left")
    for side in sides:
        band, chain = bands[side], chains[side]
        low, high = -band.room, band.height + band.room - SEAM_SLIVER_IN
        end = band.span - first[side]
        if layout.plan.corner == "mirrored":
            end = chain.circles[-1].centre[0]
            if layout.choice.meeting != "lattice":
                yield "middle", side, (end, low, band.span / 2, high)
        if layout.plan.corner != "easy_going":
            end = min(end, first[side] + 2 * chain.step)  # every two steps of a strict run are alike
        yield "run", side, (first[side], low, end, high)


def _farthest(tree: shapely.STRtree, motion: Motion, box: Box) -> tuple[float, Point]:
    """Largest distance from any point of a box to the tree's lines, and where.

    Cells that cannot hold a farther point than one already found are dropped, the others quartered: a distance
    changes by no more than the way between two points.
    """
    u0, h0, u1, h1 = box
    if u1 <= u0 or h1 <= h0:
        return 0.0, (0.0, 0.0)
    nu, nh = int((u1 - u0) / _FIRST_CELL_IN) + 1, int((h1 - h0) / _FIRST_CELL_IN) + 1
    wide, high = (u1 - u0) / nu, (h1 - h0) / nh
    u, h = (
        a.ravel() for a in np.meshgrid(u0 + (np.arange(nu) + 0.5) * wide, h0 + (np.arange(nh) + 0.5) * high)
    )
    while True:
        x, y = motion.a * u + motion.c * h + motion.e, motion.b * u + motion.d * h + motion.f
        found = tree.query_nearest(shapely.points(x, y), return_distance=True, all_matches=False)[1]
        best = int(np.argmax(found))
        if max(wide, high) <= _LAST_CELL_IN:
            return float(found[best]), (float(x[best]), float(y[best]))
        open_cells = found + np.hypot(wide, high) / 2 >= found[best]
        u, h, wide, high = u[open_cells], h[open_cells], wide / 2, high / 2
        u = np.concatenate([u - wide / 2, u + wide / 2, u - wide / 2, u + wide / 2])
        h = np.concatenate([h - high / 2, h - high / 2, h + high / 2, h + high / 2])


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
        sweep = stem + tail_sweep(stem, tail)
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
    stem = (begin - leave) % (2 * np.pi)
    return np.asarray(stem + tail_sweep(stem, (leave - tip) % (2 * np.pi)))


def _before_last(
    height: Numbers, r: Numbers, lift: Numbers, gap: Numbers, tail_deg: float
) -> tuple[Numbers, Numbers, Numbers, Numbers, Numbers]:
    """The arc of the outer curl one step before a last, inner one at u = 0: centre u, h, radius, begin, sweep."""
    p, v = run.step(height, r, lift, gap), run.rise(height, r, lift)
    lean = np.arctan2(v, p)
    turn = _inner_sweep(np.pi + lean, -lean, tail_deg)  # an outer curl is an inner one mirrored
    return -p, r + lift, r, np.asarray(-np.pi - lean), turn


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
    before = _before_last(height, r, lift, gap, tail_deg)
    nearest = np.minimum(nearest, arc_distance(half, y, *before))
    if meeting == "wreath":
        nearest = np.minimum(nearest, np.abs(np.abs(y - height / 2) - middle / 2))
    if meeting == "little_spines":
        hook = HOOK * middle
        nearest = np.minimum(
            nearest, arc_distance(half, y, r + hook, h, hook, np.asarray(np.pi), np.asarray(HOOK_SWEEP))
        )
    return np.asarray(nearest.max(axis=1))
