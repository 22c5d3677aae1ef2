"""Whatever thread, whatever machine: each line once, in its own thread and strip, over what may be gone over."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import cycle, groupby, islice, pairwise, product
from math import dist
from random import Random

import networkx as nx
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from planner.border.layout import Layout
from planner.errors import PlanError
from planner.fills import fill as filled
from planner.fills.shape import FillOfLayout
from planner.fills.styles import FILLS
from planner.plan import Fill, Plan
from planner.stitching.order import path_of
from planner.stitching.segments import Segment, StitchPath
from tests.planner.landed import example, layouts
from tests.planner.stitching.test_order import grown

JOINT_IN = 1e-6
SMALL = {"sides": (40.0, 40.0, 40.0, 40.0)}
THREADS = [{"name": name, "colours": [colour]} for name, colour in (("green", "#2a6b3a"), ("red", "#a02020"))]
THREADS.append({"name": "gold", "colours": ["#c09020", "#e0c060"], "repeat_in": 5.0})
WITH: dict[str, dict[str, int]] = {
    "one": {},
    "two": {"accents": 1, "stems": 1, "teardrops": 1},
    "three": {"spine": 2, "flowers": 1, "tips": 1, "accents": 1},
}
WAYS: dict[str, dict[str, object]] = {
    "whole": {},
    "borders": {"way": "border_by_border"},
    "frame": {"way": "frame", "reach_in": 18.0},
    "frame, needle down": {"way": "frame", "reach_in": 18.0, "needle_down": True},
    "frame, thread by thread": {"way": "frame", "reach_in": 18.0, "threads_by": "thread"},
}


def asked(layout: Layout, **more: object) -> Layout:
    return replace(layout, plan=Plan.model_validate(layout.plan.model_dump() | more))


def judge(layout: Layout, fill: FillOfLayout, path: StitchPath) -> None:
    """Knows the segments and the plan alone: nothing of how they came about."""
    plan, segments = layout.plan, path.segments
    for before, after in pairwise(segments):
        assert after.line in (before.line, before.line + 1)
        if after.line == before.line:
            assert after.thread == before.thread
            assert dist(before.end, after.start) <= JOINT_IN, "the line is broken"
            assert after.strip == before.strip or plan.working.needle_down
    owner: dict[int, int] = {}
    sewn: dict[int, nx.Graph] = defaultdict(nx.Graph)
    once: dict[object, float] = defaultdict(float)
    for move in segments:
        low, high = sorted(move.places)
        if not move.again:
            assert owner.setdefault(id(move.strand), move.thread) == move.thread, "two threads on one line"
            assert not covered(sewn[id(move.strand)], low, high), "a line stitched twice as if it were new"
            sewn[id(move.strand)].add_edge(low, high)
            once["spine" if move.shape is None else move.shape] += move.length
    visible_again(segments, owner, plan)
    assert once.pop("spine") == pytest.approx(sum(p.piece.curve.length for p in layout.spines), abs=1e-6)
    of_cell = [[shape.length for shape in cell.shapes] for cell in fill.cells]
    lengths = [length for copy in fill.copies for length in of_cell[copy.cell]]
    assert sorted(once, key=str) == sorted(range(len(lengths)), key=str)
    assert sum(once.values()) == pytest.approx(sum(lengths), abs=0.02 * len(lengths))
    pockets_whole(segments)
    within_the_strip(path)
    sums(path)


def covered(parts: nx.Graph, low: float, high: float) -> bool:
    """Whether any part of a line from place to place is stitched already."""
    return any(max(low, min(a, b)) < min(high, max(a, b)) - 1e-9 for a, b in parts.edges)


def visible_again(segments: tuple[Segment, ...], owner: dict[int, int], plan: Plan) -> None:
    """What is gone over again was stitched before by the same thread, or will be covered by a later one."""
    done: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for move in segments:
        low, high = sorted(move.places)
        if not move.again:
            done[id(move.strand)].append((low, high))
        elif owner[id(move.strand)] == move.thread:
            at = low
            for a, b in sorted(done[id(move.strand)]):
                at = max(at, b) if a <= at + 1e-9 else at
            assert at >= high - 1e-9, "travelled over cloth that is not stitched"
        else:
            assert plan.travels == "lines_covered_later"
            assert owner[id(move.strand)] > move.thread, "travelled over another colour"


def pockets_whole(segments: tuple[Segment, ...]) -> None:
    """A thread finishes a pocket before it leaves it, in one strip."""
    for _, line in groupby(segments, key=lambda s: (s.line, s.strip)):
        visits = [pocket for pocket, _ in groupby(s.pocket for s in line if s.kind == "fill")]
        assert len(visits) == len(set(visits)), "a pocket was left and come back to"
    strips: dict[object, set[int]] = defaultdict(set)
    for move in segments:
        if move.kind == "fill":
            strips[move.pocket].add(move.strip)
    assert all(len(found) == 1 for found in strips.values())


def within_the_strip(path: StitchPath) -> None:
    for move in path.segments:
        strip = path.zones[move.strip]
        if strip.side is None:
            for curve in move.curves:
                downs = [curve.point(share)[1] for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
                assert strip.begin - JOINT_IN <= min(downs) <= max(downs) <= strip.end + JOINT_IN


def sums(path: StitchPath) -> None:
    by_thread, by_strip = path.threads, path.strips
    assert sum(one.length for one in by_thread) == pytest.approx(path.length)
    assert sum(one.retraced for one in by_thread) == pytest.approx(path.retraced)
    assert sum(one.starts for one in by_thread) == path.starts
    assert sum(one.carries for one in by_thread) + path.starts == path.lines
    assert sum(one.length for one in by_strip) == pytest.approx(path.length)
    assert sum(one.starts for one in by_strip) == path.starts
    pockets = [pocket for one in by_strip for pocket in one.pockets]
    assert len(pockets) == len(set(pockets)) == len(path.pockets)


@pytest.fixture(scope="module")
def small() -> Iterator[dict[tuple[str, int], tuple[Layout, FillOfLayout]]]:
    yield {}


def some(
    known: dict[tuple[str, int], tuple[Layout, FillOfLayout]], kind: str, style: int
) -> tuple[Layout, FillOfLayout]:
    if (kind, style) not in known:
        layout = example(style, fill=Fill(kind=kind), **SMALL)
        known[kind, style] = layout, filled(layout)
    return known[kind, style]


def as_worked(layout: Layout, fill: FillOfLayout) -> FillOfLayout:
    """The fill as she works it: what of echo lines is one pocket's hangs on how deep she reaches."""
    return filled(layout) if layout.plan.fill.kind == "echo" else fill


