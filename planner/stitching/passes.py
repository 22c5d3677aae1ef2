"""Passes: which thread stitches what, and what it may travel over. One thread is stitched after another.

The net is rooted once, whole; only then is it parted by thread, so that no tie between two shapes is lost.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from shapely import MultiPoint, STRtree

from planner.fills.pocket import Pocket
from planner.plan import Plan
from planner.stitching.postman import connected_components
from planner.stitching.rooting import Rooted
from planner.threads import ACCENTS, MOST_CARRY_IN, PartName, part_of

_A_GROUP = 3  # accents that read as a cluster


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
    thread_of = _threads_of(plan, shapes, tips)
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


def _threads_of(plan: Plan, shapes: Sequence[Rooted], tips: Collection[int]) -> list[int]:
    """The thread of each shape."""
    given = plan.stitched_with
    if not given:
        return [0] * len(shapes)
    parts = [
        part_of(
            shape.kind,
            place="tips" if shape.number in tips else place_of(shape.pocket),
            stitched_with=given,
        )
        for shape in shapes
    ]
    threads = [given.get(part, 0) for part in parts]
    if plan.accents != "all":
        stay = set(
            _led(plan, shapes, parts, threads) if plan.accents == "where_led" else _grouped(shapes, parts)
        )
        for n, part in enumerate(parts):
            if part in ACCENTS and n not in stay:
                threads[n] = given.get("main", 0)
    return threads


def _led(
    plan: Plan, shapes: Sequence[Rooted], parts: Sequence[PartName], threads: Sequence[int]
) -> Iterator[int]:
    """The accents to which a line of their own thread leads: the spine, or another part."""
    index = {shape.number: n for n, shape in enumerate(shapes)}
    for n, shape in enumerate(shapes):
        if parts[n] not in ACCENTS:
            continue
        hosts = [index[host] for host in shape.hosts]
        lines = [threads[host] for host in hosts if parts[host] not in ACCENTS]
        if not hosts and shape.root is not None:
            lines = [plan.stitched_with.get("spine", 0)]
        if threads[n] in lines:
            yield n


def _grouped(shapes: Sequence[Rooted], parts: Sequence[PartName]) -> Iterator[int]:
    """The accents of which so many lie together that each is within a carry of the next."""
    accents = [n for n, part in enumerate(parts) if part in ACCENTS]
    if not accents:
        return
    strands = [shapes[n].strand for n in accents]
    outlines = [
        MultiPoint([strand.point(place / 2) for place in range(2 * len(strand.curves) + 1)])
        for strand in strands
    ]
    near = STRtree(outlines).query(outlines, predicate="dwithin", distance=MOST_CARRY_IN)
    edges = [(int(a), int(b), 0.0) for a, b in near.T.tolist()]
    for group in connected_components(edges):
        together = {accents[node] for i in group for node in edges[i][:2]}
        numbers = {shapes[n].number for n in together}
        if (
            sum(not shapes[n].hosts & numbers for n in together) >= _A_GROUP
        ):  # a cone's scales are of the cone
            yield from sorted(together)


def place_of(pocket: Pocket) -> PartName | None:
    """The place that a pocket lies in, where that is a part of its own: round the large circle, or the middle."""
    if pocket.kind in ("outside", "inside"):
        return "corners"
    return "middle" if pocket.kind in ("ring", "middle") else None
