"""Bent drops: shapes that fill a gap along its length, from where they hang through its middle and on. Inches."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf, pi

import numpy as np

from planner.fills.growing.flow import HAIR_IN
from planner.fills.growing.outline import Outline, across, tapered
from planner.geometry.arrays import DIGITS, NOUGHT, Indices, Numbers

_DIRECTIONS = 16  # it may hang on the nearest thing in any of so many directions
_ASKEW = 0.1  # radians by which those are turned: what lies straight ahead lies in one of them
_BENDS = np.array([-1.0, 0.0, 1.0])  # ways in which its axis bows out
_ALONG = 13  # places along an axis at which it is measured
_T = np.linspace(0, 1, _ALONG)
_BROAD = slice(2, 12)  # those where it may be
_BOWS = _BENDS[:, None, None] * 4 * (_T * (1 - _T))[:, None]  # of them, how far it is bowed there
_FINE = np.linspace(0, 1, 49)  # places along a drop
_MOST_WALLS = 240  # points of what lies round a gap that are measured
_SLENDER, _PLUMP = 0.11, 0.26  # half width as a share of the length, least and most: more would be a bead
_TRIED = 4  # so many of the largest are tried
_A_LOBE = 12  # points from one corner of an edge to the next
_AWAY = np.float32(1e20)  # times what is past, farther than any wall
_SINGLE_DIGITS = (
    4  # of an inch, of what is measured in single precision, seven times as fast: far more than a thread
)
_DRAWN = 0.93  # so much of its width a small round head keeps, drawn with few curves
_HEADS = (0.62, 0.72, 0.8)  # where along it a round head has its middle
_FILLED = 3  # of the points along it, every so many are counted as stitched, each as wide as it is there

# What stands in a gap: shapes that stay or go together, and what tells the circles (centres, radii) that they fill.
Standing = tuple[Sequence[Outline], Callable[[], tuple[Numbers, Numbers]]]


@dataclass(frozen=True)
class Bent:
    """How a fill's bent drops look: the kind they are, whether they are round at the end or pointed.

    vein: how far a vein goes up a pointed one, as a share of its length; plump: its half width, at most that share.
    neck: how much of the width of a round one is there soon after it begins.
    edge: what shapes the sides of a pointed one: shares of its width from one corner of the edge to the next, four
    to a side; at its corners it turns sharply. They are no more than 1, so that it stays where a plain one fits.
    shuns: kinds of shapes on which no drop hangs: those with a thread of their own, over which no other leads.
    upright: by how much its size counts for more where it grows away from the spine, and for less towards it; foot:
    up to which share of an outline from either end it hangs on another shape, if it can, so that none
    grows out of a tip; bow: how far its axis bows out, as a share of its length. along: cosine of the
    angle by which it may lie off the way of what grows there, at least, or near the edge of the border off the way
    to that. parts: what stands in the place of a pointed one, within it, if anything; narrowest: of its width,
    what of it is left where these are narrowest. widest: its half width, at most so many rooms. bare: that share
    of it is a bare stem, which fills nothing.
    """

    kind: str
    pointed: bool
    vein: float = 0.0
    plump: float = _PLUMP
    neck: float = 0.16
    edge: Callable[[Numbers], Numbers] | None = None
    shuns: frozenset[str] = frozenset()
    upright: float = 0.0
    foot: float = 0.5
    bow: float = 0.2
    along: float = -2.0
    parts: Callable[[Numbers, Numbers, float], list[Outline]] | None = None
    narrowest: float = 1.0
    widest: float = inf
    bare: float = 0.0

    @property
    def lopsided(self) -> bool:
        """Whether what stands in its place lies now to one side of its axis, now to the other."""
        return self.narrowest < 1.0

    @cached_property
    def least_share(self) -> float:
        """Of its width what is left where its edge is deepest, or when its head is drawn with few curves."""
        if self.edge:
            return float(self.edge(np.linspace(0, 1, _A_LOBE + 1)).min())
        return self.narrowest if self.pointed else _DRAWN

    def filled(self, half: Numbers) -> Numbers:
        """Radii of circles along its axis within a drop of such half widths (n,): none reaches into a hollow."""
        if not self.edge:
            return half
        filled = self._plain(half) * self.least_share
        if self.bare:  # and along as much again it is broad enough for circles that reach no stem
            filled *= np.clip(np.linspace(0, 1, len(half)) / self.bare - 1, 0, 1)
        return filled

    def _plain(self, half: Numbers) -> Numbers:
        """What half widths (n,) would be if nothing shaped the sides."""
        return half / self.edge(np.arange(len(half)) % _A_LOBE / _A_LOBE) if self.edge else half

    def whole(self, drop: Outline, axis: Numbers, half: Numbers, thin: float) -> list[Outline]:
        """What is stitched for a drop about an axis (n, 2) of half widths (n,): it and its vein, or its parts.

        thin: half the smallest feature.
        """
        if self.parts and (parts := self.parts(axis, self._plain(half), thin)):
            return parts
        up = int(self.vein * len(axis))
        return [drop, *([Outline.of("stem", axis[:up], 2, within=True, count=25)] if up else [])]

    def standing(self, drop: Outline, axis: Numbers, half: Numbers, thin: float) -> Standing:
        """The same, and circles that it fills: along it, or where the lines of its parts run."""
        whole = self.whole(drop, axis, half, thin)

        def filled() -> tuple[Numbers, Numbers]:
            if self.edge or not self.parts:
                return axis[::_FILLED], self.filled(half)[::_FILLED]
            lines = np.concatenate([one.points[::_FILLED] for one in whole])
            return lines, np.zeros(len(lines))

        return whole, filled


def bent_drops(
    centre: Numbers,
    walls: Numbers,
    hangs: Indices,
    out: Numbers,
    ways: Numbers,
    least: float,
    look: Bent,
) -> Iterator[tuple[int, Outline, Numbers, Numbers]]:
    """The largest first: number of the wall point it hangs on, outline, axis (n, 2) and half widths (n,).

    walls: points on all that is round a gap (n, 2); hangs: those on which a drop may hang; out: the way from the
    spine to the gap, one inch, or none; ways: of what grows at each of those points, likewise (n, 2). least: half
    width.
    """
    way = walls - centre
    far = np.hypot(way[:, 0], way[:, 1])
    base, end = _spans(centre, way, far, hangs)
    chord, way = end - walls[base], ways[base]
    ahead = chord / np.hypot(chord[:, 0], chord[:, 1])[:, None]
    may = ((ahead * way).sum(axis=1) > look.along) | ~way.any(axis=1)
    if not may.any():
        return
    base, chord, ahead = base[may], chord[may], ahead[may]
    aside = np.stack((-chord[:, 1], chord[:, 0]), axis=1)
    straight = walls[base][:, None, None] + chord[:, None, None] * _T[:, None]
    axis = (straight + aside[:, None, None] * (look.bow * _BOWS)).reshape(-1, _ALONG, 2)
    base, grows = np.repeat(base, len(_BENDS)), np.repeat(1 + look.upright * (ahead @ out), len(_BENDS))
    step = axis[:, 1:] - axis[:, :-1]
    length = np.hypot(step[..., 0], step[..., 1]).sum(axis=1)
    kept = look.least_share
    long = look.plump * length * kept > least  # a shorter one would be too thin
    base, axis, length, grows = (one[long] for one in (base, axis, length, grows))
    width, head = _widest(axis, length, _thinned(walls, far), look)
    fine = np.flatnonzero((width * kept > least) & (width > _SLENDER * length))
    score = (width * length * grows)[fine].round(DIGITS)
    for k in fine[np.argsort(-score, kind="stable")][:_TRIED].tolist():
        yield _outlined(int(base[k]), axis[k], float(head[k]), float(width[k]), look)


def _thinned(walls: Numbers, far: Numbers) -> Numbers:
    """The nearest of some points that are so far away, no more than are measured."""
    if len(walls) <= _MOST_WALLS:
        return walls
    return walls[np.argpartition(far, _MOST_WALLS)[:_MOST_WALLS]]


def _free(axis: Numbers, length: Numbers, walls: Numbers) -> Numbers:
    """How far it is square to each axis to the nearest wall on either side, less a hair, where it may be broad."""
    along = (axis[:, 2:] - axis[:, :-2])[:, _BROAD.start - 1 : _BROAD.stop - 1] / 2
    along /= np.hypot(along[..., 0], along[..., 1])[..., None] + NOUGHT
    flat, ahead = (one.reshape(-1, 2).T.astype(np.float32) for one in (axis[:, _BROAD], along))
    wall = walls.astype(np.float32)
    square = np.stack((-ahead[1], ahead[0]))
    on, aside = (wall @ way for way in (ahead, square))
    for far, way in ((on, ahead), (aside, square)):
        far -= (flat * way).sum(axis=0)
        np.abs(far, out=far)
    past = np.repeat(length / _ALONG, along.shape[1]).astype(np.float32) + np.float32(HAIR_IN / 2)
    # What lies past a place is moved far away: a product, which is many times as fast as a choice by a mask.
    on -= np.nextafter(past, np.float32(0))
    on *= _AWAY
    free: Numbers = np.maximum(on, aside, out=on).min(axis=0).reshape(along.shape[:2]).astype(np.float64)
    return np.asarray(free.round(_SINGLE_DIGITS) - HAIR_IN)


def _spans(centre: Numbers, way: Numbers, far: Numbers, hangs: Indices) -> tuple[Indices, Numbers]:
    """In each direction the nearest point to hang on, and across from it the nearest wall, a hair before it.

    way: from the centre to each point (n, 2); far: how far that is.
    """
    angle = np.arctan2(way[:, 1], way[:, 0]) + _ASKEW
    sector = np.floor(angle / (2 * pi / _DIRECTIONS)).astype(np.int64) % _DIRECTIONS
    reach = np.full(_DIRECTIONS, np.inf)
    np.minimum.at(reach, sector, far)
    farther = hangs[np.argsort(far[hangs].round(DIGITS), kind="stable")[::-1]]
    nearest = np.full(_DIRECTIONS, -1)
    nearest[sector[farther]] = farther
    base = nearest[nearest >= 0]
    seen = far[base] < 1.15 * reach[sector[base]] + HAIR_IN  # nothing else stands before it
    base = base[seen]
    beyond = reach[(sector[base] + _DIRECTIONS // 2) % _DIRECTIONS]
    base, beyond = base[np.isfinite(beyond)], beyond[np.isfinite(beyond)]
    out = way[base] / far[base][:, None]
    return base, centre - out * np.maximum(beyond - 1.5 * HAIR_IN, 0.0)[:, None]


def _widest(axis: Numbers, length: Numbers, walls: Numbers, look: Bent) -> tuple[Numbers, Numbers]:
    """The half width that fits each axis, and the place of its head (nought where it is pointed)."""
    free, t = _free(axis, length, walls), _T[_BROAD]
    most = np.minimum(look.plump * length, look.widest)
    if look.pointed:
        return np.minimum((free / _BROAD_LEAF).min(axis=1), most), np.zeros_like(most)
    best, place = np.zeros_like(length), np.zeros_like(length)
    for head in _HEADS:
        neck = t[t <= head + 0.02] / head
        width = (free[:, : len(neck)] / np.maximum(_neck(neck, look.neck), 0.05)).min(axis=1)
        width = np.minimum(np.minimum(width, (1 - head) * length), most)
        better = width > best
        best, place = np.where(better, width, best), np.where(better, head, place)
    return best, place


def _leaf(t: Numbers) -> Numbers:
    return np.asarray(np.sin(pi * t**0.82) ** 0.8)


_LEAF, _BROAD_LEAF = _leaf(_FINE), _leaf(_T[_BROAD])


def _neck(t: Numbers, neck: float) -> Numbers:
    """Half width of a plume on its way to its head."""
    return np.asarray(np.minimum(neck * t**0.6 + (1 - neck) * t**2, 1.0))


def _outlined(
    base: int, axis: Numbers, head: float, width: float, look: Bent
) -> tuple[int, Outline, Numbers, Numbers]:
    line = np.stack((np.interp(_FINE, _T, axis[:, 0]), np.interp(_FINE, _T, axis[:, 1])), axis=1)
    if look.pointed:
        half = width * _LEAF
        half[-1] = 0.0
        if look.edge:
            half *= look.edge(np.arange(49) % _A_LOBE / _A_LOBE)
        side = half[:, None] * across(line)
        points = np.concatenate((line + side, (line - side)[-2::-1]))
        nodes, corners = np.array([0, 8, 18, 30, 40, 48, 56, 66, 78, 88, 96]), [48]
        if look.edge:
            nodes, corners = np.arange(0, 97, _A_LOBE // 2), [*range(_A_LOBE, 96, _A_LOBE)]
        return base, Outline(look.kind, points, nodes, corners=tuple(corners)), line, half
    t = _FINE[: int(head * (len(_FINE) - 1)) + 1]
    half = width * _neck(t / head, look.neck)
    half[0] = 0.0
    line = line[: len(t)]
    return base, Outline.of(look.kind, tapered(line, half), 10), line, half