def matrix() -> list[object]:
    """Every fill, number of threads and way of working; but for a round through them in the long mode."""
    every = [(kind, threads, way) for kind in FILLS for threads in WITH for way in WAYS]
    return [
        pytest.param(*one, id="-".join(one), marks=() if n % 7 == 0 else pytest.mark.long)
        for n, one in enumerate(every)
    ]


@pytest.mark.parametrize(("kind", "threads", "way"), matrix())
def test_every_thread_on_every_machine(
    kind: str,
    threads: str,
    way: str,
    small: dict[tuple[str, int], tuple[Layout, FillOfLayout]],
) -> None:
    layout, fill = some(small, kind, 4)
    n = list(WITH).index(threads) + list(WAYS).index(way)
    for spine in ("first", "on_the_way"):
        plan = asked(
            layout,
            threads=THREADS,
            stitched_with=WITH[threads],
            working=WAYS[way],
            spine=spine,
            travels=("own_lines", "lines_covered_later")[n % 2],
            carry_in=0.25 * (n % 3),
        )
        fill = as_worked(plan, fill)
        judge(plan, fill, path_of(plan, fill))


@pytest.mark.parametrize(("kind", "style"), grown((("echo", 2),)))
def test_every_style_on_every_machine(
    kind: str, style: int, small: dict[tuple[str, int], tuple[Layout, FillOfLayout]]
) -> None:
    layout, fill = some(small, kind, style)
    for n, working in enumerate(WAYS.values()):
        for spine in ("first", "on_the_way"):
            plan = asked(
                layout,
                threads=THREADS,
                stitched_with=WITH["three" if n % 2 else "two"],
                working=working,
                spine=spine,
            )
            fill = as_worked(plan, fill)
            judge(plan, fill, path_of(plan, fill))


