"""The whole quilt as a drawing for paper: cloth edges, spines and, when there is one, the fill."""

from __future__ import annotations

from collections.abc import Iterator

from planner.border.layout import Layout
from planner.fills.shape import Shape
from planner.pictures.colour import on_paper
from planner.pictures.threaded import as_it_falls, mean_colour, thread_by_kind
from planner.plan import SIDES, Plan
from planner.sheets.drawing import Box, Drawing, Stroke, line
from planner.stitching.segments import Segment, StitchPath

AROUND_IN = 0.5


def inks(plan: Plan) -> list[str]:
    """Each thread as it is drawn on paper, a variegated one in its mean; one plain thread in the layer's ink."""
    if len(plan.threads) < 2 and not varied(plan):
        return [""]
    return [on_paper(mean_colour(one)) for one in plan.threads]


def varied(plan: Plan) -> bool:
    """Whether any thread has several colours."""
    return any(len(one.colours) > 1 for one in plan.threads)


def strokes_as_they_fall(
    plan: Plan, path: StitchPath, least_in: float = 0.0
) -> Iterator[tuple[Segment, Stroke]]:
    """All that is stitched, each move in strokes of its thread's colours; least_in: as of ``as_it_falls``."""
    for move, colour, curves in as_it_falls(plan, path, least_in):
        yield move, Stroke("spine" if move.shape is None else "fill", curves, on_paper(colour))


def quilt_drawing(
    layout: Layout,
    shapes: tuple[Shape, ...] = (),
    path: StitchPath | None = None,
    least_in: float = 0.0,
    dot_in: float = 0.0,
) -> Drawing:
    """In quilt coordinates, as the picture on the screen shows it. path: of the needle, where the colours hang on
    it (``needs_path``); least_in: the shortest piece of one colour; dot_in: shapes that are smaller are left out,
    as they would only be dots on the paper: a bed quilt has tens of thousands of pebbles.
    """
    dots = {n for n, shape in enumerate(shapes) if _across(shape) < dot_in} if dot_in else set()
    quilt = layout.quilt
    width, height = quilt.width, quilt.height
    top, right, bottom, left = (quilt.border(side) for side in SIDES)
    edge = line("raw edge", (0, 0), (width, 0), (width, height), (0, height), (0, 0))
    seam = line(
        "done",
        (left, top),
        (width - right, top),
        (width - right, height - bottom),
        (left, height - bottom),
        (left, top),
    )
    plan = layout.plan
    if path and varied(plan):
        falling = strokes_as_they_fall(plan, path, least_in)
        stitched = [stroke for move, stroke in falling if move.shape not in dots]
    else:
        colours = inks(plan)
        known = {move.shape: move.thread for move in path.segments} if path else {}
        stitched = [
            Stroke(
                "fill",
                shape.curves,
                colours[known[n] if n in known else thread_by_kind(plan, shape.kind, shape.pocket)],
            )
            for n, shape in enumerate(shapes)
            if n not in dots
        ]
        ink = colours[plan.stitched_with.get("spine", 0)]
        stitched += [Stroke("spine", (part.piece.curve,), ink) for part in layout.spines]
    box = Box(-AROUND_IN, -AROUND_IN, width + 2 * AROUND_IN, height + 2 * AROUND_IN)
    return Drawing(box, (edge, seam, *stitched))


def _across(shape: Shape) -> float:
    """About how far a shape goes, across or along, inches."""
    x, y = zip(*(curve.point(t) for curve in shape.curves for t in (0.0, 0.5, 1.0)), strict=True)
    return float(max(max(x) - min(x), max(y) - min(y)))
