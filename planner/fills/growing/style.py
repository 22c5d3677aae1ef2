"""What a fill says of itself, for the engine to grow it: its shapes for strips, tips, crooks and holes. Inches."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf
from random import Random

import numpy as np

from planner.fills.growing.bent import Bent
from planner.fills.growing.flow import FlowLines, Lean
from planner.fills.growing.outline import Outline, across
from planner.fills.growing.standing import Hole
from planner.geometry.arrays import Indices, Numbers
from planner.geometry.curves import Arc, Point


@dataclass(frozen=True, slots=True)
class Needs:
    """What the plan asks of a fill, inches, and the seed of its small irregularities.

    reach: how far from the spine its shapes may grow, for a background to be seen behind them; variant: which
    one of a pocket that comes again.
    """

    room: float
    smallest: float
    seed: int
    reach: float = inf
    variant: int = 0

    def about(self, size: float, share: float, what: str) -> float:
        """A size, give or take a share of it: the same for all of one variant, and as it is in the first."""
        if not self.variant:
            return size
        return size * (1 + share * Random(f"{self.seed} {self.variant} {what}").uniform(-1, 1))


_SIDES = np.array([0.5, 0.0, 1.0])  # across a strip: its middle, its left and its right side


@dataclass(frozen=True, slots=True)
class FlowStrips:
    """Strips between neighbouring flow lines: seeds (fractional) of both sides, width at the head, length."""

    lines: FlowLines
    left: Numbers
    right: Numbers
    width: Numbers
    length: Numbers

    def some(self, which: slice | Indices) -> FlowStrips:
        """Only these of them."""
        return FlowStrips(
            self.lines, self.left[which], self.right[which], self.width[which], self.length[which]
        )

    def points(self, across: Numbers, up: Numbers) -> Numbers:
        """Points of each strip: across 0..1 left to right, up 0..1 base to head. Shape (m, n, 2)."""
        seed = self.left[:, None] + (self.right - self.left)[:, None] * across
        points = self.lines.at(seed, up)
        on_spine = np.broadcast_to(up, seed.shape) == 0
        points[on_spine] = self.lines.base(seed[on_spine])
        return points

    def middles(self, up: Numbers) -> tuple[Numbers, Numbers, Numbers]:
        """Half way between both sides, at levels 0..1 of shape (m, n) or (1, n).

        The points (m, n, 2), unit vectors square to the line through them, and the half widths (m, n) free there.
        """
        n = up.shape[1]
        points = self.points(_SIDES.repeat(n)[None], np.concatenate((up, up, up), axis=1))
        middle, left, right = points[:, :n], points[:, n : 2 * n], points[:, 2 * n :]
        square = across(middle)
        free = np.minimum(*(np.abs(((side - middle) * square).sum(axis=2)) for side in (left, right)))
        return middle, square, free


@dataclass(frozen=True, slots=True)
class Motif:
    """A shape placed before the flow, with those nested in it. guard: what the flow must keep clear of."""

    outlines: tuple[Outline, ...]
    guard: Numbers


def _no_sprigs(hole: Hole, needs: Needs) -> Sequence[Sequence[Outline]]:
    return ()


@dataclass(frozen=True, slots=True)
class Style:
    """What a fill looks like.

    width: of a strip as long as the room is wide, as a share of the room; shortest: strips shorter than this
    share of the room are left to the holes; jump: so does what differs by more from its neighbour, in rooms.
    sweeps: the flow leans on past the tips, and what grows before one goes on over it. fans: what grows behind one
    comes round it too, from one point, as needles do in a tuft. covers: the flow goes on
    past the drops in the crooks. partings: how many shapes stand where the flow parts.
    work: how much a shape of it takes to grow, beside a leaf, inf where pockets alike are grown once; sways: by
    which share the flow leans more here and less there in variants of a pocket. sprigs: what is tried in a hole
    before its drop, each as shapes that stay or go together.
    """

    lean: Lean
    width: float
    shortest: float
    strips: Callable[[FlowStrips, Needs], list[list[Outline]]]
    tip: Callable[[Arc, Needs], Motif | None]
    crook: Callable[[Numbers, Numbers, Needs], Motif | None]
    crook_radius: float
    parting: Callable[[FlowStrips, Needs], list[list[Outline]]]
    heart: Callable[[Point, Point, Needs], Motif | None]
    drop: Callable[[Hole, Needs], list[Outline]]
    bent: Bent
    covers: bool = False
    sweeps: bool = False
    fans: bool = False
    jump: float = 0.35
    partings: int = 1
    work: float = 1.0
    sways: float = 0.3
    sprigs: Callable[[Hole, Needs], Sequence[Sequence[Outline]]] = _no_sprigs
