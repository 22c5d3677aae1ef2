"""What her threads cost in starts, and what would cost less: each cure stitched through before it is offered."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from planner.border.layout import Layout
from planner.fills.scattered import parts_of
from planner.fills.shape import FillOfLayout
from planner.fills.styles import FILLS
from planner.plan import Plan, Units
from planner.stitching.order import path_of
from planner.stitching.segments import StitchPath
from planner.supplies.basis import Basis, usual
from planner.supplies.by_thread import takes_by_thread
from planner.supplies.hours import Span
from planner.threads import ACCENTS, MOST_CARRY_IN, StartingPoint, ThreadsBy, reordered, starting_points

CureName = Literal["as_chosen", "main_thread", "carried", "covered", "spine_last", "where_led", "grouped"]


@dataclass(frozen=True, slots=True)
class Cure:
    """One way to stitch a plan, and what it costs.

    name: as_chosen, or the parts of the thread with most starts stitched with the main shapes; the thread carried
    over small gaps and clipped later; a thread let go along what a later one covers; the spine's thread last, the
    others let go along what it covers; accents in their own thread only where a line of that leads to them, or only
    where they lie in groups. change: the fields of the plan that
    bring it about. minutes: at the machine; tying: how many of these go into starts, stops and clipping.
    """

    name: CureName
    change: Mapping[str, object]
    starts: int
    carries: int
    length: float
    minutes: Span
    tying: Span


@dataclass(frozen=True, slots=True)
class Moved:
    """What one order of strips and threads costs her beside the stitching: how often another thread is put in, and
    how often the quilt is moved on. threads_by: as of a plan."""

    threads_by: ThreadsBy
    changes: int
    advances: int


def both_orders(layout: Layout, grown: FillOfLayout, path: StitchPath) -> tuple[Moved, ...]:
    """By strip and thread by thread, the plan's own first, whose path is known; none where either is but one.

    Takes as long as a path.
    """
    plan = layout.plan
    if len(path.threads) < 2 or len(path.strips) < 2:
        return ()
    hers = plan.working.threads_by
    other: ThreadsBy = "thread" if hers == "strip" else "strip"
    working = plan.working.model_copy(update={"threads_by": other})
    again = path_of(replace(layout, plan=plan.model_copy(update={"working": working})), grown)
    return Moved(hers, path.changes, path.advances), Moved(other, again.changes, again.advances)


def cures(
    layout: Layout, grown: FillOfLayout, path: StitchPath, basis: Basis | None = None
) -> tuple[Cure, ...]:
    """The plan as she chose it, whose path is known, then all that has fewer starts, fewest first.

    Each takes as long as a path. Raises PlanError as the path does.
    """
    basis = basis or usual(layout.plan.units)
    found = {"": _cost("as_chosen", {}, path, basis, layout.plan.units)}
    for name, change in _changes(layout.plan, path):
        plan = Plan.model_validate(layout.plan.model_dump() | change)
        one = _cost(name, change, path_of(replace(layout, plan=plan), grown), basis, plan.units)
        if one.starts < path.starts:  # two that come to the same are one
            found.setdefault(f"{one.starts} {one.carries} {one.length:.1f}", one)
    chosen, *fewer = found.values()
    return (chosen, *sorted(fewer, key=lambda one: one.starts))


def starting_points_cost(
    layout: Layout, grown: FillOfLayout, basis: Basis | None = None
) -> tuple[tuple[StartingPoint, Cure], ...]:
    """The starting points of a plan's threads, and what each would cost; those stitched alike share a path.

    Raises PlanError as the path does.
    """
    basis, paths = basis or usual(layout.plan.units), dict[str, StitchPath]()
    found = []
    kind = layout.plan.fill.kind
    for begin in starting_points(kind, parts_of(FILLS[kind], layout.plan.scattered)):
        change = {
            "threads": begin.threads,
            "stitched_with": dict(begin.stitched_with),
            "travels": begin.travels,
            "accents": "all",
        }
        plan = Plan.model_validate(layout.plan.model_dump() | change)
        alike = f"{sorted(begin.stitched_with.items())} {begin.travels}"
        if alike not in paths:
            paths[alike] = path_of(replace(layout, plan=plan), grown)
        found.append((begin, _cost("as_chosen", change, paths[alike], basis, plan.units)))
    return tuple(found)


def _changes(plan: Plan, path: StitchPath) -> Iterator[tuple[CureName, dict[str, object]]]:
    """What may be changed in a plan of several threads."""
    main = plan.stitched_with.get("main", 0)
    starts = Counter({one.thread: one.starts for one in path.threads if one.thread != main})
    if not starts:
        return
    most = starts.most_common(1)[0][0]
    together = {part: main if thread == most else thread for part, thread in plan.stitched_with.items()}
    yield "main_thread", {"stitched_with": together}
    if plan.carry_in < MOST_CARRY_IN:
        yield "carried", {"carry_in": MOST_CARRY_IN}
    if plan.travels == "own_lines":
        yield "covered", {"travels": "lines_covered_later"}
    if plan.stitched_with.get("spine", 0) < len(plan.threads) - 1:
        yield "spine_last", {"travels": "lines_covered_later", **_spine_last(plan)}
    if plan.accents == "all" and any(plan.stitched_with.get(part, main) != main for part in ACCENTS):
        yield "where_led", {"accents": "where_led"}
        yield "grouped", {"accents": "grouped"}


def _spine_last(plan: Plan) -> dict[str, object]:
    """The spine's thread as the last of the threads; every part keeps the thread it had."""
    spine = plan.stitched_with.get("spine", 0)
    order = [*(n for n, _ in enumerate(plan.threads) if n != spine), spine]
    return {
        "threads": tuple(plan.threads[n] for n in order),
        "stitched_with": reordered(
            plan.stitched_with, order, parts_of(FILLS[plan.fill.kind], plan.scattered)
        ),
    }


def _cost(name: CureName, change: Mapping[str, object], path: StitchPath, basis: Basis, units: Units) -> Cure:
    takes = takes_by_thread(path.threads, basis, units)
    return Cure(
        name,
        change,
        path.starts,
        len(path.carried),
        path.length,
        _sum([one.minutes for one in takes]),
        _sum([one.tying for one in takes]),
    )


def _sum(spans: list[Span]) -> Span:
    return Span(sum(one.quick for one in spans), sum(one.slow for one in spans))
