"""Small drawings for the chalk sheet: what each step adds, and each side with the numbers of its circles.

She stands at the raw edge: it lies at the foot of every drawing. What was chalked before is grey, what is
chalked now is red, and thin red lines show what the ruler reads.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import cos, sin

from planner.chalk.marking import Mark, SideMarks
from planner.chalk.measured import MeasuredSide
from planner.chalk.steps import first_curl
from planner.geometry.curves import Arc, Motion, Point
from planner.sheets.drawing import Box, Drawing, Label, Layer, Stroke, cross, line
from planner.sheets.text import width

STEP_WIDTH_IN = 3.5  # a step's drawing on paper
STRIP_WIDTH_IN = 7.3
LETTERS_PT = 8.5
DEEP = 1.4  # how much of the neighbouring side shows, in border widths
TALLEST = 0.42  # of its width: what a step's drawing may be high, so that six of them fit a page
ARROW_IN = 0.09
BESIDE_A_RULER = (
    0.5,
    0.4,
    0.6,
    0.3,
    0.7,
    0.2,
    0.8,
    0.1,
    0.9,
)  # shares of its line at which a reading may stand
DOT_IN = 0.1
NEVER = 1000


def step_figures(table: SideMarks) -> dict[str, Drawing]:
    """The drawing of each step by its name, seen at the datum corner (or the middle) of this side."""
    side = table.measured
    curls = [mark for mark in table.marks if mark.kind == "curl"]
    middle = [mark for mark in table.marks if mark.kind not in ("corner", "curl")]
    corner = next(mark for mark in table.marks if mark.kind == "corner")
    first = first_curl(table)
    at_left = corner.circle.centre[0] > side.length / 2
    here = _Scene(table, _corner_box(side, at_left))
    return {
        "guides": here.drawing(("outer", "inner"), (), (), _guide_readings(table, at_left)),
        "miter": here.drawing(("miter", "middle"), ("outer", "inner"), (), ()),
        "corner": here.drawing((), ALL_LINES, (corner,), _reading_of(table, corner)),
        "first": here.drawing((), ALL_LINES, (first,), _reading_of(table, first), (corner,)),
        "each": here.drawing(
            (), ALL_LINES, [m for m in curls if m != first], (), (corner, first), numbers=True
        ),
        "strip": here.drawing(("strip",), ALL_LINES, (), ()),
        "middle": _Scene(table, _middle_box(side)).drawing(
            ("frame",), ALL_LINES, middle, (), curls, numbers=True
        ),
    }


ALL_LINES = ("outer", "inner", "miter", "middle")
"""The guide lines by name, as a step adds them."""


def strip(table: SideMarks) -> Drawing:
    """The whole side (the half that is read, from the middle) with the number of each circle."""
    side = table.measured
    left, right = -0.3, side.length + 0.3
    if table.stance.from_middle and len(side.runs) == 2:
        middle = side.middle - (side.ring.radius if side.ring else 0) - 1
        left, right = middle, side.length + 0.3
    above = max(0.3, side.beyond_seam() + ARROW_IN * (right - left) / STRIP_WIDTH_IN)
    box = Box(left, -above, right - left, above + side.border + 0.3)
    scene = _Scene(table, box, wide=STRIP_WIDTH_IN)
    now = [mark for mark in table.marks if not mark.again]
    return scene.drawing(
        (), (*ALL_LINES, "frame"), now, (), [m for m in table.marks if m.again], numbers=True
    )


class _Scene:
    """A window on a side: box in her view (x to her right, y down to the raw edge at ``border``)."""

    def __init__(self, table: SideMarks, box: Box, wide: float = STEP_WIDTH_IN) -> None:
        side = table.measured
        self.table, self.side, self.box = table, side, box
        self.view = Motion(-1, 0, 0, -1, side.length, side.border)
        self.inch = box.width / wide  # an inch on paper, in inches of the drawing

    def drawing(
        self,
        lines_now: Iterable[str],
        lines_done: Iterable[str],
        now: Iterable[Mark],
        readings: Iterable[tuple[Point, Point, str]],
        done: Iterable[Mark] = (),
        *,
        numbers: bool = False,
    ) -> Drawing:
        side = self.side
        strokes: list[Stroke] = list(_cloth(side))
        labels: list[Label] = []
        for names, layer in ((lines_done, "guide line"), (lines_now, "now")):
            for name in names:
                strokes += _guide(side, name, "now" if layer == "now" else "guide line")
        for mark in done:
            strokes.append(Stroke("done", (mark.arc,)))
        for mark in now:
            strokes += [Stroke("now", (mark.arc,)), self._arrow(mark.arc)]
            if not numbers:
                strokes += cross("ruler", mark.circle.centre, 0.07 * self.inch)
        for a, b, _ in readings:
            strokes += self._ruler(a, b)
        moved = [stroke.moved(self.view) for stroke in strokes]
        if numbers:
            labels += [self._number(mark, "now") for mark in now] + [self._number(m, "done") for m in done]
        hidden = [p for stroke in moved if stroke.layer != "ruler" for p in _dotted(stroke)]
        for reading in readings:
            figure = self._figure(*reading, hidden)
            labels.append(figure)
            hidden += [(p, NEVER) for p in _dotted_over(figure, self.inch)]
        return Drawing(self.box, tuple(moved), tuple(label for label in labels if self._shows(label.at)))

    def _shows(self, at: Point) -> bool:
        box = self.box
        return box.x < at[0] < box.x + box.width and box.y < at[1] < box.y + box.height

    def _arrow(self, arc: Arc) -> Stroke:
        """An arrow head where the chalk ends."""
        tip, heading, size = arc.end, arc.heading(1.0), ARROW_IN * self.inch
        ends = [
            (tip[0] - size * cos(heading + off), tip[1] - size * sin(heading + off)) for off in (0.45, -0.45)
        ]
        return line("now", ends[0], tip, ends[1])

    def _ruler(self, a: Point, b: Point) -> list[Stroke]:
        """A ruler line with a tick at each end."""
        tick = 0.05 * self.inch
        across = (0.0, tick) if abs(a[1] - b[1]) < abs(a[0] - b[0]) else (tick, 0.0)
        ends = [
            line("ruler", (p[0] - across[0], p[1] - across[1]), (p[0] + across[0], p[1] + across[1]))
            for p in (a, b)
        ]
        return [line("ruler", a, b), *ends]

    def _number(self, mark: Mark, layer: Layer) -> Label:
        size = LETTERS_PT / 72 * self.inch
        size = min(size, 1.1 * mark.circle.radius)
        on = mark.arc.point(0.5) if mark.kind == "string" else mark.circle.centre  # a pin stands outside
        x, y = self.view.point(on)
        colour: Layer = "spine" if layer == "now" else layer
        return Label((x, y + 0.36 * size), mark.name, size, layer=colour, bold=True, bare=True)

    def _figure(self, a: Point, b: Point, text: str, chalk: list[tuple[Point, int]]) -> Label:
        """The reading, beside its ruler line where it hides least of what is chalked; else in the middle.

        chalk: points, and how ill it would be to hide each.
        """
        size = LETTERS_PT / 72 * self.inch
        wide = width(text, LETTERS_PT, bold=True) / 72 * self.inch
        (ax, ay), (bx, by) = self.view.point(a), self.view.point(b)
        ax, bx = (min(max(x, self.box.x), self.box.x + self.box.width) for x in (ax, bx))
        along = abs(ay - by) < abs(ax - bx)
        beside = (
            ((-wide / 2, -0.35 * size), (-wide / 2, 1.05 * size))
            if along
            else ((0.25 * size, 0.35 * size), (-0.25 * size - wide, 0.35 * size))
        )
        least, most = self.box.x + 0.3 * size, self.box.x + self.box.width - wide - 0.3 * size
        spots = [
            (min(max(ax + share * (bx - ax) + across, least), most), ay + share * (by - ay) + down)
            for across, down in beside
            for share in BESIDE_A_RULER
        ]

        def hidden(spot: Point) -> int:
            left, foot = spot[0] - 0.25 * size, spot[1] + 0.25 * size
            return sum(
                weight
                for (x, y), weight in chalk
                if left < x < left + wide + 0.5 * size and foot - 1.3 * size < y < foot
            )

        return Label(min(spots, key=hidden), text, size, "start", "now", bold=True, bare=True)


def _dotted_over(label: Label, inch: float) -> Iterator[Point]:
    """Points close together all over a reading."""
    wide = width(label.text, LETTERS_PT, bold=True) / 72 * inch
    across = int(wide / DOT_IN) + 1
    for n in range(across + 1):
        for share in (0.0, 0.5, 1.0):
            yield label.at[0] + n * wide / across, label.at[1] - share * label.size


def _dotted(stroke: Stroke) -> Iterator[tuple[Point, int]]:
    """Points close together along a stroke, and how ill it would be to hide them."""
    weight = 100 if stroke.layer == "now" else 1
    for curve in stroke.curves:
        dots = max(2, int(curve.length / DOT_IN))
        yield from ((curve.point(n / dots), weight) for n in range(dots + 1))


def _corner_box(side: MeasuredSide, at_left: bool) -> Box:
    """The corner and about two curls, at her left or right."""
    circle = side.runs[0].circles[0]
    deep = side.border * DEEP
    reach = max(circle.centre[0] + 4.5 * circle.radius, (deep + 0.4) / TALLEST)
    reach = min(side.length / 2 + side.border, reach)
    width = reach + 0.4
    left = -0.4 if at_left else side.length - reach
    return Box(left, side.border - deep, width, deep + 0.4)


def _middle_box(side: MeasuredSide) -> Box:
    open_half = side.middle - side.lattice.left if side.lattice else side.ring.radius if side.ring else 1.0
    half = open_half + 4.2 * side.runs[0].circles[-1].radius
    half = min(half, side.length / 2)
    return Box(side.middle - half, -0.3, 2 * half, side.border + 0.7)


def _cloth(side: MeasuredSide) -> Iterator[Stroke]:
    """Raw edges and seams, with the neighbouring sides as far as they show."""
    deep, far = side.border * DEEP, side.length
    yield line("raw edge", (0, deep), (0, 0), (far, 0), (far, deep))
    near_seam, far_seam = side.near_border, far - side.far_border
    yield line("seam", (near_seam, deep), (near_seam, side.border), (far_seam, side.border), (far_seam, deep))


def _guide(side: MeasuredSide, name: str, layer: Layer) -> Iterator[Stroke]:
    deep, far = side.border * DEEP, side.length
    if name == "outer":
        near, end = side.near_guides[0], far - side.far_guides[0]
        yield line(layer, (near, deep), (near, side.outer), (end, side.outer), (end, deep))
    elif name == "inner":
        near, end = side.near_guides[1], far - side.far_guides[1]
        yield line(layer, (near, deep), (near, side.inner), (end, side.inner), (end, deep))
    elif name == "frame":
        if frame := side.lattice:
            left, right, low, high = frame.left, frame.right, frame.low, frame.high
            yield line(layer, (left, low), (right, low), (right, high), (left, high), (left, low))
    elif name == "strip":
        for straight in side.strip:
            yield line(layer, straight.start, straight.end)
    elif name == "miter":
        yield line(layer, (0, 0), (side.near_border, side.border))
        yield line(layer, (far, 0), (far - side.far_border, side.border))
    else:
        yield line(layer, (side.middle, 0), (side.middle, side.border))


def _guide_readings(table: SideMarks, at_left: bool) -> list[tuple[Point, Point, str]]:
    """How far in the two guide lines stand."""
    side = table.measured
    reach = min(side.length / 2, side.border * 1.5)
    x = side.length - reach if at_left else reach
    shift = -1.0 if at_left else 1.0
    unit = table.outer.units
    return [
        ((x, 0), (x, side.outer), f"{table.outer} {unit}"),
        (
            (x + shift * side.border * 0.45, 0),
            (x + shift * side.border * 0.45, side.inner),
            f"{table.inner} {unit}",
        ),
    ]


def _reading_of(table: SideMarks, mark: Mark) -> list[tuple[Point, Point, str]]:
    """Along from the datum, and in from the raw edge, to a circle's centre."""
    side = table.measured
    x, y = mark.circle.centre
    datum = side.middle if table.stance.from_middle else 0.0 if table.stance.left_handed else side.length
    unit = mark.along.units
    return [
        ((datum, y), (x, y), f"{mark.along} {unit}"),
        ((x, 0), (x, y), f"{mark.depth} {unit}"),
    ]
