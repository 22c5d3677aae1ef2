"""Heads of plumes: round ones, as large as their strips allow.

A head is three arcs: of two discs that touch one side of a strip each, as high as they may, and one over both.
Inches.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, cos, pi, sin, tan

import numpy as np

from planner.fills.growing.flow import FlowLines
from planner.geometry.arrays import NOUGHT, Indices, Mask, Numbers


@dataclass(frozen=True, slots=True)
class _Head:
    """The proportions of a head: shares, and inches where a name says so. Common practice, no source."""

    full: float = (
        0.94  # Of the largest circle in a strip: its head is as round as it may be, with a hair to spare.
    )
    head_from: float = 0.62  # Of a strip: in what lies above, its head is looked for.
    least_head: float = 0.6  # Of the largest circle in all of the strip: a smaller head would be a spike.
    arched: float = 0.5  # Radians to either side: over discs that stand apart a head is arched, not flat.
    end_in: float = 0.018  # Kept off what the row faces.


_HEAD = _Head()
STEP_IN = 0.02  # between points of an outline
LEAST_IN = 1e-3  # nothing is narrower
_LEVELS = 33  # places up a strip at which discs are tried
_BEND = 1.1  # radians of a head drawn with one curve
_FLAT = 0.05  # radians: a flatter arch is none
_BACK = 0.1  # radians that a head may turn back, where its discs stand askew


@dataclass(frozen=True, slots=True)
class Pieces:
    """Pieces of strips, one plume each, arrays of shape (m,).

    left, right: seeds of their sides; low_left, low_right: levels at which their sides begin; top: the level at
    which they end.
    """

    left: Numbers
    right: Numbers
    low_left: Numbers
    low_right: Numbers
    top: Numbers


@dataclass(frozen=True, slots=True)
class Heads:
    """The head of each piece: levels at which its discs touch its sides (m,), and its points (n, 2) with nodes.

    fits: whether there is room for one.
    """

    left: Numbers
    right: Numbers
    points: list[Numbers]
    nodes: list[Indices]
    fits: Mask


def heads_of(lines: FlowLines, pieces: Pieces) -> Heads:
    """The head of each piece."""
    up = np.linspace(0, 1, _LEVELS)
    on_left = pieces.low_left[:, None] + (pieces.top - pieces.low_left)[:, None] * up
    on_right = pieces.low_right[:, None] + (pieces.top - pieces.low_right)[:, None] * up
    left = lines.at(np.repeat(pieces.left[:, None], _LEVELS, axis=1), on_left)
    right = lines.at(np.repeat(pieces.right[:, None], _LEVELS, axis=1), on_right)
    across = pieces.left[:, None] + (pieces.right - pieces.left)[:, None] * np.linspace(0, 1, 9)
    end = lines.at(across, np.repeat(pieces.top[:, None], 9, axis=1))
    middle = (left + right) / 2
    free = np.minimum.reduce([_far(middle, left), _far(middle, right), _far(middle, end) - _HEAD.end_in])
    upper = free[:, int(_HEAD.head_from * _LEVELS) :].max(axis=1)
    radius = _HEAD.full * np.maximum(upper, _HEAD.least_head * free.max(axis=1))
    fits = radius > LEAST_IN
    radius = np.maximum(radius, LEAST_IN)
    spare = np.full(len(radius), _HEAD.end_in)
    for _ in range(2):  # first flat between its discs, then with room for the arch over them
        level_left, centre_left = _last_disc(left, right, end, radius, on_left, spare)
        level_right, centre_right = _last_disc(right, left, end, radius, on_right, spare)
        apart = np.hypot(*(centre_right - centre_left).T)
        spare = _HEAD.end_in + apart / 2 * tan(_HEAD.arched / 2)
    at_left = lines.at(pieces.left, level_left)
    at_right = lines.at(pieces.right, level_right)
    ahead = middle[:, -1] - middle[:, _LEVELS // 2]
    points, nodes = [], []
    for n in range(len(radius)):
        head = _head(at_left[n], centre_left[n], centre_right[n], at_right[n], float(radius[n]), ahead[n])
        points.append(head[0])
        nodes.append(head[1])
        fits[n] &= len(head[0]) > 0
    return Heads(level_left, level_right, points, nodes, fits)


def _far(one: Numbers, other: Numbers) -> Numbers:
    """How far each point is from the nearest of the others, piece by piece. Shape (m, k)."""
    x, y = (one[:, :, None, k] - other[:, None, :, k] for k in (0, 1))
    x *= x
    y *= y
    x += y
    return np.asarray(np.sqrt(x.min(axis=2)))


def _last_disc(
    side: Numbers, other: Numbers, end: Numbers, radius: Numbers, level: Numbers, off_end: Numbers
) -> tuple[Numbers, Numbers]:
    """Of discs that touch one side, the highest that keeps off the other and so far off the end: level, centre."""
    ahead = np.gradient(side, axis=1)
    ahead /= np.linalg.norm(ahead, axis=2, keepdims=True) + NOUGHT
    inwards = np.stack((-ahead[..., 1], ahead[..., 0]), axis=2)
    towards = ((other - side) * inwards).sum(axis=2)
    inwards *= np.where(np.median(towards, axis=1) < 0, -1.0, 1.0)[:, None, None]
    centre = side + radius[:, None, None] * inwards
    spare = np.minimum(_far(centre, other), _far(centre, end) - off_end[:, None]) - radius[:, None]
    spare[:, 0] = np.where((spare > 0).any(axis=1), spare[:, 0], np.inf)
    last = spare.shape[1] - 1 - np.argmax((spare > 0)[:, ::-1], axis=1)
    row = np.arange(len(last))
    above = np.minimum(last + 1, spare.shape[1] - 1)
    here, there = spare[row, last], spare[row, above]
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where((above > last) & np.isfinite(here), here / (here - there), 0.0)
    at = (1 - share)[:, None] * centre[row, last] + share[:, None] * centre[row, above]
    return (1 - share) * level[row, last] + share * level[row, above], at


def _head(
    begin: Numbers, one: Numbers, other: Numbers, end: Numbers, radius: float, ahead: Numbers
) -> tuple[Numbers, Indices]:
    """A head from one side over two discs to the other side: points and nodes; none if it would fold."""
    over = other - one
    apart = float(np.hypot(*over))
    aside = begin - one
    way = 1.0 if aside[0] * ahead[1] - aside[1] * ahead[0] > 0 else -1.0
    small = apart < 0.05 * radius
    out = ahead / np.hypot(*ahead) if small else way * np.array([over[1], -over[0]]) / apart
    top = float(np.arctan2(out[1], out[0]))
    first, last = (
        float(np.arctan2(*(point - centre)[::-1])) for point, centre in ((begin, one), (end, other))
    )
    turns = [(top - first + pi) % (2 * pi) - pi, (last - top + pi) % (2 * pi) - pi]
    if min(way * turn for turn in turns) < -_BACK:
        return np.zeros((0, 2)), np.zeros(0, dtype=np.int64)
    turns = [way * max(way * turn, 0.0) for turn in turns]
    bow = 0.0 if small else min(_HEAD.arched, *(way * turn for turn in turns))
    if bow < _FLAT < apart / radius:
        return np.zeros((0, 2)), np.zeros(0, dtype=np.int64)
    arch = radius + apart / (2 * sin(bow)) if bow > _FLAT else radius
    over_both = (one + other) / 2 - (arch - radius) * cos(bow) * out
    parts: list[Numbers] = [begin[None]]
    nodes = [0]
    arcs = [
        (one, radius, top - turns[0], turns[0] - way * bow),
        (over_both, arch, top - way * bow, 2 * way * bow),
        (other, radius, top + way * bow, turns[1] - way * bow),
    ]
    for centre, r, angle, turn in arcs:
        if abs(turn) * r > STEP_IN / 2:
            curves = max(1, ceil(abs(turn) / _BEND))
            count = curves * max(2, ceil(abs(turn) * r / STEP_IN / curves))
            on_arc = angle + turn * np.linspace(0, 1, count + 1)[1:]
            parts.append(centre + r * np.stack((np.cos(on_arc), np.sin(on_arc)), axis=1))
            nodes += [nodes[-1] + (k + 1) * count // curves for k in range(curves)]
    points = np.concatenate(parts)
    points[-1] = end
    return points, np.array(nodes)
