"""A layout with its fill and its stitching path, as it leaves the program."""

from __future__ import annotations

from planner.fills.shape import FillOfLayout
from planner.geometry.svg import svg_path
from planner.plan import SideName, Units
from planner.stitching.segments import Segment, SegmentKind, StitchPath, Strip
from planner.supplies.basis import usual
from planner.supplies.by_thread import ThreadTakes, takes_by_thread
from server.api.wire import Pair, Wire
from server.api.wire_layout import PlacedOut


class ShapeOut(Wire):
    """One thing that is stitched in one go: plume, leaf, needle, flower ..."""

    kind: str
    pocket: str
    svg: str


class PocketOut(Wire):
    """A pocket with its turn in the order of filling."""

    pocket: str
    number: int


class SegmentOut(Wire):
    """One move of the needle.

    Along a shape it names that by its place in ``fill`` and says from where to where along it (``span_in``; the
    first is the greater when it is stitched from its end); any other carries its curves as ``svg``.
    """

    kind: SegmentKind
    what: str
    pocket: str
    line: int
    thread: int
    strip: int
    length_in: float


class ThreadPathOut(Wire):
    """What one thread's part of the way costs, by the usual figures of the plan's units.

    carries: lines it is carried to over bare cloth instead of begun. needle_thread_in: tails among it; minutes: at
    the machine, on a quick and on a slow day.
    """

    thread: int
    length_in: float
    retraced_in: float
    starts: int
    carries: int
    needle_thread_in: float
    bobbins: int
    minutes: Pair

    @classmethod
    def of(cls, takes: ThreadTakes) -> ThreadPathOut:
        """A thread's part as it leaves."""
        one = takes.path
        return cls(
            thread=one.thread,
            length_in=one.length,
            retraced_in=one.retraced,
            starts=one.starts,
            carries=one.carries,
            needle_thread_in=takes.sewn.needle_in,
            bobbins=takes.sewn.bobbins,
            minutes=(takes.minutes.quick, takes.minutes.slow),
        )


class StripOut(Wire):
    """What lies under the needle at one time: from where to where, from the top raw edge or along its side."""

    from_in: float
    to_in: float
    side: SideName | None
    starts: int
    length_in: float
    pockets: list[str]

    @classmethod
    def of(cls, strip: Strip) -> StripOut:
        """A strip as it leaves."""
        return cls(
            from_in=strip.begin,
            to_in=strip.end,
            side=strip.side,
            starts=strip.starts,
            length_in=strip.length,
            pockets=[pocket.id for pocket in strip.pockets],
        )


class AlongShape(SegmentOut):
    shape: int
    span_in: Pair


class AlongSpine(SegmentOut):
    svg: str


class PathOut(Wire):
    """The whole way of the needle. retraced: what is stitched again; least: what any way must stitch again."""

    segments: list[AlongShape | AlongSpine]
    length_in: float
    retraced_in: float
    least_retraced_in: float
    least_retraced_exact: bool  # else it is a floor
    retraced_spine_in: float
    least_retraced_spine_in: float
    starts: int
    stops: int
    changes: int
    advances: int
    threads: list[ThreadPathOut]
    strips: list[StripOut]

    @classmethod
    def of(cls, path: StitchPath, units: Units) -> PathOut:
        """The figures of a stitching path as they leave."""
        least, exact = path.least_retraced
        return cls(
            segments=[_segment(segment) for segment in path.segments],
            length_in=path.length,
            retraced_in=path.retraced,
            least_retraced_in=least,
            least_retraced_exact=exact,
            retraced_spine_in=path.retraced_spine,
            least_retraced_spine_in=path.least_retraced_spine,
            starts=path.starts,
            stops=path.starts,
            changes=path.changes,
            advances=path.advances,
            threads=[ThreadPathOut.of(one) for one in takes_by_thread(path.threads, usual(units), units)],
            strips=[StripOut.of(strip) for strip in path.strips],
        )


def _segment(segment: Segment) -> AlongShape | AlongSpine:
    common = {
        "kind": segment.kind,
        "what": segment.what,
        "pocket": segment.pocket.id if segment.pocket else "",
        "line": segment.line,
        "thread": segment.thread,
        "strip": segment.strip,
        "length_in": round(segment.length, 4),
    }
    if segment.shape is None:
        return AlongSpine.model_validate({**common, "svg": svg_path(segment.curves)})
    begin, end = segment.span
    return AlongShape.model_validate(
        {**common, "shape": segment.shape, "span_in": (round(begin, 4), round(end, 4))}
    )


class StitchedOut(PlacedOut):
    """The same with its fill, the pockets in the order of filling, and the way of the needle."""

    fill: list[ShapeOut]
    pockets: list[PocketOut]
    path: PathOut


def stitched_out(placed: PlacedOut, grown: FillOfLayout, path: StitchPath, units: Units) -> StitchedOut:
    """A layout, its fill as the needle follows it, and the way of the needle, as they leave."""
    outlines = path.outlines
    return StitchedOut(
        **dict(placed),
        fill=[
            ShapeOut(
                kind=shape.kind,
                pocket=shape.pocket.id if shape.pocket else "",
                svg=svg_path(outlines[number]),
            )
            for number, shape in enumerate(grown.shapes())
        ],
        pockets=[PocketOut(pocket=pocket.id, number=n) for n, pocket in enumerate(path.pockets, 1)],
        path=PathOut.of(path, units),
    )
