"""Echo: plain lines at even steps off the spine; for a first border. No motifs, nothing to mark.

Outside its circles the lines are those of one distance (planner.fills.echoing), inside a spiral with two arms.
A vein runs along each crease, where circles meet, and joins the tips of all lines there; lines that end on the edge
of the border are joined there two by two: one net that grows from the spine. Inches.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count
from math import dist

from planner.fills.echoing.discs import Disc, discs_of, level, straight
from planner.fills.echoing.lines import EchoLine, lines_of, with_images
from planner.fills.echoing.net import net
from planner.fills.echoing.shares import Share
from planner.fills.echoing.spiral import spiral
from planner.fills.growing.ground import Ground
from planner.fills.growing.style import Needs
from planner.fills.record import FillRecord, ThreadFigures
from planner.geometry.arrays import SAME_IN
from planner.geometry.curves import Arc, Curve
from planner.kinds import NeedRange


@dataclass(frozen=True, slots=True)
class _Echo:
    """The proportions of echo lines, all but the first in steps. Common practice, no source."""

    step: float = 0.41  # Of the room, from one line to the next: two lines and some air to each room.
    short: float = (
        0.6  # A shorter line is left out, since it is a tick, unless it goes on in the next pocket.
    )
    apart: float = 0.3  # Circles no farther apart count as touching.
    # How far from what is round it a rest gets a line of its own: the first that encloses it alone, and that is
    # still a seventh of a step from its middle, since there is no one distance that suits every rest.
    rests: tuple[float, ...] = (0.42, 0.5, 0.57, 0.65, 0.72, 0.8, 0.88)


_ECHO = _Echo()


def echoes(ground: Ground, needs: Needs, share: Share) -> list[list[tuple[Curve, ...]]]:
    """What a pocket gives away of its lines, ray by ray; last what it keeps: its spirals, and lines from the spine
    outwards with what joins them."""
    step = _ECHO.step * needs.room
    discs = discs_of(ground, _ECHO.apart * step)
    lines = list(_lines(ground, discs, step)) if ground.edges and share.lines else []
    whole = list(with_images(lines, discs, ground.mirror))
    *given, kept = net(whole, discs, ground, step, share)
    return [
        *([tuple(map(straight, line)) for line in some] for some in given),
        [*_spirals(ground, discs, step), *(tuple(map(straight, line)) for line in kept)],
    ]


def _spirals(ground: Ground, discs: Sequence[Disc], step: float) -> Iterator[tuple[Curve, ...]]:
    for disc in discs:
        if disc.filled:
            arcs = [s.curve for s in ground.flank if isinstance(s.curve, Arc) and s.curve.sweep > 0]
            first = next(a for a in arcs if dist(a.centre, disc.centre) < SAME_IN)
            yield from spiral(disc, step, first.begin)


def _lines(ground: Ground, discs: Sequence[Disc], step: float) -> Iterator[EchoLine]:
    """Line by line outwards; and a rest in which no next line fits, but a circle that is too wide, gets its own."""
    for n in count():
        ahead = [
            line
            for line in _level(ground, discs, n + 1, step)
            if line.length > _ECHO.short * step or "open" in line.ends
        ]
        rests = [
            [line for line in _level(ground, discs, n + share, step) if not any(map(line.faces, ahead))]
            for share in _ECHO.rests
        ]
        own: list[EchoLine] = []
        for rest, deeper in zip(rests, rests[2:], strict=False):
            own += [line for line in rest if any(map(line.faces, deeper)) and not any(map(line.faces, own))]
        yield from own
        if not ahead:
            return
        yield from ahead


def _level(ground: Ground, discs: Sequence[Disc], at: float, step: float) -> list[EchoLine]:
    return list(lines_of(level(discs, ground, at * step), discs, at, step, ground.mirror))


ECHO = FillRecord(
    kind="echo",
    listed="plain echo",
    spoken="echo lines",
    by_hand="Keep each line as far from the one before as the foot is wide, and slow down in the bends.",
    needs=NeedRange(
        least_room=0.25,
        comfortable_room=0.5,
        most_room=1.25,
        longest_ratio=6.0,
        longest_most=6.0,
        curl_share=1.0,
        smallest_feature=0.125,
    ),
    thread=ThreadFigures(area=2.37, spine=2.29, feature=0.10),
    style=echoes,
    one="echo line",
    many="echo lines",
    shapes={"echo": "an echo line"},
)
