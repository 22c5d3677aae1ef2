"""A background as one record: what lies behind a fill, from its name to how it is drawn."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import inf

from planner.fills.growing.finish import Settled
from planner.fills.growing.ground import Ground
from planner.fills.growing.style import Needs
from planner.fills.record import ThreadFigures
from planner.geometry.curves import Curve

Lines = list[tuple[Curve, ...]]
Draw = Callable[[Settled, Sequence[Ground | None], Container[int], Needs], Iterator[Lines]]
NO_THREAD = ThreadFigures(area=0.0, spine=0.0, feature=0.0)


@dataclass(frozen=True, slots=True)
class BackgroundRecord:
    """One background.

    kind: its word in a plan; listed: its name where it is chosen; spoken: what is said of a border that has it,
    after the name of the fill ("feathers, pebbles behind"); by_hand: how it is stitched, for the hand-out (common
    practice, no source). reach: how far from the spine a fill grows before it, as a share of the room, inf for one
    that is whole; edge: how far it stays off the edge of its ground, the same; draw: the lines in each of some
    pockets, told with the grounds that the fill had (none where none grew from a spine) and which are asked for,
    each of them growing from the spine, a shape or a line before it; shape: the kind of these, shapes: what the
    needle is said to stitch. fill_kept: which share of its thread a fill keeps before it; thread: what it takes
    itself (``tests.thread_figures`` fits both).
    """

    kind: str
    listed: str
    spoken: str = ""
    by_hand: str = ""
    reach: float = inf
    edge: float = 0.0
    draw: Draw | None = None
    shape: str = ""
    shapes: Mapping[str, str] = field(default_factory=dict)
    fill_kept: float = 1.0
    thread: ThreadFigures = NO_THREAD
