"""Cones or flowers every here and there: strewn evenly, sound, and a fill's own where there is no room."""

from __future__ import annotations

from itertools import pairwise

import pytest

from planner.demo import demo_plan
from planner.fills import fill
from planner.fills.pocket import Pocket
from planner.fills.scattered import SCATTERED, parts_of, scattered_of, stands_in
from planner.fills.styles import FILLS
from planner.plan import Fill, Plan
from planner.stitching.order import path_of
from planner.threads import PART_WORDS, part_of
from tests.outside.fill_judge import judge
from tests.planner.landed import square

WHOLE = {"cones": "cone", "flowers": "flower"}


@pytest.mark.parametrize("seed", range(5))
def test_it_is_strewn_evenly(seed: int) -> None:
    """Two curls in five: never two neighbours, never three without."""
    run = [n for n in range(1, 31) if stands_in(Pocket("curl", "top", "start", n), seed)]
    assert len(run) == 12
    assert {b - a for a, b in pairwise(run)} == {2, 3}
    assert run == [n for n in range(1, 31) if stands_in(Pocket("curl", "left", "end", n), seed)]


def test_it_stands_somewhere_else_with_another_seed() -> None:
    firsts = {
        min(n for n in range(1, 6) if stands_in(Pocket("curl", "top", "start", n), seed))
        for seed in range(20)
    }
    assert len(firsts) > 1


@pytest.mark.parametrize("scattered", WHOLE)
def test_it_stands_where_it_is_said_to(scattered: str) -> None:
    """In the corners' circles and in curls that take their turn, alike on both runs of a side, and nowhere else."""
    layout = square("feathers", 6.0, scattered=scattered)
    found = fill(layout)
    for copy in found.copies:
        kinds = {shape.kind for shape in found.cells[copy.cell].shapes}
        pocket = copy.pocket
        wanted = stands_in(pocket, layout.plan.seed) if pocket.run else pocket.kind == "inside"
        assert (WHOLE[scattered] in kinds) == wanted, pocket
        drawn = {part_of(kind, place=None, stitched_with=dict.fromkeys(PART_WORDS, 0)) for kind in kinds}
        assert drawn <= {*parts_of(FILLS["feathers"], scattered), "background"}


@pytest.mark.parametrize(
    "case",
    [
        ("feathers", "flowers", 4.0, "mirrored"),
        ("leaves", "cones", 4.0, "turning"),
        *(
            pytest.param((kind, scattered, width, corner), marks=pytest.mark.long)
            for kind in ("feathers", "leaves", "needles", "holly", "fern", "flowers")
            for scattered in WHOLE
            for width, corner in ((4.0, "turning"), (6.0, "easy_going"), (10.0, "mirrored"))
        ),
    ],
)
def test_it_is_sound_and_the_needle_finds_it(case: tuple[str, str, float, str]) -> None:
    kind, scattered, width, corner = case
    layout = square(kind, width, corner, scattered=scattered)
    found = fill(layout)
    judged = judge(layout, found)
    faults = (judged.spine_crossings, judged.crossings, judged.outside, judged.thin, judged.in_the_air)
    assert not any(faults), faults
    assert judged.hole <= 0.5 * layout.room
    plain = square(kind, width, corner)
    assert path_of(layout, found).starts <= path_of(plain, fill(plain)).starts


def test_old_plans_and_lines_have_none() -> None:
    assert next(iter(SCATTERED)) == Plan.model_fields["scattered"].default == "none"
    assert scattered_of(demo_plan()).tip is None
    for kind, scattered in (("echo", "cones"), ("flowers", "flowers")):
        plan = demo_plan().model_copy(update={"fill": Fill(kind=kind), "scattered": scattered})
        assert scattered_of(plan).tip is None, "nothing to hang on, or in every curl already"
