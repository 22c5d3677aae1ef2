"""The contour: the flank of the spine that faces a pocket, the fill on its right, out along each tail and back.

A point of the border is named by (q, d): q along the flank, d square to it. At the tip of a tail the flank
turns on the spot; q runs on there, so that the fan of normals round the tip has a q of its own. Inches,
radians.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, pi

import numpy as np

from planner.border.spine import Piece
from planner.geometry.arrays import Indices, Numbers
from planner.geometry.curves import Arc, Curve, Point, Track, as_arc

SAMPLE_IN = 0.065  # spacing of samples: a chord of the smallest curl strays 0.001 in from it
_FAN_STEP = 0.025  # q between samples round a tip
FAN = 0.4  # q given to a tip


@dataclass(frozen=True, slots=True)
class Stretch:
    """One piece of the flank. flow: +1 where the fill leans the way we go, −1 where it leans back."""

    curve: Track
    flow: float
    label: str

    @property
    def arc(self) -> Arc:
        """The curve of a stretch that goes round a circle."""
        return as_arc(self.curve)


@dataclass(frozen=True, slots=True)
class Contour:
    """The flank sampled at n points: arrays of shape (n,), points (n, 2).

    speed: inches gone per unit of q (0 round a tip); turn: radians turned to the right per unit of q; so a
    point at depth d moves (speed − turn·d) per unit of q. stretch: which stretch a sample belongs to; starts:
    q where each stretch begins, and where the last one ends; frames: how each of them lies (_frames).
    """

    q: Numbers
    point: Numbers
    heading: Numbers
    speed: Numbers
    turn: Numbers
    flow: Numbers
    stretch: Indices
    starts: Numbers
    stretches: tuple[Stretch, ...]
    frames: tuple[Numbers, ...]

    @property
    def normal(self) -> Numbers:
        """Unit normals towards the fill."""
        return np.stack((-np.sin(self.heading), np.cos(self.heading)), axis=1)

    @property
    def cusps(self) -> Numbers:
        """q wherever the flank turns back on itself, in the wedge between two circles that touch."""
        turns = (
            float(self.starts[i + 1])
            for i, (a, b) in enumerate(pairwise(self.stretches))
            if "tip" not in (a.label, b.label) and cos(a.curve.heading(1) - b.curve.heading(0)) < -0.5
        )
        return np.array(list(turns))

    def q_at(self, stretch: int, share: float) -> float:
        """q at a share of the length of a stretch."""
        return float(self.starts[stretch] + share * (self.starts[stretch + 1] - self.starts[stretch]))

    def at(self, q: Numbers, d: Numbers) -> Numbers:
        """Points at depth d over q, exact; shape (..., 2). An arc of radius r about C has C + (d ∓ r)·n."""
        i = np.clip(np.searchsorted(self.starts, q, side="right") - 1, 0, len(self.stretches) - 1)
        anchor, way, heading, turn, off = self.frames
        on = q - self.starts[i]
        angle = heading[i] + turn[i] * on
        depth = d + off[i]
        x = anchor[i, 0] + way[i, 0] * on - depth * np.sin(angle)
        y = anchor[i, 1] + way[i, 1] * on + depth * np.cos(angle)
        return np.stack((x, y), axis=-1)


def as_point(xy: Numbers) -> Point:
    """A row of points as the point that curves are made of."""
    return float(xy[0]), float(xy[1])


def points_along(curve: Curve, tolerance: float) -> Numbers:
    """Points along a piece of spine, no chord farther than ``tolerance`` from it. Shape (n, 2)."""
    if not isinstance(curve, Arc):
        return np.array([curve.start, curve.end])
    widest = 2 * np.sqrt(2 * tolerance / max(curve.radius, tolerance))
    angle = curve.begin + curve.sweep * np.linspace(0, 1, int(np.ceil(abs(curve.sweep) / widest)) + 1)
    return np.array(curve.centre) + curve.radius * np.stack((np.cos(angle), np.sin(angle)), axis=1)


def fan(tip: Point, heading: float) -> Stretch:
    """The turn on the spot at a tip reached with this heading: half round to the left, round its end."""
    return Stretch(Arc(tip, 0.0, heading + pi / 2, -pi), 0.0, "tip")


def right_flank(pieces: Iterable[Piece]) -> list[Stretch]:
    """The right side of a run's spine, gone along as the run travels."""
    flank: list[Stretch] = []
    for piece in pieces:
        if piece.part != "tail":
            flank.append(Stretch(piece.curve, 1.0, piece.part))
        elif piece.arc.sweep > 0:
            flank += out_and_back(piece.arc)
    return flank


