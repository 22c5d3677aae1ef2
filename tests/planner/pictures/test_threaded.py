"""Pictures in threads: each shape once, in the colour of the thread that stitches it; sums are the whole."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from dataclasses import replace
from functools import lru_cache

import pytest
import svgpathtools

from planner.border.layout import Layout
from planner.fills import fill
from planner.fills.shape import PER_IN
from planner.pictures import picture
from planner.pictures.threaded import (
    as_it_falls,
    bands,
    mean_colour,
    needs_path,
    seam_before,
    spine_thread,
    thread_of_shapes,
)
from planner.plan import Fill, Plan
from planner.stitching.order import path_of
from planner.threads import Thread
from tests.planner.landed import example

GREEN, RED, GOLD = ({"colours": [colour]} for colour in ("#1f5a34", "#b0202a", "#d79a2a"))
PINE = {"colours": ["#1f5a34", "#8fbf6a"], "repeat_in": 5.0}


@lru_cache
def bare(kind: str) -> Layout:
    return example(4, fill=Fill(kind=kind))


def threaded(kind: str, **more: object) -> Layout:
    return replace(bare(kind), plan=Plan.model_validate(bare(kind).plan.model_dump() | more))


def drawn(layout: Layout) -> str:
    found = fill(layout)
    return picture.filled(found, layout, path_of(layout, found) if needs_path(layout.plan) else None)


def test_one_thread_is_drawn_as_ever() -> None:
    old = drawn(bare("leaves"))
    assert f'stroke="{bare("leaves").plan.look.thread}"' in old
    assert "thread0" not in old
    named = drawn(threaded("leaves", threads=[{"name": "Cream", "colours": ["#f6efe0"]}]))
    assert named == old


@pytest.mark.parametrize("stitched_with", [{"accents": 1, "stems": 2}, {"accents": 1, "corners": 2}])
def test_each_shape_once_in_the_colour_of_its_thread(stitched_with: dict[str, int]) -> None:
    layout = threaded("flowers", threads=[GREEN, RED, GOLD], stitched_with=stitched_with)
    found = fill(layout)
    by_kind = thread_of_shapes(layout, found, None)
    assert by_kind == thread_of_shapes(layout, found, path_of(layout, found)), "as they are stitched"
    text = drawn(layout)
    seen: Counter[str] = Counter()
    for n, colour in enumerate(("#1f5a34", "#b0202a", "#d79a2a")):
        group = text.split(f'<g stroke="{colour}">')[1].split("</defs>")
        paths = [re.findall(r' d="([^"]+)"', one) for one in group[0].split("<g id=")[1:]]
        cells = [
            sum(len(re.findall("[Mm]", path)) for path in one) for one in paths
        ]  # a move begins each shape
        for use in group[1].split("<use ")[1:]:
            if f'"#thread{n}-' in use:
                seen[colour] += cells[int(use.split(f"#thread{n}-")[1].split('"')[0])]
    wanted = Counter(("#1f5a34", "#b0202a", "#d79a2a")[n] for n in by_kind)
    assert seen == wanted
    assert sum(seen.values()) == len(list(found.shapes()))


def test_a_repeat_on_the_spool_is_shorter_on_the_quilt() -> None:
    """5 in of thread are some 3 in of seam: 1.625 in of it lie in each inch (2 + 2·1/16·10, halved)."""
    layout = threaded("needles", threads=[PINE])
    its, repeat = bands(layout.plan, layout.plan.threads[0])
    assert repeat == pytest.approx(5 / 1.625)
    assert sum(band.length for band in its) == pytest.approx(repeat)
    assert [band.colour for band in its][::2] == list(PINE["colours"])


def test_as_it_falls_each_piece_has_the_colour_that_comes_off_the_spool_there() -> None:
    """Reckoned here afresh: seam sewn before a piece, over the length of a repeat, says which band it lies in."""
    layout = threaded("needles", threads=[PINE, RED], stitched_with={"cones": 1})
    plan, path = layout.plan, path_of(layout, fill(layout))
    its, repeat = bands(plan, plan.threads[0])
    before = {id(move): gone for move, gone in zip(path.segments, seam_before(plan, path), strict=True)}
    sewn: dict[int, float] = defaultdict(float)
    for move, colour, curves in as_it_falls(plan, path):
        length = sum(curve.length for curve in curves)
        middle = (before[id(move)] + sewn[id(move)] + length / 2) % repeat
        sewn[id(move)] += length
        if move.thread == 1:
            assert colour == RED["colours"][0]
        elif length > 0.1:  # within a curve a piece may be cut a hair off
            rounds = [middle + n * repeat for n in (-1, 0, 1)]
            near = {b.colour for b in its for at in rounds if -0.03 <= at - b.begin <= b.length + 0.03}
            assert colour in near
    new = [move for move in path.segments if not move.again]
    assert sum(sewn.values()) == pytest.approx(sum(move.length for move in new), rel=1e-4)
    afar = sum(1 for _ in as_it_falls(plan, path, 2.0))
    assert len(new) <= afar < sum(1 for _ in as_it_falls(plan, path)) / 2


def test_variegated_pictures_stay_small_and_their_dashes_go_by_inches() -> None:
    """Where a path does not say how long it is, dashes go by its own units, not by inches."""
    layout = threaded("needles", threads=[PINE, RED], stitched_with={"accents": 1})
    svg = drawn(layout)
    assert len(svg) < 1_000_000
    ways = re.findall(r'<path id="w0-\d+"(?: pathLength="([^"]+)")? d="([^"]+)"', svg)
    assert len(ways) > 100
    for inches, d in sorted(ways, key=lambda way: len(way[1]))[:40]:
        own = sum(part.length(error=1e-3) for part in svgpathtools.parse_path(d) if part.start != part.end)
        assert float(inches) == pytest.approx(own / PER_IN, rel=0.02, abs=0.01)


def test_from_afar_a_thread_has_the_mean_of_its_colours() -> None:
    assert mean_colour(Thread(colours=("#000000", "#ffffff"), repeat_in=5)) == "#808080"
    assert mean_colour(Thread(colours=("#123456",))) == "#123456"
    layout = threaded("leaves", threads=[GREEN, RED], stitched_with={"spine": 1})
    assert spine_thread(layout.plan).colours == tuple(RED["colours"])
    assert 'class="thread" stroke="' in picture.drawing(layout)
    assert 'class="stitch" stroke="#b0202a"' in picture.drawing(layout)
