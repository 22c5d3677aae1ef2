"""The moves of the needle, and what a whole path of them costs. Lengths are inches, coordinates the quilt's."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, NamedTuple

from planner.fills.pocket import Pocket
from planner.geometry.curves import Curve, Point
from planner.plan import SideName
from planner.stitching.net import Strand, apart
from planner.stitching.postman import Edge, connected_components, least_retrace
from planner.stitching.zones import Zone

SegmentKind = Literal["spine", "tip", "fill", "backtrack", "travel"]
SpinesCome = Literal["first", "on_the_way", "after"]
"""When the spines are stitched: before the filling begins, as it comes to them, or after what threads before theirs
stitch."""


class Segment(NamedTuple):
    """One move of the needle.

    kind: spine and fill are new, tip is the shape at the end of a tail; backtrack goes over a tail or a shape
    again, travel over the spine. what: the part of the spine, or the kind of shape. pocket: the one being
    filled, None while on the spines. line: which line it belongs to, from 0; each has one start and one stop.
    strand: what it goes along; places: from which place of it to which. shape: which of the fill's shapes that
    is, None for a spine; span: from where to where along it (inches). Of both the first is the greater when it
    goes towards the start. thread: which of her threads it is, from 0. strip: which strip of a frame it lies in.
    """

    kind: SegmentKind
    what: str
    pocket: Pocket | None
    line: int
    strand: Strand
    places: tuple[float, float]
    shape: int | None = None
    thread: int = 0
    strip: int = 0

    @property
    def start(self) -> Point:
        """Where the needle is before it."""
        return self.strand.point(self.places[0])

    @property
    def end(self) -> Point:
        """Where the needle is after it."""
        return self.strand.point(self.places[1])

    @property
    def span(self) -> tuple[float, float]:
        """From where to where along the strand, inches from its start."""
        return self.strand.along(self.places[0]), self.strand.along(self.places[1])

    @property
    def length(self) -> float:
        """Inches."""
        begun, ended = self.span
        return abs(ended - begun)

    @property
    def curves(self) -> tuple[Curve, ...]:
        """The curves it follows, in its own direction; made anew each time."""
        return self.strand.between(*self.places)

    @property
    def again(self) -> bool:
        """Whether it goes over what is stitched already."""
        return self.kind in ("backtrack", "travel")


@dataclass(frozen=True, slots=True)
class ThreadPath:
    """What one thread's part of the order costs (inches). starts: lines begun, none that it is carried to."""

    thread: int
    length: float
    retraced: float
    starts: int
    carries: int


@dataclass(frozen=True, slots=True)
class Strip:
    """What lies under the needle at one time, and what is stitched of it (inches).

    begin, end: from where to where it reaches, from the top raw edge, or along its side from where that begins.
    side: of a border stitched by itself. starts: lines begun in it; pockets: those filled in it, in order.
    """

    begin: float
    end: float
    side: SideName | None
    starts: int
    length: float
    pockets: tuple[Pocket, ...]


