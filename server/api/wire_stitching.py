"""A layout with its fill and its stitching path, as it leaves the program."""

from __future__ import annotations

from planner.fills.shape import FillOfLayout
from planner.geometry.svg import svg_path
from planner.stitching.segments import Segment, SegmentKind, StitchPath
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
    length_in: float


class ThreadPathOut(Wire):
    """What one thread's part of the way costs. carries: lines it is carried to over bare cloth instead of begun."""

    thread: int
    length_in: float
    retraced_in: float
    starts: int
    carries: int


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
    threads: list[ThreadPathOut]

    @classmethod
    def of(cls, path: StitchPath) -> PathOut:
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
            threads=[
                ThreadPathOut(
                    thread=one.thread,
                    length_in=one.length,
                    retraced_in=one.retraced,
                    starts=one.starts,
                    carries=one.carries,
                )
                for one in path.threads
            ],
        )


def _segment(segment: Segment) -> AlongShape | AlongSpine:
    common = {
        "kind": segment.kind,
        "what": segment.what,
        "pocket": segment.pocket.id if segment.pocket else "",
        "line": segment.line,
        "thread": segment.thread,
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


def stitched_out(placed: PlacedOut, grown: FillOfLayout, path: StitchPath) -> StitchedOut:
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
        path=PathOut.of(path),
    )
