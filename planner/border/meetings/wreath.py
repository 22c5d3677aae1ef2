"""Wreath: a ring on the centre line of the band touches both last circles."""

from __future__ import annotations

from math import pi

import numpy as np

from planner.border.band import Band
from planner.border.corners import Chain
from planner.border.meetings.record import Arcs, Meeting
from planner.border.room import smallest_curl
from planner.border.run import HalfMiddle
from planner.border.spine import Circle, Piece, tangent_angles
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Arc
from planner.plan import Choice, Plan


def limits(plan: Plan, band: Band) -> tuple[float, float]:
    """From the smallest curl that can be filled to the height of the band."""
    return 2 * smallest_curl(plan.fill, band.room), band.height


def pieces(chain: Chain, band: Band, choice: Choice) -> list[Piece]:
    """The whole ring, once round from where the start run touches it."""
    if (ring := chain.ring) is None:
        return []
    arrive = tangent_angles(chain.circles[-1], ring)[1]
    return [Piece("ring", len(chain.circles), Arc(ring.centre, ring.radius, arrive, ring.turn * 2 * pi))]


def ring(band: Band, choice: Choice, last: Circle) -> Circle:
    """The ring on the middle of the band."""
    return Circle((band.span / 2, band.height / 2), choice.middle_of(band.side) / 2, "ring", -last.turn)


def _leaves(height: Numbers, h: Numbers, half: Numbers) -> Numbers:
    """Towards the middle of the ring."""
    return np.asarray(np.arctan2(height / 2 - h, half))


def _arcs(height: Numbers, h: Numbers, r: Numbers, half: Numbers, middle: Numbers) -> Arcs:
    """The whole ring."""
    none = np.zeros_like(half)
    return [(half, height / 2, middle / 2, none, none + 2 * pi)]


WREATH = Meeting(
    kind="wreath",
    listed="wreath",
    spoken="a wreath in the middle",
    chalked="{circle}, all the way round, on the middle of the side. {centre} It touches both last circles.",
    takes="a ring",
    limits=limits,
    half=HalfMiddle(radii=1.0, middles=0.5, rises=0.5),
    pieces=pieces,
    ring=ring,
    leaves=_leaves,
    arcs=_arcs,
)
