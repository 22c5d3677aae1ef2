"""Threads: every line once in its own thread, nothing travelled over that is not its own or covered later."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from math import hypot

import pytest
from pydantic import ValidationError

from planner.border.layout import Layout
from planner.fills import fill as filled
from planner.plan import Fill, Plan
from planner.stitching.order import path_of
from planner.stitching.segments import StitchPath
from planner.threads import MOST_CARRY_IN, part_of
from tests.planner.landed import example

GREEN, RED = {"name": "green", "colours": ["#2a6b3a"]}, {"name": "red", "colours": ["#a02020"]}
WITH = {
    "berries apart": {"accents": 1},
    "spine on top": {"spine": 1},
    "corners apart": {"corners": 1, "tips": 1},
}


def threaded(layout: Layout, **more: object) -> Layout:
    return replace(
        layout, plan=Plan.model_validate(layout.plan.model_dump() | {"threads": [GREEN, RED]} | more)
    )


def judge(layout: Layout, path: StitchPath) -> None:
    """Each line once, in its own thread; ways over own lines, or over later ones where she allows it."""
    plan, last = layout.plan, len(path.threads) - 1
    grown = list(filled(layout).shapes())
    new: Counter[object] = Counter()
    thread_of: dict[int, int] = {}
    done: dict[int, list[tuple[float, float]]] = {}
    for before, after in zip(path.segments, path.segments[1:], strict=False):
        if before.line == after.line:
            assert before.thread == after.thread
            assert hypot(before.end[0] - after.start[0], before.end[1] - after.start[1]) <= 1e-6
        assert before.thread <= after.thread
    for segment in path.segments:
        key = id(segment.strand)
        begun, ended = sorted(segment.span)
        if not segment.again:
            new["spine" if segment.shape is None else segment.shape] += segment.length
            assert thread_of.setdefault(key, segment.thread) == segment.thread, "two threads on one line"
            done.setdefault(key, []).append((begun, ended))
    stitched = {key: sum(b - a for a, b in parts) for key, parts in done.items()}
    for segment in path.segments:
        if segment.again and thread_of[id(segment.strand)] != segment.thread:
            assert plan.travels == "lines_covered_later"
            assert thread_of[id(segment.strand)] > segment.thread
    spines = sum(part.piece.curve.length for part in layout.spines)
    assert new["spine"] == pytest.approx(spines, abs=1e-6)
    for number, shape in enumerate(grown):
        assert new[number] == pytest.approx(shape.length, abs=0.05)
    assert len(stitched) and last >= 0
    total = sum(thread.length for thread in path.threads)
    assert total == pytest.approx(path.length)
    assert sum(thread.starts for thread in path.threads) == path.starts


@pytest.mark.parametrize("stitched_with", WITH.values(), ids=WITH)
@pytest.mark.parametrize("travels", ["own_lines", "lines_covered_later"])
def test_every_line_once_in_its_own_thread(stitched_with: dict[str, int], travels: str) -> None:
    layout = threaded(example(4, fill=Fill(kind="flowers")), stitched_with=stitched_with, travels=travels)
    path = path_of(layout, filled(layout))
    judge(layout, path)
    assert len(path.threads) == 2


def test_leaves_first_and_the_spine_on_top_is_one_start_each() -> None:
    """Travelling over lines that the spine's thread will cover."""
    layout = threaded(
        example(4, fill=Fill(kind="leaves")), stitched_with={"spine": 1}, travels="lines_covered_later"
    )
    apart = threaded(layout, stitched_with={"spine": 1}, travels="own_lines")
    fill = filled(layout)
    assert [thread.starts for thread in path_of(layout, fill).threads] == [1, 1]
    assert path_of(apart, fill).threads[0].starts > 100


def test_a_carried_thread_is_a_start_less() -> None:
    layout = threaded(example(4, fill=Fill(kind="flowers")), stitched_with={"accents": 1})
    fill = filled(layout)
    clipped = path_of(threaded(layout, stitched_with={"accents": 1}, carry_in=MOST_CARRY_IN), fill)
    bare = path_of(layout, fill)
    assert clipped.threads[1].starts + clipped.threads[1].carries == bare.threads[1].starts
    assert clipped.threads[1].carries > 0
    for n in clipped.carried:
        last = max((i for i, s in enumerate(clipped.segments) if s.line == n - 1), default=0)
        a, b = clipped.segments[last].end, clipped.segments[last + 1].start
        assert hypot(a[0] - b[0], a[1] - b[1]) <= MOST_CARRY_IN


def test_a_place_goes_with_its_shapes_unless_it_has_a_thread() -> None:
    assert part_of("berry", place="corners", stitched_with={}) == "accents"
    assert part_of("berry", place="corners", stitched_with={"corners": 1}) == "corners"
    assert part_of("plume", place=None, stitched_with={"corners": 1}) == "main"


def test_cones_go_with_the_berries_unless_they_have_a_thread() -> None:
    """As every plan did that was saved when both were one part."""
    assert part_of("cone", place=None, stitched_with={"accents": 1}) == "accents"
    assert part_of("cone", place=None, stitched_with={"accents": 1, "cones": 2}) == "cones"
    assert part_of("berry", place=None, stitched_with={"cones": 2}) == "accents"


def test_cones_in_a_thread_of_their_own() -> None:
    """An older plan's needles have their cones with the accents, as by both names; named alone they stand alone."""
    layout = example(4, fill=Fill(kind="needles"), sides=(40.0, 40.0, 40.0, 40.0))
    fill = filled(layout)
    old, new, cones = (
        threaded(layout, stitched_with=dict.fromkeys(parts, 1))
        for parts in (("accents",), ("accents", "cones"), ("cones",))
    )
    paths = [path_of(one, fill) for one in (old, new)]
    assert {s.what for s in paths[1].segments if s.thread == 1} == {"cone", "berry"}
    assert {s.what for s in path_of(cones, fill).segments if s.thread == 1} == {"cone"}
    assert len({(path.length, path.starts) for path in paths}) == 1


def test_a_cone_in_a_corner_breaks_no_thread() -> None:
    """Needles that stand on its stem alone, which goes with the cone, would be a start in every corner."""
    layout = example(4, fill=Fill(kind="needles"), sides=(40.0, 40.0, 40.0, 40.0))
    brown = threaded(layout, stitched_with={"cones": 1, "stems": 1, "accents": 1})
    assert path_of(brown, filled(layout)).threads[0].starts == 1


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"stitched_with": {"accents": 2}}, "there are 2"),
        ({"threads": [GREEN] * 7}, "at most 6"),
        ({"threads": [{"colours": ["#112233", "#445566"]}]}, "repeat"),
        ({"carry_in": 0.75}, "0.5"),
        ({"working": {"way": "frame"}}, "reach"),
    ],
)
def test_what_no_thread_can_do_is_said(wrong: dict[str, object], said: str) -> None:
    with pytest.raises(ValidationError, match=said):
        threaded(example(4), **wrong)
