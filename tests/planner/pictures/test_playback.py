"""What the play-back is drawn from: the same line as the stitching path, to a hundredth of an inch."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations
from math import hypot

import pytest
from svgpathtools import parse_path

from planner.fills import fill
from planner.pictures.numbered import numbered
from planner.pictures.playback import play_data, short_path
from planner.pictures.stages import legs, stages
from planner.plan import Plan
from planner.stitching.order import path_of
from tests.planner.landed import SPINE_LAST, example, wall_hanging


@pytest.fixture(scope="module", params=[0, 1, 4], ids=["butted", "wreath", "turning"])
def told(request: pytest.FixtureRequest) -> tuple:  # type: ignore[type-arg]
    layout = example(request.param)
    grown = fill(layout)
    path = path_of(layout, grown)
    return layout, grown, path, stages(layout, path)


def test_stages_hold_the_whole_path_in_order(told: tuple) -> None:  # type: ignore[type-arg]
    _, _, path, found = told
    assert tuple(move for stage in found for move in stage.moves) == path.segments
    numbers = [stage.number for stage in found if stage.number]
    assert numbers == sorted(numbers)
    assert set(numbers) == set(range(1, len(path.pockets) + 1))


def test_the_data_leads_where_the_path_leads(told: tuple) -> None:  # type: ignore[type-arg]
    """Every move of the data, read by svgpathtools and moved by its copy, has the ends of the path's segment."""
    layout, grown, path, found = told
    data = play_data(layout, grown, found, path)
    cells = [
        d.split("M")[1:]
        for d in re.findall(r'<path id="cell\d+" d="([^"]*)"', numbered(layout, grown, found, path))
    ]
    assert [len(shapes) for shapes in cells] == [len(lengths) for lengths in data["cells"]]
    moves = [(home, data["moves"][n]) for *_, home, list_ in data["stages"] for n in list_]
    assert len(moves) == len(path.segments)
    assert sum(move[2] for _, move in moves) / 100 == pytest.approx(path.length, abs=0.5)
    read = {}
    for (home, (_, _, _, *where)), segment in list(zip(moves, path.segments, strict=True))[::7]:
        if segment.length < 0.015:
            continue  # shorter than the data's unit: a dot, which has no ends
        if len(where) == 1:
            copy, drawn = home, parse_path(where[0])
            at = [drawn.start, drawn.end]
        else:
            shape, begun, ended, copy = where if len(where) == 4 else (*where, home)
            trace = "M" + cells[data["copies"][copy][0]][shape]
            drawn = read.setdefault(trace, parse_path(trace))
            whole = drawn.length(error=1e-4)
            at = [drawn.point(drawn.ilength(min(s, whole), s_tol=1e-2)) for s in (begun, ended)]
        a, b, c, d, e, f = data["copies"][copy][1:] if copy >= 0 else (1, 0, 0, 1, 0, 0)
        ends = tuple(complex(a * p.real + c * p.imag + e, b * p.real + d * p.imag + f) for p in at)
        for end, (x, y) in zip(ends, (segment.curves[0].start, segment.curves[-1].end), strict=True):
            assert hypot(end.real / 100 - x, end.imag / 100 - y) < 0.05


def test_short_paths_round_but_never_drift(told: tuple) -> None:  # type: ignore[type-arg]
    layout, *_ = told
    curves = [part.piece.curve for part in layout.spines]
    for curve in curves:
        drawn = parse_path(short_path([curve]))
        assert abs(drawn.end - complex(*(100 * v for v in curve.end))) < 1
        assert drawn.length(error=1e-4) / 100 == pytest.approx(curve.length, abs=0.03)


def test_every_pocket_has_a_number_in_the_picture_and_a_place_in_the_list(told: tuple) -> None:  # type: ignore[type-arg]
    layout, grown, path, found = told
    picture = numbered(layout, grown, found, path)
    assert picture.count("<text ") == len([stage for stage in found if stage.number])
    assert picture.count('class="begins"') == path.starts
    spans = [(leg.first, leg.last) for leg in legs(found)]
    assert [n for first, last in spans for n in range(first, last + 1)] == list(
        range(1, len(path.pockets) + 1)
    )


def test_no_number_hides_another_nor_where_a_line_begins(told: tuple) -> None:  # type: ignore[type-arg]
    layout, grown, path, found = told
    discs = re.findall(
        r'<circle (?:class="begins" )?cx="(.*?)" cy="(.*?)" r="(.*?)"/>', numbered(layout, grown, found, path)
    )
    marks = [tuple(map(float, disc)) for disc in discs]
    assert len(marks) > 40
    for (x, y, r), (u, v, s) in combinations(marks, 2):
        assert hypot(u - x, v - y) > r + s


def test_no_number_is_pushed_over_the_edge_of_a_small_quilt_in_three_threads() -> None:
    """The first one lay half outside the picture, pushed aside by the dots in its corner."""
    layout = wall_hanging(**SPINE_LAST)
    grown = fill(layout)
    path = path_of(layout, grown)
    picture = numbered(layout, grown, stages(layout, path), path)
    discs = re.findall(r'<circle(?: class="ringed")? cx="(.*?)" cy="(.*?)" r="(.*?)"/>', picture)
    assert len(discs) > 50
    numbers = [tuple(map(float, disc)) for disc in discs]
    for x, y, r in numbers:
        assert r <= x + 0.01 and x - 0.01 <= layout.quilt.width - r
        assert r <= y + 0.01 and y - 0.01 <= layout.quilt.height - r
    for (x, y, r), (u, v, s) in combinations(numbers, 2):
        assert hypot(u - x, v - y) > r + s


def test_where_hundreds_of_lines_begin_the_picture_is_no_field_of_dots(told: tuple) -> None:  # type: ignore[type-arg]
    """A dot where the work with a thread begins; every pocket in which more lines begin has a ringed number."""
    layout, grown, *_ = told
    two = {"threads": [{"colours": ["#2a6b3a"]}, {"colours": ["#a02020"]}], "stitched_with": {"main": 1}}
    layout = replace(layout, plan=Plan.model_validate(layout.plan.model_dump() | two))
    path = path_of(layout, grown)
    assert path.starts > 100
    found = stages(layout, path)
    picture = numbered(layout, grown, found, path)
    begun = {stage.line: stage for stage in reversed(found)}
    dots = {line for line, stage in begun.items() if not stage.number}
    dots |= {min(line for line, stage in begun.items() if stage.thread == thread) for thread in (0, 1)}
    assert picture.count('class="begins"') == len(dots) < 10
    ringed = {
        int(n) for n in re.findall(r'<circle class="ringed" [^>]*/><text class="digits.".*?>(\d+)<', picture)
    }
    assert ringed == {stage.number for line, stage in begun.items() if line not in dots}