def left_flank(pieces: Sequence[Piece]) -> list[Stretch]:
    """The left side of a run's spine, gone along against the run."""
    flank: list[Stretch] = []
    for piece in reversed(pieces):
        if piece.part != "tail":
            flank.append(Stretch(piece.curve.reversed(), -1.0, piece.part))
        elif piece.arc.sweep < 0:
            flank += out_and_back(piece.arc)
    return flank


def out_and_back(tail: Arc) -> list[Stretch]:
    """A tail as the flank goes along it: out on one side, round its tip, back on the other."""
    return [
        Stretch(tail, 1.0, "tail"),
        fan(tail.end, tail.heading(1)),
        Stretch(tail.reversed(), -1.0, "tail"),
    ]


def sample(stretches: Sequence[Stretch], fan: float = FAN) -> Contour:
    """The flank as arrays; headings run on without jumps of a full turn."""
    columns: list[tuple[Numbers, ...]] = []
    lengths: list[float] = []
    q0 = 0.0
    for i, s in enumerate(stretches):
        curve = s.curve
        if isinstance(curve, Arc) and curve.radius == 0:
            n, length, speed, turn = round(fan / _FAN_STEP), fan, 0.0, curve.sweep / fan
        else:
            length = curve.length
            n, speed = max(2, int(np.ceil(length / SAMPLE_IN))), 1.0
            turn = curve.sweep / length if isinstance(curve, Arc) else 0.0
        t = (np.arange(n) + 0.5) / n
        if isinstance(curve, Arc):
            angle = curve.begin + t * curve.sweep
            x = curve.centre[0] + curve.radius * np.cos(angle)
            y = curve.centre[1] + curve.radius * np.sin(angle)
            heading = angle + (pi / 2 if curve.sweep >= 0 else -pi / 2)
        else:
            x = curve.start[0] + t * (curve.end[0] - curve.start[0])
            y = curve.start[1] + t * (curve.end[1] - curve.start[1])
            heading = np.full(n, curve.heading())
        one = np.ones(n)
        columns.append((q0 + t * length, x, y, heading, one * speed, one * turn, one * s.flow, one * i))
        lengths.append(length)
        q0 += length
    q, x, y, heading, speeds, turns, flow, stretch = (np.concatenate(c) for c in zip(*columns, strict=True))
    starts = np.concatenate(([0.0], np.cumsum(lengths)))
    return Contour(
        q,
        np.stack((x, y), axis=1),
        np.unwrap(heading),
        speeds,
        turns,
        flow,
        stretch.astype(np.int64),
        starts,
        tuple(stretches),
        _frames(stretches, lengths),
    )


def _frames(stretches: Sequence[Stretch], lengths: Sequence[float]) -> tuple[Numbers, ...]:
    """Of each stretch: anchor, way and turn per unit of q, first heading, depth of the spine."""
    anchor, way, heading, turn, off = [], [], [], [], []
    for c, length in zip((s.curve for s in stretches), lengths, strict=True):
        heading.append(c.heading(0))
        if isinstance(c, Arc):
            anchor.append(c.centre)
            way.append((0.0, 0.0))
            turn.append(c.sweep / length)
            off.append(-c.radius if c.sweep > 0 else c.radius)
        else:
            anchor.append(c.start)
            way.append(((c.end[0] - c.start[0]) / length, (c.end[1] - c.start[1]) / length))
            turn.append(0.0)
            off.append(0.0)
    return np.array(anchor), np.array(way), np.array(heading), np.array(turn), np.array(off)
