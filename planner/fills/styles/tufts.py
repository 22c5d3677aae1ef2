"""Tufts: needles about an axis, alone or two and three from one point as a bough bears them. Inches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from planner.fills.growing.outline import Outline, across, drawn
from planner.fills.growing.standing import Hole
from planner.fills.growing.style import Needs
from planner.geometry.arrays import MEETING_IN, Numbers

HAIR_IN = 0.012  # a needle keeps so far off the line half way to its neighbour: two threads do not touch
FIT_FROM = 0.06  # of a needle's length: nearer its base it has no width to be measured
FIT_TO = 0.9  # likewise nearer its point


@dataclass(frozen=True, slots=True)
class _Tuft:
    """Proportions of a needle about an axis, and of a tuft: shares and exponents. Common practice, no source."""

    belly: float = 0.8  # Exponent: under 1 a needle is widest below its middle and runs out to its point.
    fullness: float = 0.8  # Exponent of its width: under 1 it is even for most of its length.
    most: int = 3  # Needles of a tuft: pines bear them in twos and threes.
    curves: int = 8  # Of one that is drawn about an axis, four on either side of its point.
    least: float = 1.12  # Half smallest features: few curves draw it a little narrower than it is.
    shorter_aside: float = 0.45  # Of its length: how much shorter one is that lies quite at its side.
    open: float = 1.4  # Exponent of its width: over 1, since they part only beyond their bases.
    slender: float = 0.075  # Of its length: half as wide at most, as the needles beside it.


_TUFT = _Tuft()


def profile(x: Numbers, fullness: float = _TUFT.fullness) -> Numbers:
    """Share of its half width that a needle has at some places from its base (0) to its point (1)."""
    return np.asarray(np.maximum(np.sin(np.pi * x**_TUFT.belly), 0.0) ** fullness)


def needle(axis: Numbers, half: Numbers) -> Outline:
    """A needle about an axis (n, 2) of half widths (n,)."""
    side = half[:, None] * across(axis)
    nodes = np.linspace(0, 2 * len(axis) - 2, _TUFT.curves + 1).round().astype(np.int64)
    return Outline("needle", np.concatenate((axis + side, (axis - side)[-2::-1])), nodes)


def tuft(axis: Numbers, half: Numbers, thin: float) -> list[Outline]:
    """Needles from one point, as a bough bears them: side by side within a leaf about an axis, if they have room.

    thin: half the smallest feature.
    """
    for count in range(_TUFT.most, 1, -1):
        if half.max() > count * (thin + HAIR_IN):
            aside = (np.arange(count) - (count - 1) / 2) * 2 / count
            grown = [_of_tuft(axis, half, count, one, thin) for one in aside.tolist()]
            if all(grown):
                whole = [one for one in grown if one]
                lines = drawn(whole, 20).between_ends(MEETING_IN).linestrings()
                if not any(shapely.intersects(lines[i], lines[:i]).any() for i in range(count)):
                    return whole
    x = np.linspace(0, 1, len(axis))
    width = min(float(half.max()), _TUFT.slender * float(np.hypot(*np.diff(axis, axis=0).T).sum()))
    return [needle(axis, max(width, _TUFT.least * thin) * profile(x))]


def _of_tuft(axis: Numbers, half: Numbers, count: int, aside: float, thin: float) -> Outline | None:
    """One of so many needles within a leaf, if it is wide enough; aside: where it lies, from -1 to 1."""
    x = np.linspace(0, 1, len(axis))
    level = x * (1 - _TUFT.shorter_aside * abs(aside))
    line = np.stack([np.interp(level, x, one) for one in axis.T], axis=1)
    free = np.interp(level, x, half)
    fan = np.minimum(free, half.max() * np.sin(np.pi * np.minimum(level, 0.5)))  # not steep where they part
    line = line + aside * fan[:, None] * across(line)
    inner = (x > FIT_FROM) & (x < FIT_TO)
    shape = profile(x, _TUFT.open)
    widest = float((fan[inner] / count / shape[inner]).min()) - HAIR_IN
    slender = _TUFT.slender * float(np.hypot(*np.diff(line, axis=0).T).sum())
    least = _TUFT.least * thin
    return needle(line, max(min(widest, slender), least) * shape) if widest > least else None


def small_needle(hole: Hole, needs: Needs) -> list[Outline]:
    """A needle hung into a hole: from where it hangs to the far side."""
    base, centre = np.array(hole.nearest), np.array(hole.centre)
    ahead = (centre - base) / np.hypot(*(centre - base))
    axis = np.linspace(base, centre + hole.radius * ahead, 41)
    width = min(_TUFT.slender * float(np.hypot(*(axis[-1] - base))), hole.radius / 2)
    shape = profile(np.linspace(0, 1, 41), _TUFT.open)
    return [needle(axis, max(width, _TUFT.least * needs.smallest / 2) * shape)]
