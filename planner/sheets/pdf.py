"""Ink on PDF pages: inches from the top left corner, y down, turned into PDF's points here and nowhere else.

PDF has cubics only: an arc is cut into pieces that are true to half a thousandth of a millimetre, on a circle of a
metre at most 30 degrees each, on a pebble quarters. A drawing becomes one form that is placed as often as it is
needed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from io import BytesIO
from itertools import groupby
from math import ceil, cos, pi, sin, tan

from reportlab import rl_config
from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas

from planner.border.layout import Layout
from planner.geometry.arrays import ROUNDING, SAME_IN, Numbers
from planner.geometry.curves import Arc, Bezier, Curve, Motion, Point
from planner.lengths import format_length
from planner.plan import Units
from planner.sheets import about
from planner.sheets import text as words
from planner.sheets.drawing import INK, PENS, Anchor, Box, Drawing, Label, Pen
from planner.sheets.free import free_square
from planner.sheets.tags import Tag, Tags

POINT = 72.0  # points to the inch (PDF's unit)
QUARTER_OFF = (
    2.73e-4  # of its radius that the cubic of a quarter is off; it goes with the sixth power of the angle
)
OFF_IN = 0.0005 / 25.4
FIGURES = 3  # decimals of a point: a third of a thousandth of a millimetre
CHECK_PEN = Pen("#9cc5bf", 0.4)
CHECK_SIZES_IN: dict[Units, tuple[float, float]] = {  # sides of the check square, where there is room
    "in": (4.0, 2.0),
    "cm": (10 / 2.54, 5 / 2.54),
    "mm": (10 / 2.54, 5 / 2.54),
}
CHECK_PT = 7.5
CHECK_WORDS = "#3f7f77"
QUIET = "#5b6670"
LANGUAGE = "en"
rl_config.useA85 = (
    0  # a PDF may hold any bytes: written out as letters, they are a quarter more, and take a while
)


class Book:
    """A PDF in the making. The same calls give the same bytes.

    units: what lengths are said in; subject: what it is of; saved_at: when that was saved, seconds since 1970
    (UTC), None where it never was.
    """

    def __init__(self, title: str, units: Units, *, subject: str = "", saved_at: float | None = None) -> None:
        self.units = units
        self.buffer = BytesIO()
        self.canvas = Canvas(
            self.buffer, invariant=1, pageCompression=1, lang=LANGUAGE, initialFontName=words.PLAIN
        )
        about.describe(self.canvas, title, subject, saved_at)
        self.tags = Tags(self.canvas)
        self.height = 0.0
        self.width = 0.0
        self.pages = 0
        self._forms: list[tuple[Drawing, float, float, str]] = []

    def page(self, width: float, height: float) -> None:
        """Begin a page, inches."""
        if self.pages:
            self.canvas.showPage()
        self.pages += 1
        self.width, self.height = width, height
        self.canvas.setPageSize((width * POINT, height * POINT))
        self.tags.page()

    def done(self) -> bytes:
        """The bytes of the finished document."""
        self.canvas.showPage()
        self.tags.done()
        self.canvas.save()
        return self.buffer.getvalue()

    def text(
        self,
        x: float,
        y: float,
        line: str,
        size: float,
        *,
        bold: bool = False,
        anchor: Anchor = "start",
        colour: str = INK,
        tag: Tag = "P",
    ) -> None:
        """One line of text on the base line y; size in points; tag: what it is, read aloud."""
        with self.tags.marked(tag):
            self.canvas.setFillColor(HexColor(colour))
            at = (x * POINT, (self.height - y) * POINT)
            words.write(self.canvas, *at, line, size, bold=bold, anchor=anchor)

    def paragraph(
        self,
        x: float,
        y: float,
        room: float,
        text: str,
        size: float,
        *,
        bold: bool = False,
        colour: str = INK,
        tag: Tag = "P",
    ) -> float:
        """Text wrapped into ``room`` inches, its first base line a line below y; returns where it ends."""
        with self.tags.marked(tag):
            for line in words.wrap(text, size, room * POINT, bold=bold):
                y += size * 1.32 / POINT
                self.text(x, y, f"{line} ", size, bold=bold, colour=colour)  # so that lines are read apart
        return y

    def stroke(self, curves: Iterable[Curve], pen: Pen, *, fill: str | None = None) -> None:
        """Curves on the page, each beginning where the one before ends."""
        with self.tags.marked("Artifact"):
            _use(self.canvas, pen)
            _ink(self.canvas, curves, self.height, fill)

    def rectangle(self, box: Box, pen: Pen | None = None, fill: str | None = None) -> None:
        """An upright rectangle; inches from the top left corner of the page."""
        with self.tags.marked("Artifact"):
            if pen:
                _use(self.canvas, pen)
            if fill:
                self.canvas.setFillColor(HexColor(fill))
            self.canvas.rect(
                box.x * POINT,
                (self.height - box.y - box.height) * POINT,
                box.width * POINT,
                box.height * POINT,
                stroke=int(pen is not None),
                fill=int(fill is not None),
            )

    def draw(
        self,
        drawing: Drawing,
        at: Point,
        *,
        scale: float = 1.0,
        window: Box | None = None,
        ink: float = 1.0,
        alt: str = "",
    ) -> None:
        """Place a drawing so that the top left of ``window`` (its own box when None) lies at ``at``.

        Only the window shows. Scale 1 is full size. Pens keep their width at any scale, times ``ink``.
        alt: what is read aloud for it.
        """
        window = window or drawing.box
        name = self._form(drawing, scale, ink)
        with self.tags.marked("Figure", alt or drawing.title or "drawing"):
            self._place(name, drawing, at, scale, window)

    def _place(self, name: str, drawing: Drawing, at: Point, scale: float, window: Box) -> None:
        canvas = self.canvas
        canvas.saveState()
        clip = canvas.beginPath()
        left, bottom = at[0] * POINT, (self.height - at[1] - window.height * scale) * POINT
        clip.rect(left, bottom, window.width * scale * POINT, window.height * scale * POINT)
        canvas.clipPath(clip, stroke=0, fill=0)
        below = drawing.box.y + drawing.box.height - window.y - window.height
        canvas.translate(left - (window.x - drawing.box.x) * scale * POINT, bottom - below * scale * POINT)
        canvas.doForm(name)
        canvas.restoreState()

    def check_square(self, x: float, y: float, side: float | None = None) -> None:
        """A square, the largest where no side is named (inches), its lower left corner at (x, y).

        Its words stand inside, so that it takes no more paper than that.
        """
        side = CHECK_SIZES_IN[self.units][0] if side is None else side
        self.rectangle(Box(x, y - side, side, side), CHECK_PEN)
        text = (
            f"Check square: {format_length(side, self.units)} each way. Print at 100 % (actual size), not “fit to "
            "page”, and measure it before you cut."
        )
        room = side - 0.2
        lines = words.wrap(text, CHECK_PT, room * POINT)
        self.paragraph(
            x + 0.1, y - 0.06 - len(lines) * CHECK_PT * 1.32 / POINT, room, text, CHECK_PT, colour=CHECK_WORDS
        )

    def check_in_free_paper(self, taken: Numbers, within: Box) -> bool:
        """The largest check square that covers none of ``taken`` (points, inches); whether there was room."""
        for side in CHECK_SIZES_IN[self.units]:
            if spot := free_square(taken, within, side):
                self.check_square(*spot, side)
                return True
        return False

    def label(self, label: Label, at: Point) -> None:
        """Words at full size on the page, the left end of their base line at a point."""
        size = label.size * POINT
        if label.bare:
            wide = words.width(label.text, size, bold=label.bold) / POINT
            box = Box(at[0] - 0.02, at[1] - 0.8 * label.size, wide + 0.04, label.size)
            self.rectangle(box, fill="#ffffff")
        self.text(*at, label.text, size, bold=label.bold, colour=PENS[label.layer].colour)

    def _form(self, drawing: Drawing, scale: float, ink: float) -> str:
        """The drawing as a form with its lower left corner at the origin, made once."""
        for known, *sizes, name in self._forms:
            if known is drawing and sizes == [scale, ink]:
                return name
        name = f"drawing{len(self._forms) + 1}"
        box, canvas = drawing.box, self.canvas
        width, height = box.width * scale, box.height * scale
        canvas.beginForm(name, 0, 0, width * POINT, height * POINT)
        to_form = Motion(scale, 0, 0, scale, -box.x * scale, -box.y * scale)
        for pen, strokes in groupby(drawing.strokes, key=lambda stroke: stroke.pen):
            _use(canvas, replace(pen, width=pen.width * ink))
            for stroke in strokes:
                _ink(canvas, (_scaled(curve, to_form) for curve in stroke.curves), height)
        for label in drawing.labels:
            x, y = to_form.point(label.at)
            size = label.size * scale * POINT
            base = (x * POINT, (height - y) * POINT)
            if label.bare:
                wide = words.width(label.text, size, bold=label.bold)
                left = base[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[label.anchor] * wide
                canvas.setFillColor(HexColor("#ffffff"))
                canvas.rect(left - 1, base[1] - 0.2 * size, wide + 2, size, stroke=0, fill=1)
            canvas.setFillColor(HexColor(PENS[label.layer].colour))
            words.write(canvas, *base, label.text, size, bold=label.bold, anchor=label.anchor)
        canvas.endForm()
        self._forms.append((drawing, scale, ink, name))
        return name


def book_of(layout: Layout, title: str, saved_at: float | None) -> Book:
    """The book of one sheet of a layout."""
    return Book(
        f"{layout.plan.name}: {title}", layout.plan.units, subject=about.subject(layout), saved_at=saved_at
    )


def _scaled(curve: Curve, to_form: Motion) -> Curve:
    """A curve made larger or smaller and shifted: no rigid motion, so the radius is scaled by hand."""
    if isinstance(curve, Arc):
        return Arc(to_form.point(curve.centre), curve.radius * to_form.a, curve.begin, curve.sweep)
    return curve.moved(to_form)


def _use(canvas: Canvas, pen: Pen) -> None:
    canvas.setStrokeColor(HexColor(pen.colour))
    canvas.setLineWidth(pen.width)
    canvas.setDash(list(pen.dash))
    canvas.setLineCap(1 if not pen.dash else 0)
    canvas.setLineJoin(1)


def _ink(canvas: Canvas, curves: Iterable[Curve], height: float, fill: str | None = None) -> None:
    """Stroke curves given in inches, y down, on a page or form ``height`` inches high, with the pen in use."""
    path = canvas.beginPath()
    here: Point | None = None

    def up(p: Point) -> Point:
        return (round(p[0] * POINT, FIGURES), round((height - p[1]) * POINT, FIGURES))

    for curve in curves:
        if here is None or abs(here[0] - curve.start[0]) + abs(here[1] - curve.start[1]) > SAME_IN:
            path.moveTo(*up(curve.start))
        here = curve.end
        if isinstance(curve, Arc):
            for one, two, end in beziers(curve):
                path.curveTo(*up(one), *up(two), *up(end))
        elif isinstance(curve, Bezier):
            path.curveTo(*up(curve.p1), *up(curve.p2), *up(curve.p3))
        else:
            path.lineTo(*up(curve.end))
    if fill:
        canvas.setFillColor(HexColor(fill))
    canvas.drawPath(path, stroke=1, fill=int(fill is not None))


def beziers(arc: Arc) -> Iterable[tuple[Point, Point, Point]]:
    """Control, control, end of each cubic of an arc, none of them more than ``OFF_IN`` off, nor over a quarter.

    The controls lie 4/3·tan(a/4)·r along the tangents (the usual cubic for an arc of angle a).
    """
    longest = pi / 2 * min(1.0, (OFF_IN / (QUARTER_OFF * arc.radius)) ** (1 / 6))
    pieces = max(1, ceil(abs(arc.sweep) / longest - ROUNDING))
    angle = arc.sweep / pieces
    handle = 4 / 3 * tan(angle / 4) * arc.radius
    for i in range(pieces):
        begin, end = arc.begin + i * angle, arc.begin + (i + 1) * angle
        (ax, ay), (bx, by) = arc.point(i / pieces), arc.point((i + 1) / pieces)
        yield (
            (ax - handle * sin(begin), ay + handle * cos(begin)),
            (bx + handle * sin(end), by - handle * cos(end)),
            (bx, by),
        )
