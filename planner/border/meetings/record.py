"""A meeting as one record: all that is particular to it, from its name to the spine it adds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from planner.border.band import Band
from planner.border.corners import Chain
from planner.border.run import OPEN, HalfMiddle
from planner.border.spine import Circle, Piece
from planner.geometry.arrays import Numbers
from planner.plan import Choice, Plan

# An arc near the middle as arrays, one row a run: centre along the side from the last circle's, centre's depth,
# radius, where it begins and how far it turns (radians).
Arcs = list[tuple[Numbers, Numbers, Numbers, Numbers, Numbers]]


def _no_pieces(chain: Chain, band: Band, choice: Choice) -> list[Piece]:
    return []


def _straight_on(height: Numbers, h: Numbers, half: Numbers) -> Numbers:
    return np.zeros_like(half)


def _nothing_else(height: Numbers, h: Numbers, r: Numbers, half: Numbers, middle: Numbers) -> Arcs:
    return []


Takes = Literal["nothing", "a ring", "what is left"]


@dataclass(frozen=True, slots=True)
class Meeting:
    """What fills the middle of a side between two mirrored runs.

    kind: its word in a plan; listed: its name where it is chosen; spoken: what a layout with it is said to have;
    chalked: how its middle is chalked, with {circle}, {centre} and {chalk} for the size, the
    place and the way round of what is chalked there, {wide} for what stays open and {frame} for its frame.
    takes: how its middle comes about: there is none, or it is a ring she can draw round, or what touching circles
    leave open. limits: its smallest and largest middle (inches). half: what it takes of a run.
    pieces: the spine it adds on the start run's half, in band coordinates. ring: the circle between the last
    two, if it has one. woven: its middle is cross-hatched and takes no fill.
    leaves: the angle at which the last curl's stem would go on, and arcs: what else of its spine stands before
    the middle of the side, for its reach: from the depth h of the last circle, its radius r and the half middle.
    """

    kind: str
    listed: str
    spoken: str
    chalked: str
    takes: Takes
    limits: Callable[[Plan, Band], tuple[float, float]]
    half: HalfMiddle = OPEN
    pieces: Callable[[Chain, Band, Choice], list[Piece]] = _no_pieces
    ring: Callable[[Band, Choice, Circle], Circle] | None = None
    woven: bool = False
    leaves: Callable[[Numbers, Numbers, Numbers], Numbers] = _straight_on
    arcs: Callable[[Numbers, Numbers, Numbers, Numbers, Numbers], Arcs] = _nothing_else
