"""Passes: which thread stitches what, and what it may travel over. One thread is stitched after another.

The net is rooted once, whole; only then is it parted by thread, so that no tie between two shapes is lost.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from planner.fills.pocket import Pocket
from planner.plan import Plan
from planner.stitching.rooting import Rooted
from planner.threads import PartName, part_of


@dataclass(frozen=True, slots=True)
class Pass:
    """What one thread stitches. spines: whether the spines are among it; later: whether the spines are stitched
    by a thread after this one; covered: shapes of later threads, over which this one may travel."""

    thread: int
    spines: bool
    shapes: tuple[Rooted, ...]
    spines_later: bool
    covered: tuple[Rooted, ...]


def passes_of(plan: Plan, shapes: Sequence[Rooted], tips: Collection[int]) -> list[Pass]:
    """The passes in order; a thread that stitches nothing has none. tips: the shapes (numbers) at tips of tails."""
    spine = plan.stitched_with.get("spine", 0)
    thread_of = [_thread_of(plan, shape, shape.number in tips) for shape in shapes]
    threads = sorted({spine, *thread_of})
    may = plan.travels == "lines_covered_later"
    return [
        Pass(
            thread,
            thread == spine,
            tuple(shape for shape, its in zip(shapes, thread_of, strict=True) if its == thread),
            may and spine > thread,
            tuple(shape for shape, its in zip(shapes, thread_of, strict=True) if may and its > thread),
        )
        for thread in threads
    ]


def _thread_of(plan: Plan, shape: Rooted, at_tip: bool) -> int:
    if not plan.stitched_with:
        return 0
    place: PartName | None = "tips" if at_tip else place_of(shape.pocket)
    return plan.stitched_with.get(part_of(shape.kind, place=place, stitched_with=plan.stitched_with), 0)


def place_of(pocket: Pocket) -> PartName | None:
    """The place that a pocket lies in, where that is a part of its own: round the large circle, or the middle."""
    if pocket.kind in ("outside", "inside"):
        return "corners"
    return "middle" if pocket.kind in ("ring", "middle") else None
