"""A fill as one record: all that is particular to it, from its name to how it is drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from planner.fills.echoing.shares import Share
from planner.fills.growing.ground import Ground
from planner.fills.growing.style import Needs, Style
from planner.geometry.curves import Curve
from planner.kinds import NeedRange
from planner.threads import PartName

Lines = Callable[[Ground, Needs, Share], list[list[tuple[Curve, ...]]]]
"""Of a pocket, what it gives other pockets, one by one as its share says, or nothing; last what it keeps."""


@dataclass(frozen=True, slots=True)
class ThreadFigures:
    """Inches stitched to fill a border, backtracks and travel counted; ``tests.thread_figures`` fits them.

    area: for each square inch of it where the room is an inch (an even fill is the denser the less room it has);
    spine: for each inch stitched of its spine where spines lie far apart (where curls crowd, their fills share
    the ground); feature: of those square inches, what a smallest feature as large as the room would add.
    """

    area: float
    spine: float
    feature: float


def _as_wide(room: float, radius: float, smallest: float) -> float:
    return room


@dataclass(frozen=True, slots=True)
class FillRecord:
    """One fill.

    kind: its word in a plan; listed: its name where it is chosen; spoken: its name in a sentence ("filled with
    ..."); shapes: what the needle is said to stitch, by the kind of a shape, where "a" and that kind will not
    do; one, many: what its longest shapes are called. by_hand: how one shape of it is stitched, for the hand-
    out (common practice, no source). style: how it is drawn, by the growing engine or with lines of its own.
    parts: what of it may have a thread of its own. grain: for which room its shapes are sized, where there is so
    much, on curls of such a radius, with such a smallest feature.
    """

    kind: str
    listed: str
    spoken: str
    by_hand: str
    needs: NeedRange
    thread: ThreadFigures
    style: Style | Lines
    one: str = "shape"
    many: str = "shapes"
    shapes: Mapping[str, str] = field(default_factory=dict)
    parts: tuple[PartName, ...] = ("main",)
    grain: Callable[[float, float, float], float] = _as_wide