def test_the_judge_can_say_no(small: dict[tuple[str, int], tuple[Layout, FillOfLayout]]) -> None:
    layout, fill = some(small, "leaves", 4)
    layout = asked(layout, threads=THREADS, stitched_with={"accents": 1}, working=WAYS["frame"])
    path = path_of(layout, fill)
    s = path.segments
    new = next(n for n, one in enumerate(s) if one.kind == "fill" and n)
    again = next(n for n, one in enumerate(s) if one.again)
    wrong = [
        s[:new] + s[new + 1 :],
        (*s[:again], s[again]._replace(kind="fill"), *s[again + 1 :]),
        (*s[:new], s[new]._replace(thread=1), *s[new + 1 :]),
        (*s[:new], s[new]._replace(strip=len(path.zones) - 1), *s[new + 1 :]),
        (s[0]._replace(kind="travel"), *s[1:]),
    ]
    for segments in wrong:
        with pytest.raises((AssertionError, KeyError, ValueError)):
            judge(layout, fill, replace(path, segments=segments))


def test_too_little_reach_is_refused_with_the_least_that_does(
    small: dict[tuple[str, int], tuple[Layout, FillOfLayout]],
) -> None:
    layout, fill = some(small, "leaves", 4)
    with pytest.raises(PlanError) as refused:
        path_of(asked(layout, working={"way": "frame", "reach_in": 3.0}), fill)
    assert refused.value.field == "working.reach_in"
    said = str(refused.value).split("whole pockets need ")[1].split(" in")[0]
    whole, _, share = said.partition(" ")
    least = float(whole) + (float(share[0]) / float(share[2]) if share else 0.0)
    judge(*((plan := asked(layout, working={"way": "frame", "reach_in": least})), fill, path_of(plan, fill)))
    with pytest.raises(PlanError):
        path_of(asked(layout, working={"way": "frame", "reach_in": least - 0.25}), fill)


def test_a_border_at_a_time_costs_four_starts_and_little_length(
    small: dict[tuple[str, int], tuple[Layout, FillOfLayout]],
) -> None:
    layout, fill = some(small, "feathers", 4)
    whole = path_of(layout, fill)
    borders = path_of(asked(layout, working=WAYS["borders"]), fill)
    assert [strip.side for strip in borders.strips] == ["top", "right", "bottom", "left"]
    assert borders.starts == 4
    assert borders.advances == 3
    assert borders.length <= 1.03 * whole.length


def test_the_needle_left_down_saves_starts(small: dict[tuple[str, int], tuple[Layout, FillOfLayout]]) -> None:
    layout, fill = some(small, "feathers", 4)
    up, down = (path_of(asked(layout, working=WAYS[way]), fill) for way in ("frame", "frame, needle down"))
    assert down.starts < up.starts
    assert up.advances == len(up.zones) - 1


def test_left_open_each_strip_has_the_better_of_both() -> None:
    """Spines first in one strip, on the way in another: what has fewer starts, then what is shorter."""
    layout = example(6, fill=Fill(kind="echo"), **SMALL)
    layout = asked(layout, working={"way": "frame", "reach_in": 24.0})
    fill = filled(layout)

    def price(spine: str | None) -> tuple[int, float]:
        path = path_of(asked(layout, working={"way": "frame", "reach_in": 24.0}, spine=spine), fill)
        return path.starts, path.length

    assert price(None) < min(price("first"), price("on_the_way"))


