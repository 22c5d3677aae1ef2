"""The full-size pattern: a corner, the run that leaves it, and the middle, drawn in ruler coordinates.

Opposite sides that were measured alike share one pattern; sides that differ get their own, because the run of
each lands on its own middle.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from planner.border.band import previous_side
from planner.border.layout import Layout, as_measured
from planner.border.spine import Circle, Piece
from planner.chalk.measured import MeasuredSide, measured_side, ruler_motion
from planner.chalk.steps import sides_words
from planner.errors import PlanError
from planner.fills.shape import Shape
from planner.geometry.arrays import SAME_IN, Numbers
from planner.geometry.curves import Curve, Point
from planner.lengths import format_length
from planner.pictures.threaded import thread_by_kind
from planner.plan import SIDES, SideName
from planner.sheets.drawing import Box, Drawing, Label, Layer, Stroke, cross, line, whole
from planner.sheets.free import in_free_paper, points_along
from planner.sheets.quilt_drawing import inks, strokes_as_they_fall, varied
from planner.stitching.segments import StitchPath

AROUND_IN = 0.25  # of paper beyond the raw edge and the seam
PAST_MIDDLE_IN = 0.5  # so that the middle line can be laid on the other half
LETTERS_IN = 0.14
LETTERS_TRIED_IN = (0.14, 0.11, 0.08)  # of a number among the fill: the last is 6 pt
CROSS_IN = 0.2
ROUGHLY_IN = 0.02  # of a shape's outline: enough to tell where it lies

Grow = Callable[[Layout, SideName], Iterable[Shape]]
Sew = Callable[[Layout, SideName], StitchPath]


@dataclass(frozen=True, slots=True)
class Pattern:
    """The drawing for one side, or for several that are alike."""

    sides: tuple[SideName, ...]
    drawing: Drawing


def patterns(
    layout: Layout, *, side: SideName | None = None, grow: Grow | None = None, sew: Sew | None = None
) -> list[Pattern]:
    """The patterns of all sides, or of one. grow: the fill to draw in them (None: spines alone); sew: the way of
    the needle through it, along which a variegated thread is drawn as it falls (None: in its mean colour)."""
    groups: list[tuple[MeasuredSide, list[SideName]]] = []
    for name in SIDES if side is None else (side,):
        here = measured_side(layout, name)
        for other, names in groups:
            if _same(here, other):
                names.append(name)
                break
        else:
            groups.append((here, [name]))
    return [Pattern(tuple(names), _drawing(layout, here, tuple(names), grow, sew)) for here, names in groups]


def sides_title(sides: tuple[SideName, ...]) -> str:
    """``Top and bottom sides``, ``Left side``, ``All four sides``."""
    if len(sides) == len(SIDES):
        return "All four sides"
    return sides_words(sides).capitalize() + (" sides" if len(sides) > 1 else " side")


def side_named(name: str | None) -> SideName | None:
    """The side asked for, None for all. Raises PlanError for one there is not."""
    if name in (None, "", "all"):
        return None
    for side in SIDES:
        if side == name:
            return side
    raise PlanError(
        f"“{str(name)[:40]}” is no side of a quilt.",
        field="side",
        cure="Use top, right, bottom, left or all.",
    )


def _same(one: MeasuredSide, other: MeasuredSide) -> bool:
    """Whether one pattern serves both."""

    def figures(side: MeasuredSide) -> list[float]:
        circles = [v for c in side.runs[0].circles for v in (*c.centre, c.radius)]
        arc = [side.corner_arc.begin, side.corner_arc.sweep]
        return [side.length, side.border, side.near_border, side.far_border, *arc, *circles]

    mine, theirs = figures(one), figures(other)
    return len(mine) == len(theirs) and all(abs(a - b) <= SAME_IN for a, b in zip(mine, theirs, strict=True))


def _drawing(
    layout: Layout, side: MeasuredSide, sides: tuple[SideName, ...], grow: Grow | None, sew: Sew | None
) -> Drawing:
    mirrored = len(side.runs) == 2
    past = side.ring.radius + AROUND_IN if side.ring else PAST_MIDDLE_IN
    end = side.middle + past if mirrored else side.length
    box = Box(
        -AROUND_IN,
        -AROUND_IN,
        end + (0.0 if mirrored else AROUND_IN) + AROUND_IN,
        side.border + 2 * AROUND_IN,
    )
    strokes = [
        *_ground(side, end),
        *_strip(layout, side, end),
        *_circles(side),
        *_spines(side),
        *(_fill(layout, side, end, grow, sew) if grow else []),
    ]
    taken = points_along(stroke for stroke in strokes if stroke.layer != "circle")
    numbers = (_number(text, circle, taken) for text, circle in _numbers(layout, side))
    return Drawing(box, tuple(strokes), (*numbers, *_labels(side, sides)), sides_title(sides))


def _ground(side: MeasuredSide, end: float) -> list[Stroke]:
    """Raw edges, seam, guide lines, miter and the middle."""
    near_outer, near_inner = side.near_guides
    lines: list[tuple[Layer, Point, Point]] = [
        ("seam", (side.near_border, side.border), (end, side.border)),
        ("guide line", (near_outer, side.border), (near_outer, side.outer)),
        ("guide line", (near_outer, side.outer), (end, side.outer)),
        ("guide line", (near_inner, side.inner), (end, side.inner)),
        ("miter", (0, 0), (side.near_border, side.border)),
        ("middle", (side.middle, 0), (side.middle, side.border)),
    ]
    return [line("raw edge", (0, side.border), (0, 0), (end, 0)), *(line(name, a, b) for name, a, b in lines)]


def _strip(layout: Layout, side: MeasuredSide, end: float) -> Iterator[Stroke]:
    """The lines of the seam strip, from the miter on; and where those of the side before come round the corner."""
    for straight in side.strip:
        (x, y), far = straight.start, min(straight.end[0], end)
        yield line("seam strip", (x, y), (far, y))
    before = measured_side(layout, previous_side(side.side))
    for straight in before.strip:
        along, deep = straight.end
        yield line("seam strip", (deep, before.length - along), (deep, side.border))
    for across in side.mitered:
        yield line("seam strip", across.start, across.end)


def _circles(side: MeasuredSide) -> list[Stroke]:
    shown: list[Circle] = [side.corner, *side.runs[0].circles]
    if side.ring:
        shown.append(side.ring)
    if len(side.runs) == 1:
        shown.append(side.far_corner)
    strokes = []
    for circle in shown:
        strokes += [Stroke("circle", (whole(circle),)), *cross("mark", circle.centre, CROSS_IN)]
    return strokes


def _spines(side: MeasuredSide) -> list[Stroke]:
    """The corner C and what runs on from it in one stroke, then each tail, hook and ring in one of its own."""
    return [Stroke("spine", curves) for curves in spine_strokes(side.corner_arc, side.runs[0].pieces)]


def spine_strokes(corner: Curve, pieces: Iterable[Piece]) -> list[tuple[Curve, ...]]:
    """Spine pieces gathered into strokes a needle or a cutter can follow without lifting."""
    on: list[Curve] = [corner]
    off: list[tuple[Curve, ...]] = []
    for piece in pieces:
        if piece.part in ("stem", "link"):
            on.append(piece.curve)
        else:
            off.append((piece.curve,))
    return [tuple(on), *off]


def _fill(layout: Layout, side: MeasuredSide, end: float, grow: Grow, sew: Sew | None) -> list[Stroke]:
    """The fill of this side as measured, from the corner to the end of the pattern; its strip is drawn anyhow."""
    here = as_measured(layout, side.side)
    back = ruler_motion(here, side.side)
    plan, colours = layout.plan, inks(layout.plan)
    if sew and varied(plan):
        stitched = (
            stroke.moved(back)
            for move, stroke in strokes_as_they_fall(plan, sew(here, side.side))
            if move.shape is not None and move.what != "strip"
        )
        return [stroke for stroke in stitched if _lies_on(stroke.curves, end, side.border)]
    shapes = (shape.moved(back, shape.pocket) for shape in grow(here, side.side))
    return [
        Stroke("fill", shape.curves, colours[thread_by_kind(plan, shape.kind, shape.pocket)])
        for shape in shapes
        if shape.kind != "strip" and _lies_on(shape.curves, end, side.border)
    ]


def _lies_on(curves: Sequence[Curve], end: float, border: float) -> bool:
    """Whether any of some curves lies on a pattern of this length and border, wherever they begin."""
    if any(0 < curve.start[0] < end and 0 < curve.start[1] < border for curve in curves):
        return True  # most of them, without looking along each
    along, deep = zip(*(point for curve in curves for point in curve.points(ROUGHLY_IN)), strict=True)
    return bool(
        min(along) < end and max(along) > -AROUND_IN and min(deep) < border and max(deep) > -AROUND_IN
    )


def _numbers(layout: Layout, side: MeasuredSide) -> Iterable[tuple[str, Circle]]:
    """The size of the corner circle and the number of each curl, with the circles they belong to."""
    yield format_length(2 * side.corner.radius, layout.plan.units), side.corner
    for i, circle in enumerate(side.runs[0].circles):
        yield str(i + 1), circle


def _number(text: str, circle: Circle, taken: Numbers) -> Label:
    """Words in a circle, near its centre; where the fill leaves no room, on their own bit of bare paper."""
    found = in_free_paper(text, circle.centre, circle.radius, taken, LETTERS_TRIED_IN)
    if found:
        return found
    x, y = circle.centre
    return Label((x + 0.06, y - 0.06), text, LETTERS_TRIED_IN[-1], "start", "mark", bold=True, bare=True)


def _labels(side: MeasuredSide, sides: tuple[SideName, ...]) -> Iterable[Label]:
    """What the lines are."""
    at = side.border + 0.6
    yield Label(
        (at, -0.07),
        f"{sides_title(sides)}: raw edge",
        LETTERS_IN,
        "start",
        "raw edge",
    )
    yield Label((at, side.border + 0.18), "seam", LETTERS_IN, "start", "seam")
    turn = "Middle: turn the pattern over here for the other half" if len(side.runs) == 2 else "Middle"
    yield Label((side.middle - 0.1, side.border + 0.18), turn, LETTERS_IN, "end", "middle")
