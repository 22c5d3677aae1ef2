"""A corner style as one record: its names, and how the circles of each side follow from a choice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from planner.border.band import Band
from planner.border.corners import Chain
from planner.plan import Choice, Plan, SideName


@dataclass(frozen=True, slots=True)
class CornerStyle:
    """How the runs pass a corner.

    kind: its word in a plan; name: ours for it; listed: its name where it is chosen; by_hand: how the stitching
    of the spines goes on after the first corner (common practice, no source).
    meets: both runs leave a corner alike and meet in the middle of the side; otherwise one run goes round the
    quilt. strict: the steps of a side are all alike, so that its ease is one root; otherwise its chains wander,
    and are landed and measured one by one.
    spreads: a run of it can be spread anew where she stood off.
    large_circle: a circle larger than those of the runs, or as large, stands in each corner.
    chains: for each side that lands, the chain of circles in band coordinates and the ease it took.
    """

    kind: str
    name: str
    listed: str
    by_hand: str
    chains: Callable[[dict[SideName, Band], Plan, Choice], dict[SideName, Chain]]
    meets: bool = False
    strict: bool = True
    large_circle: bool = True
    spreads: bool = True


ALL_ROUND = "Go on from curl to curl along the side and round the next corner, all round the quilt."