@dataclass(frozen=True, slots=True)
class StitchPath:
    """The whole order, and what it costs (inches).

    net: all that is stitched, as edges. least_retraced_spine: the least with which the spines can be stitched.
    carry: over how much bare cloth a thread is carried to where its next line begins. zones: what lies under the
    needle at one time; the segments' strips are counted through them.
    """

    segments: tuple[Segment, ...]
    net: tuple[Edge, ...]
    least_retraced_spine: float
    carry: float = 0.0
    zones: tuple[Zone, ...] = ()

    @property
    def strips(self) -> tuple[Strip, ...]:
        """Strip by strip, in the order in which they come under the needle."""
        begun = self._begun
        found = []
        for n, zone in enumerate(self.zones):
            mine = [s for s in self.segments if s.strip == n]
            pockets = tuple(dict.fromkeys(s.pocket for s in mine if s.kind == "fill" and s.pocket))
            starts = sum(strip == n for strip, _ in begun.values())
            found.append(Strip(zone.begin, zone.end, zone.side, starts, sum(s.length for s in mine), pockets))
        return tuple(found)

    @property
    def advances(self) -> int:
        """How often the quilt is moved on, or turned, to the next strip."""
        return sum(a.strip != b.strip for a, b in pairwise(self.segments))

    @property
    def changes(self) -> int:
        """How often another thread is put in."""
        return sum(a.thread != b.thread for a, b in pairwise(self.segments))

    @property
    def _begun(self) -> dict[int, tuple[int, int]]:
        """Of each line that is begun, none that the thread is carried to: its strip and its thread."""
        carried, begun = self.carried, dict[int, tuple[int, int]]()
        for s in self.segments:
            if s.line not in carried:
                begun.setdefault(s.line, (s.strip, s.thread))
        return begun

    @property
    def spines_come(self) -> SpinesCome:
        """When the spines are stitched, in each strip."""
        spines = [s for s in self.segments if s.kind == "spine"]
        if spines and self.threads[0].thread < spines[0].thread:
            return "after"
        return "first" if all(s.pocket is None for s in spines) else "on_the_way"

    @property
    def ahead(self) -> tuple[bool, ...]:
        """Of each move whether it goes over a line that is stitched only later, by a thread that covers it."""
        sewn, found = set[Strand](), list[bool]()
        for s in self.segments:
            found.append(s.again and s.strand not in sewn)
            if not s.again:
                sewn.add(s.strand)
        return tuple(found)

    @property
    def outlines(self) -> dict[int, tuple[Curve, ...]]:
        """Each shape of the fill as it is stitched, by its number: its ends are tied to what it stands on."""
        strands = {s.shape: s.strand for s in self.segments if s.shape is not None}
        return {shape: strand.between(0, len(strand.curves)) for shape, strand in strands.items()}

    @property
    def lines(self) -> int:
        """Lines without a break, of whatever thread."""
        return self.segments[-1].line + 1 if self.segments else 0

    @property
    def carried(self) -> frozenset[int]:
        """The lines to which the thread is carried from the end of the line before, instead of begun anew."""
        joints = (
            (last, first)
            for last, first in pairwise(self.segments)
            if last.line != first.line and (last.thread, last.strip) == (first.thread, first.strip)
        )
        return frozenset(
            first.line for last, first in joints if self.carry and apart(last.end, first.start) <= self.carry
        )

    @property
    def starts(self) -> int:
        """Lines begun; each is stopped once. A line that the thread is carried to is not begun."""
        return self.lines - len(self.carried)

    @property
    def threads(self) -> tuple[ThreadPath, ...]:
        """Thread by thread, in the order in which they are stitched."""
        carried, found = self.carried, []
        for thread in sorted({s.thread for s in self.segments}):
            mine = [s for s in self.segments if s.thread == thread]
            lines = {s.line for s in mine}
            again = sum(s.length for s in mine if s.again)
            carries = len(lines & carried)
            found.append(
                ThreadPath(thread, sum(s.length for s in mine), again, len(lines) - carries, carries)
            )
        return tuple(found)

    @property
    def length(self) -> float:
        """The whole way of the needle, inches."""
        return sum(s.length for s in self.segments)

    @property
    def retraced(self) -> float:
        """What of it goes over stitches already there, inches."""
        return sum(s.length for s in self.segments if s.again)

    @property
    def least_retraced(self) -> tuple[float, bool]:
        """The least with which the same drawing can be stitched at all, by route inspection (inches).

        In any order: spines and fill mixed, pockets left and come back to. And whether that is exact; in a net
        too wide meshed for that it is a floor, which the least may lie above.
        """
        groups = connected_components(self.net)
        least = [least_retrace([self.net[i] for i in group]) for group in groups]
        return sum(one.length for one in least), all(one.exact for one in least)

    @property
    def retraced_spine(self) -> float:
        """What of the spines is stitched twice before the filling begins."""
        return sum(s.length for s in self.segments if s.again and s.shape is None and not s.pocket)

    @property
    def pockets(self) -> tuple[Pocket, ...]:
        """The pockets in the order in which they are filled."""
        return tuple(dict.fromkeys(s.pocket for s in self.segments if s.kind == "fill" and s.pocket))
