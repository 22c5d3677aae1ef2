"""Wreath: a ring on the centre line of the band touches both last circles."""

from __future__ import annotations

from math import pi

from planner.border.band import Band
from planner.border.corners import Chain
from planner.border.room import smallest_curl
from planner.border.run import Numbers
from planner.border.spine import Piece, tangent_angles
from planner.border.tin import diameters, drawn_or_quarter
from planner.geometry.curves import Arc
from planner.plan import Choice, Plan


def limits(plan: Plan, band: Band) -> tuple[float, float]:
    """From the smallest curl that can be filled to the height of the band."""
    return 2 * smallest_curl(plan.fill, band.room), band.height


def middles(plan: Plan, band: Band) -> Numbers:
    """Rings she can draw round.

    What she cuts herself goes by quarter inches: the ease takes up what is finer.
    """
    sizes = diameters(plan, *limits(plan, band))
    return sizes[drawn_or_quarter(plan, sizes)]


def pieces(chain: Chain, band: Band, choice: Choice) -> list[Piece]:
    """The whole ring, once round from where the start run touches it."""
    ring = chain.ring
    assert ring is not None
    arrive = tangent_angles(chain.circles[-1], ring)[1]
    return [Piece("ring", len(chain.circles), Arc(ring.centre, ring.radius, arrive, ring.turn * 2 * pi))]
