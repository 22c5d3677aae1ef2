"""What is retraced, spines first and on the way, against the least that any order must retrace.

    .venv/bin/python -m tests.retraced

Nine invented quilts. *Left open* is what she gets who does not choose. Seconds are processor time of a path, as in
a worker (which collects no garbage meanwhile): of one thread; of three; and on a frame of 18 in, with its strips
and starts, the most of one strip.
"""

from __future__ import annotations

import gc
import time
from dataclasses import replace

from planner.border.layout import Layout
from planner.errors import PlanError
from planner.fills import fill
from planner.fills.shape import FillOfLayout
from planner.plan import Fill, Plan
from planner.stitching.order import path_of
from planner.stitching.segments import StitchPath
from tests.planner.landed import STYLES, example

LARGE, SMALL = (90.0, 108.0, 90.0, 108.0), (60.0, 70.0, 60.0, 70.0)
PLANS = (
    ("feathers", 0, LARGE),
    ("feathers", 4, SMALL),
    ("feathers", 5, SMALL),
    ("leaves", 0, LARGE),
    ("leaves", 4, SMALL),
    ("needles", 1, SMALL),
    ("needles", 4, SMALL),
    ("flowers", 2, SMALL),
    ("echo", 1, SMALL),
)
THREE = {"threads": [{"colours": [c]} for c in ("#225533", "#aa2222", "#886622")]}
THREE |= {"stitched_with": {"accents": 1, "tips": 2}}  # type: ignore[dict-item]


def timed(layout: Layout, grown: FillOfLayout, **more: object) -> tuple[StitchPath, float]:
    """The path of a layout with its plan so changed, and its processor time (seconds)."""
    plan = Plan.model_validate(layout.plan.model_dump() | more)
    begun = time.process_time()
    path = path_of(replace(layout, plan=plan), grown)
    return path, time.process_time() - begun


def main() -> None:
    """Print the table."""
    gc.disable()
    print(
        "fill      corner                 length   first  on the way  left open   least  seconds  three   frame"
    )
    for kind, style, sides in PLANS:
        layout = example(style, fill=Fill(kind=kind), sides=sides)
        grown = fill(layout)
        first, _ = timed(layout, grown, spine="first")
        going, _ = timed(layout, grown, spine="on_the_way")
        hers, seconds = timed(layout, grown)
        _, three = timed(layout, grown, **THREE)
        least, exact = hers.least_retraced
        name = "-".join(filter(None, STYLES[style][:2]))
        print(
            f"{kind:9} {name:22} {hers.length:6.0f}  {first.retraced:6.0f}  {going.retraced:10.0f}  "
            f"{hers.retraced:9.0f}  {'' if exact else '>'}{least:5.0f}  {seconds:7.2f}  {three:5.2f}  "
            f"{framed(layout, grown, hers.length)}",
            flush=True,
        )


def framed(layout: Layout, grown: FillOfLayout, freely: float) -> str:
    """What a frame of 18 in costs beside the quilt turned freely (inches)."""
    try:
        path, _ = timed(layout, grown, working={"way": "frame", "reach_in": 18.0})
    except PlanError as refused:
        return refused.message.rsplit(": ", 1)[1]
    most = max(strip.starts for strip in path.strips)
    return f"{len(path.strips)} strips, {path.starts} starts, at most {most}, {path.length / freely - 1:+.1%}"


if __name__ == "__main__":
    main()