def test_the_lower_border_is_stitched_in_one_strip_as_the_upper_one_is() -> None:
    """Its inner side stitched from the strip above has the spine gone over twice all along: 5.1 % of length."""
    layout = example(4, sides=(60.0, 70.0, 60.0, 70.0))
    fill = filled(layout)
    whole = path_of(layout, fill)
    frame = path_of(asked(layout, working=WAYS["frame"]), fill)
    for side in ("top", "bottom"):
        assert sum(any(p.side == side for p in zone.pockets) for zone in frame.zones) == 1
    assert frame.starts <= 2 * len(frame.zones) - 2
    assert frame.length <= 1.01 * whole.length


def test_a_spine_waits_for_the_strip_of_what_stands_on_it(
    small: dict[tuple[str, int], tuple[Layout, FillOfLayout]],
) -> None:
    """Else the needle goes back for it when the pockets are filled, past all that is between: 3 % of length."""
    layout, fill = some(small, "feathers", 4)
    path = path_of(asked(layout, working=WAYS["frame"], spine="on_the_way"), fill)
    assert [s for s in path.segments if s.kind == "spine"]
    assert not [s for s in path.segments if s.again and s.pocket is None]


def test_by_strip_or_thread_by_thread(small: dict[tuple[str, int], tuple[Layout, FillOfLayout]]) -> None:
    """In one strip all threads are put in; or the quilt is rolled back for each."""
    layout, fill = some(small, "leaves", 4)
    two = asked(layout, threads=THREADS, stitched_with=WITH["two"])
    strip, thread = (
        path_of(asked(two, working=WAYS[way]), fill) for way in ("frame", "frame, thread by thread")
    )
    strips = len(strip.zones)
    assert (strip.advances, strip.changes) == (strips - 1, 2 * strips - 1)
    assert (thread.advances, thread.changes) == (2 * strips - 1, 1)


def whatever_she_has(
    layout: Layout, kind: str, every: Iterable[tuple[str, str, str | None]], more: Random
) -> int:
    """Judges a layout with some fill, threads, ways of working and spine orders; returns how many paths."""
    fill, judged = filled(asked(layout, fill={"kind": kind})), 0
    for threads, way, spine in every:
        reach = {"reach_in": more.uniform(8.0, 30.0)} if "reach_in" in WAYS[way] else {}
        plan = asked(
            layout,
            fill={"kind": kind},
            threads=THREADS,
            stitched_with=WITH[threads],
            working=WAYS[way] | reach,
            spine=spine,
            travels=more.choice(["own_lines", "lines_covered_later"]),
            carry_in=more.choice([0.0, 0.25, 0.5]),
        )
        try:
            path = path_of(plan, fill)
        except PlanError as too_little:
            assert too_little.field == "working.reach_in"
            continue
        judge(plan, fill, path)
        judged += 1
    return judged


@pytest.mark.long
def test_whatever_she_has() -> None:
    """500 random plans: every fill in turn, on each layout some of the ways, until each fill has had them all."""
    judged, more, kinds = 0, Random(17), cycle(FILLS)
    every = [*product(WITH, WAYS, ("first", "on_the_way", None))]
    left = {kind: cycle(more.sample(every, len(every))) for kind in FILLS}

    @settings(
        max_examples=90, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate]
    )
    @given(layouts())
    def any_layout(layout: Layout) -> None:
        nonlocal judged
        if judged < 500:
            kind = next(kinds)
            judged += whatever_she_has(layout, kind, islice(left[kind], 10), more)

    any_layout()
    assert judged >= 500


@settings(max_examples=2, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])
@given(layouts(), st.sampled_from(list(WITH)), st.sampled_from(list(WAYS)))
def test_whatever_she_has_a_few(layout: Layout, threads: str, way: str) -> None:
    whatever_she_has(layout, "needles", [(threads, way, None)], Random(17))
