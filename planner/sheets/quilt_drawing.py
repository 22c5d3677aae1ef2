"""The whole quilt as a drawing for paper: cloth edges, spines and, when there is one, the fill."""

from __future__ import annotations

from collections.abc import Sequence

from planner.border.layout import Layout
from planner.fills.shape import Shape
from planner.pictures.colour import on_paper
from planner.pictures.threaded import mean_colour, thread_by_kind
from planner.plan import SIDES, Plan
from planner.sheets.drawing import Box, Drawing, Stroke, line

AROUND_IN = 0.5


def inks(plan: Plan) -> list[str]:
    """Each thread as it is drawn on paper; one thread alone in the layer's own ink."""
    return [on_paper(mean_colour(one)) for one in plan.threads] if len(plan.threads) > 1 else [""]


def quilt_drawing(
    layout: Layout, shapes: tuple[Shape, ...] = (), threads: Sequence[int] | None = None
) -> Drawing:
    """In quilt coordinates, as the picture on the screen shows it. threads: of each shape, where not by kind."""
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
    stitched = threads or [thread_by_kind(plan, shape.kind, shape.pocket) for shape in shapes]
    colours = inks(plan)
    fill = [
        Stroke("fill", shape.curves, colours[thread]) for shape, thread in zip(shapes, stitched, strict=True)
    ]
    ink = colours[plan.stitched_with.get("spine", 0)]
    spines = [Stroke("spine", (part.piece.curve,), ink) for part in layout.spines]
    box = Box(-AROUND_IN, -AROUND_IN, width + 2 * AROUND_IN, height + 2 * AROUND_IN)
    return Drawing(box, (edge, seam, *fill, *spines))
