"""What the practice sheet shows: a corner and a curl of her own border at full size, with less and less to go by.

First every line to trace, numbered as the needle takes them; then dots; then the spine alone; then only what her
chalk gives: guide lines and the centre of the circle. Quilt coordinates, of the top left corner and the top side.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from math import atan2, cos, pi, sin

import numpy as np
import shapely

from planner.border.band import CORNERS
from planner.border.layout import Layout
from planner.border.spine import Circle
from planner.fills.shape import FillOfLayout, Shape
from planner.geometry.arrays import Numbers
from planner.geometry.curves import Curve, Point
from planner.plan import SIDES
from planner.sheets.drawing import Box, Drawing, Label, Layer, Stroke, cross, half_round, line
from planner.sheets.free import in_free_paper, points_along, points_of_label, points_on
from planner.stitching.segments import Segment, StitchPath
from planner.threads import PARTS

AROUND_IN = 0.1  # of paper beyond what is drawn
CROSS_IN = 0.2
LETTERS_IN = (0.13, 0.1, 0.083)  # of a number: the last is 6 pt
BARB_IN, BARB_RAD = 0.16, pi / 7  # of an arrow on a spine
CHORD_IN = 0.02  # of a shape's outline: enough to tell how far it goes
CURL_WIDE = 1.75  # of its radius to either side: as much as a curl of 4 in leaves on Letter
NUMBER_WITHIN_IN = 0.4  # of the middle of what it belongs to


@dataclass(frozen=True, slots=True)
class Stage:
    """What is left to go by: the layers of spine and fill (None: not drawn), and whether strokes are numbered."""

    title: str
    words: str
    spine: Layer | None
    fill: Layer | None
    numbered: bool = False


STAGES = (
    Stage(
        "Trace every line",
        "With a finger, then a pen, in the order of the numbers; an arrow shows which way. Come back along a "
        "tail on its own line.",
        "spine",
        "fill",
        numbered=True,
    ),
    Stage("Follow the dots", "The same order, in one flowing line; do not stop at each dot.", "dots", "dots"),
    Stage("Fill round the spine", "The spine is there; the fill comes from your own eye.", "spine", None),
    Stage(
        "From bare guide lines",
        "What your chalk gives you, and no more: draw round the circle, then all of it.",
        None,
        None,
    ),
)


@dataclass(frozen=True, slots=True)
class Exercise:
    """One piece of the border to practise, drawn once for each of ``STAGES``."""

    title: str
    drawings: tuple[Drawing, ...]


@dataclass(frozen=True, slots=True)
class _Piece:
    """What is practised: its circle, its spines and shapes by their numbers in the layout, its paper."""

    title: str
    circle: Circle
    spines: Mapping[int, tuple[Curve, ...]]
    shapes: dict[int, Shape]
    box: Box


def exercises(layout: Layout, grown: FillOfLayout, path: StitchPath) -> list[Exercise]:
    """A corner, and a curl from the middle of a run."""
    return [_exercise(layout, piece, path) for piece in (_corner(layout, grown), _curl(layout, grown))]


def _corner(layout: Layout, grown: FillOfLayout) -> _Piece:
    """The C, with what is filled round and inside it as far as the corner's square goes."""
    arc = next(s.piece.arc for s in layout.spines if s.place == CORNERS[0])
    (x, y), radius = arc.centre, arc.radius
    right, foot = max(x + radius, layout.quilt.border("left")), max(y + radius, layout.quilt.border("top"))
    spines = {n: (s.piece.curve,) for n, s in enumerate(layout.spines) if s.place == CORNERS[0]}
    there = {n: s for n, s in enumerate(grown.shapes()) if s.pocket and s.pocket.corner == CORNERS[0]}
    shapes = _uncut(there, lambda p: p[0] < right and p[1] < foot)
    box = Box(-AROUND_IN, -AROUND_IN, right + 2 * AROUND_IN, foot + 2 * AROUND_IN)
    return _Piece("A corner", Circle(arc.centre, radius, "corner", 1), spines, shapes, box)


