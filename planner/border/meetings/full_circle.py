"""Full circle: the last circle of both runs is one, on the middle line; they lie on the same arc of it.

Its spine goes on from joint to joint round the guide line that it sits on, as a corner C does, and then closes the
ring: by r(π − 2·lean) along the far side, the least that is retraced, and nothing is left open where the run is
level. A run counts it, so a side holds one curl less than its two runs.
"""

from __future__ import annotations

from dataclasses import replace
from math import pi

from planner.border.band import Band
from planner.border.corners import Chain
from planner.border.meetings.butted import limits
from planner.border.meetings.record import Meeting
from planner.border.run import TURNING
from planner.border.spine import Piece, link_between, tangent_angles, turned
from planner.geometry.curves import Arc
from planner.plan import Choice


def pieces(chain: Chain, band: Band, choice: Choice) -> list[Piece]:
    """The link to the circle, the way through from joint to joint, and the way round that closes the ring."""
    circle, last, k = chain.ring, chain.circles[-1], len(chain.circles)
    if circle is None:
        return []
    link, arrive = link_between(last, circle), tangent_angles(last, circle)[1]
    through = turned(arrive, pi - arrive, circle.turn)
    far = circle.turn * 2 * pi - through
    return [
        *([Piece("link", k, link)] if link else []),
        Piece("ring", k, Arc(circle.centre, circle.radius, arrive, through)),
        Piece("ring", k, Arc(circle.centre, circle.radius, arrive + through, far)),
    ]


FULL_CIRCLE = Meeting(
    kind="full_circle",
    listed="full circle",
    spoken="a full circle in the middle",
    chalked="{circle}, all the way round, on the middle of the side: it is the last curl of both runs. {centre}",
    takes="nothing",
    limits=limits,
    half=replace(TURNING, least=2),
    pieces=pieces,
)
