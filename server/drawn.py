"""The fill and the path of a layout: worked out once for all that ask, kept by its stamp. For pieces of work."""

from __future__ import annotations

from dataclasses import replace

from planner.border.layout import Layout, as_measured
from planner.fills import fill
from planner.fills.shape import FillOfLayout
from planner.pictures.threaded import needs_path
from planner.plan import Plan, SideName
from planner.solver import choose
from planner.stitching.order import path_of
from planner.stitching.segments import StitchPath
from planner.supplies.work import Work, work_of
from planner.threads import Working
from server.worker import shared


def grown(layout: Layout) -> FillOfLayout:
    """The fill of a layout as it is drawn."""
    return shared(f"fill {layout.stamp}", lambda: fill(layout))


def grown_as_measured(layout: Layout, side: SideName) -> FillOfLayout:
    """The fill of one side and its first corner, of a layout laid out as measured along that side."""
    return shared(f"fill {layout.stamp} {side} as measured", lambda: fill(layout, side))


def grown_along(layout: Layout, side: SideName) -> tuple[Layout, FillOfLayout]:
    """A layout laid out as measured along one side, and its fill: that of the picture, where all sides close."""
    if layout.quilt.own == layout.quilt.bands:
        return layout, grown(layout)
    here = as_measured(layout, side)
    return here, shared(f"fill {layout.stamp} along {side}", lambda: fill(here))


def stitched(layout: Layout) -> StitchPath:
    """The way of the needle through a layout and its fill."""
    return shared(f"path {layout.stamp}", lambda: path_of(layout, grown(layout)))


def counted_work(plan_json: str) -> Work:
    """Every stitch of a plan counted: seconds of work. Raises PlanError."""
    layout = choose(Plan.model_validate_json(plan_json)).layout
    return work_of(layout, stitched(layout))


def stitched_as_measured(layout: Layout, side: SideName) -> StitchPath:
    """The way of the needle through the fill of one side, for the colours of a pattern: the quilt turned freely."""
    free = replace(layout, plan=layout.plan.model_copy(update={"working": Working()}))
    return shared(
        f"path {layout.stamp} {side} as measured", lambda: path_of(free, grown_as_measured(layout, side))
    )


def path_for_colours(layout: Layout) -> StitchPath | None:
    """That way, where the colours of its threads hang on it."""
    return stitched(layout) if needs_path(layout.plan) else None
