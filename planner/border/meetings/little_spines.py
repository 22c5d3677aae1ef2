"""Little spines: the middle stays open, and from each last curl a small hook lets the fill drip into it."""

from __future__ import annotations

from math import pi, radians

import numpy as np

from planner.border.band import Band
from planner.border.corners import Chain
from planner.border.meetings.record import Arcs, Meeting
from planner.border.room import longest_plume
from planner.border.spine import Piece
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Arc
from planner.plan import Choice, Plan

HOOK = 0.2  # radius of a hook as a share of the middle: two hooks leave a fifth of it open between them
HOOK_SWEEP = radians(235)


def limits(plan: Plan, band: Band) -> tuple[float, float]:
    """From the side's room (less: no hook fits) to two longest plumes (more: the fill cannot cross)."""
    return band.room, 2 * longest_plume(plan.fill, band.room)


def pieces(chain: Chain, band: Band, choice: Choice) -> list[Piece]:
    """One hook, leaving the last curl where it faces the middle and turning the other way."""
    last = chain.circles[-1]
    radius = HOOK * chain.middle
    centre = (last.centre[0] + last.radius + radius, last.centre[1])
    return [Piece("tail", len(chain.circles), Arc(centre, radius, pi, -last.turn * HOOK_SWEEP))]


def _hooks(height: Numbers, h: Numbers, r: Numbers, half: Numbers, middle: Numbers) -> Arcs:
    """The hook of the last curl."""
    hook, none = HOOK * middle, np.zeros_like(r)
    return [(r + hook, h, hook, none + pi, none + HOOK_SWEEP)]


LITTLE_SPINES = Meeting(
    kind="little_spines",
    listed="little spines",
    spoken="little spines in the middle",
    chalked="The middle stays open, {wide} wide. From each last circle a hook curls away from it: {circle}. "
    "{centre} {chalk}.",
    takes="what is left",
    limits=limits,
    pieces=pieces,
    arcs=_hooks,
)