def _curl(layout: Layout, grown: FillOfLayout) -> _Piece:
    """Stem and tail, with what is filled round and inside them; half of the row beyond its neighbours goes."""
    run = [one for one in layout.circles if (one.side, one.run) == (SIDES[0], "start")]
    one = run[len(run) // 2]
    (x, _), radius = one.circle.centre, one.circle.radius
    left, right = x - CURL_WIDE * radius, x + CURL_WIDE * radius
    spines = {
        n: (s.piece.curve,)
        for n, s in enumerate(layout.spines)
        if (s.place, s.run, s.piece.curl) == (one.side, one.run, one.index)
        and s.piece.part in ("stem", "tail")
    }
    pocket = (one.side, one.run, one.index + 1)
    there = {
        n: s
        for n, s in enumerate(grown.shapes())
        if s.pocket and (s.pocket.side, s.pocket.run, s.pocket.curl) == pocket
    }
    shapes = _uncut(there, lambda p: left < p[0] < right)
    deep = layout.quilt.border(one.side)
    box = Box(left - AROUND_IN, -AROUND_IN, right - left + 2 * AROUND_IN, deep + 2 * AROUND_IN)
    return _Piece("A curl", one.circle, spines, shapes, box)


def _uncut(shapes: Mapping[int, Shape], shows: Callable[[Point], bool]) -> dict[int, Shape]:
    """The shapes that show whole; what lies inside one that does not, a leaf's vein, goes with it."""
    whole = {n: s for n, s in shapes.items() if all(map(shows, s.points(CHORD_IN)))}
    cut = [shapely.Polygon(s.points(CHORD_IN)) for n, s in shapes.items() if n not in whole and s.closed]
    gone = shapely.union_all(shapely.make_valid(cut))
    return {n: s for n, s in whole.items() if not gone.covers(shapely.Point(_middle(s)))}


def _exercise(layout: Layout, piece: _Piece, path: StitchPath) -> Exercise:
    box = piece.box
    beside = [
        Stroke("done", (curve,))
        for n, curve in enumerate(s.piece.curve for s in layout.spines)
        if n not in piece.spines and (_within(curve.start, box) or _within(curve.end, box))
    ]
    ground = [*_ground(layout, box), *cross("mark", piece.circle.centre, CROSS_IN)]
    marks = list(_in_order(layout, piece, path))
    return Exercise(piece.title, tuple(_drawing(piece, stage, ground, beside, marks) for stage in STAGES))


def _drawing(
    piece: _Piece,
    stage: Stage,
    ground: list[Stroke],
    beside: list[Stroke],
    marks: list[tuple[Point, Stroke | None]],
) -> Drawing:
    strokes = list(ground)
    if stage.spine:
        strokes += [*beside, *(Stroke(stage.spine, curves) for curves in piece.spines.values())]
    if stage.fill:
        strokes += [Stroke(stage.fill, shape.curves) for shape in piece.shapes.values()]
    labels: list[Label] = []
    if stage.numbered:
        strokes += [arrow for _, arrow in marks if arrow]
        labels = _numbers([at for at, _ in marks], points_along([*strokes, _edge(piece.box)]))
        labels = [label for label in labels if _within(label.at, piece.box)]
    drawn = Drawing(piece.box, tuple(strokes), tuple(labels), f"{piece.title}: {stage.title.lower()}")
    return half_round(drawn)  # as she stands at the raw edge


def _numbers(places: list[Point], taken: Numbers) -> list[Label]:
    """1, 2, 3 … at these places, where neither a line nor another number is; none where there is no room."""
    labels = []
    for n, at in enumerate(places):
        label = in_free_paper(str(n + 1), at, NUMBER_WITHIN_IN, taken, LETTERS_IN, "now")
        if label:
            labels.append(label)
            taken = np.concatenate((taken, points_of_label(label)))
    return labels


def _edge(box: Box) -> Stroke:
    """All round a piece: no number may cross it, or the paper would cut it."""
    right, foot = box.x + box.width, box.y + box.height
    return line("mark", (box.x, box.y), (right, box.y), (right, foot), (box.x, foot), (box.x, box.y))


def _within(point: Point, box: Box) -> bool:
    return box.x <= point[0] <= box.x + box.width and box.y <= point[1] <= box.y + box.height


def _ground(layout: Layout, box: Box) -> Iterator[Stroke]:
    """Raw edge, seam and guide lines: what she has before she draws."""
    quilt, right, foot = layout.quilt, box.x + box.width, box.y + box.height
    corner = box.x < 0
    top, left = quilt.border("top"), quilt.border("left")
    yield line("raw edge", *([(0.0, foot)] if corner else []), (max(box.x, 0.0), 0.0), (right, 0.0))
    yield line("seam", *([(left, foot)] if corner else []), (max(box.x, left), top), (right, top))
    for guide in layout.guides:
        if guide.side == "top" and guide.kind in ("outer", "inner"):
            yield Stroke("guide line", (guide.line,))
        elif corner and (guide.side, guide.kind) in (("left", "outer"), ("left", "inner"), ("top", "miter")):
            yield Stroke("miter" if guide.kind == "miter" else "guide line", (guide.line,))


def _in_order(layout: Layout, piece: _Piece, path: StitchPath) -> Iterator[tuple[Point, Stroke | None]]:
    """Where the needle first comes along each line of it: about the middle, on a spine with an arrow."""
    spines = {layout.spines[n].piece.curve for n in piece.spines}
    done: set[object] = set()
    for move in path.segments:
        line_of_it = move.strand.curves[0] if move.shape is None else move.shape
        if (
            move.again
            or line_of_it in done
            or line_of_it not in (spines if move.shape is None else piece.shapes)
        ):
            continue
        done.add(line_of_it)
        if move.shape is not None and PARTS.get(piece.shapes[move.shape].kind) == "background":
            continue  # hundreds of pebbles come in any order: their numbers would hide what counts
        if move.shape is None:
            yield move.strand.point(sum(move.places) / 2), _arrow(move)
        else:
            yield _middle(piece.shapes[move.shape]), None


def _middle(shape: Shape) -> Point:
    """The middle of a shape's outline: inside it, since none is bent so far."""
    x, y = points_on(shape.curves).mean(axis=0)
    return float(x), float(y)


def _arrow(move: Segment) -> Stroke:
    """The head of an arrow half way along a move of the needle."""
    begin, end = move.places
    x, y = move.strand.point(begin + 0.5 * (end - begin))
    before = move.strand.point(begin + 0.48 * (end - begin))
    back = atan2(before[1] - y, before[0] - x)
    barbs = [
        (x + BARB_IN * cos(back + turn), y + BARB_IN * sin(back + turn)) for turn in (-BARB_RAD, BARB_RAD)
    ]
    return line("now", barbs[0], (x, y), barbs[1])
