"""Drops on the line in which a pocket faces its own image: one whole shape, not two halves of a gap. Inches."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from planner.fills.growing.bent import Bent, bent_drops
from planner.fills.growing.outline import Outline
from planner.geometry.arrays import DIGITS, NOUGHT, Indices, Numbers
from planner.geometry.curves import mirror_at
from planner.geometry.polylines import moved

_PLACES = 17  # along the line, at which a gap is measured
_FARTHEST = 3.0  # no drop hangs on what is farther from its middle than so many of its radii
_SLANT = 0.4  # how far aside of the line it may hang, for each inch along it
_BENDS = 0.3  # of its way: there it is about to lie along the line
_TRIED = 8  # so many places to hang on
_ASTRAY = 0.12  # of its length: how far a bent one's axis may stray from the line


def on_the_line(mirror: float, centre: Numbers, radius: float, own: Numbers) -> tuple[Numbers, float]:
    """The widest place on a line across near a gap beside it, and how wide it is; own: what the image shows too."""
    y = centre[1] + radius * np.linspace(-1, 1, _PLACES)
    tried = np.stack((np.full(_PLACES, mirror), y), axis=1)
    free = np.hypot(*(own - tried[:, None]).transpose(2, 0, 1)).min(axis=1, initial=np.inf).round(DIGITS)
    widest = int(np.argmax(free))
    return tried[widest], float(free[widest])


def along_the_line(
    mirror: float, middle: Numbers, own: Numbers, hangs: Indices, thin: float, look: Bent
) -> Iterator[tuple[int, Outline, Numbers, Numbers]]:
    """Bent drops that lie along a line across: as ``bent_drops``."""
    either_way = np.zeros(2)
    walls = np.concatenate((own, moved(own, mirror_at(mirror))))
    for k, drop, axis, half in bent_drops(
        middle, walls, hangs, either_way, np.zeros_like(walls), thin, replace(look, bow=0.0)
    ):
        if np.abs(axis[:, 0] - mirror).max() < _ASTRAY * np.hypot(*(axis[-1] - axis[0])):
            yield k, drop, axis, half


def onto_the_line(anchor: Numbers, middle: Numbers) -> Numbers:
    """An axis (40, 2) from where a shape hangs to a middle, that bends at once onto the line there."""
    t = np.linspace(0, 1, 40)[:, None]
    bend = np.array([middle[0], anchor[1] + _BENDS * (middle[1] - anchor[1])])
    return np.asarray((1 - t) ** 2 * anchor + 2 * t * (1 - t) * bend + t**2 * middle)


def towards(
    middle: Numbers, radius: float, own: Numbers, hangs: Indices, nearest: float = 0.0
) -> Iterator[int]:
    """Where a shape may hang that lies along the line, the nearest to it first.

    radius: of the shape's head; nearest: how many of these it hangs off the middle at least.
    """
    anchors = own[hangs]
    aside, along = np.abs(anchors - middle).T
    away = np.hypot(aside, along)
    steep = (aside / (along + NOUGHT)).round(DIGITS)
    near = np.flatnonzero((steep < _SLANT) & (away < _FARTHEST * radius) & (away > nearest * radius))
    near = near[np.argsort(steep[near], kind="stable")]
    yield from hangs[near[:: max(1, len(near) // _TRIED)][:_TRIED]].tolist()
