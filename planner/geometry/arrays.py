"""Arrays, and how near is near enough: the types and the tolerances that everything shares. Inches."""

from __future__ import annotations

from functools import reduce
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Numbers: TypeAlias = NDArray[np.float64]
Singles: TypeAlias = NDArray[np.float32]
Indices: TypeAlias = NDArray[np.intp]
Mask: TypeAlias = NDArray[np.bool_]

# What floats lose. A length of 240 in has a last bit of 3e-14 in, and some hundred sums are made of it.
SETTLED_IN = 1e-12  # a root is found: a thousandth of what may be left over at the middle of a side
ROUNDING_IN = 1e-9  # two lengths are one: circles touch, a circle lies on a guide line, two ways are as long
ROUNDING = 1e-9  # the same for a number without a unit: a share, a count of marks, a cost
NOUGHT = 1e-12  # added to a divisor that may be nothing
# What was drawn or read twice is one: a millionth, far below a thread, far above what floats lose. Lengths, angles,
# and shares of a curve.
SAME_IN = 1e-6
SAME_RAD = 1e-6
SAME = 1e-6

# What is chosen by size is chosen by rounded sizes: of two alike the first is taken, not what floats favour.
DIGITS = 6

# How far a polyline may stray from the curve it stands for.
SPINE_CHORD_IN = 5e-5  # where shapes are cut off at a spine: half of what is allowed between two shapes
CHORD_IN = 1e-4  # where it matters whether shapes cross
COARSE_CHORD_IN = 2e-3  # where only distances count, of which a tenth of a thread is enough
DRAWN_IN = 2.5e-3  # what a screen shows of what is stitched: an eighth of a thread, which nobody sees
NEIGHBOUR_CHORD_IN = 0.01  # where neighbours are only found, and measured afterwards

# What counts as meeting.
MEETING_IN = (
    1e-3  # shapes as near as this may cross, and their ends are looked at so far from where they meet
)
ON_IN = 0.02  # a shape that begins this near a strand begins on it: the width of a thread
CHALK_IN = 1 / 128  # nearer than this, two chalk lines run into each other
TOUCHING_IN = 1 / 64  # circles nearer than that touch, to her


def largest(rows: Numbers) -> Numbers:
    """The largest of each row of few columns, (n,) from (n, m): column by column, since numpy's own reduction goes
    row by row and takes fifty times as long."""
    return np.asarray(reduce(np.maximum, rows.T))


def smallest(rows: Numbers) -> Numbers:
    """The smallest of each row of few columns, (n,) from (n, m)."""
    return np.asarray(reduce(np.minimum, rows.T))


def square(ways: Numbers) -> Numbers:
    """Squares of the lengths of some ways (..., 2), in square inches."""
    return np.asarray(ways[..., 0] ** 2 + ways[..., 1] ** 2)
