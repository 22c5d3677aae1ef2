"""What stands in the corners' large circles: sound in every fill, and cross-hatching as it is said to lie."""

from __future__ import annotations

from itertools import combinations
from math import hypot, pi

import pytest
import shapely

from planner.fills import fill
from planner.fills.corner_motifs import CORNER_MOTIFS
from planner.fills.pockets.hatched import hatch, hatched_thread, mouth_of
from planner.geometry.curves import Arc
from planner.plan import Plan
from planner.stitching.order import path_of
from tests.outside.fill_judge import judge
from tests.planner.landed import square

C = Arc((3.0, 3.0), 2.0, pi / 2, 3 * pi / 2)  # three quarters of a circle, open where x and y grow


def test_the_mouth_closes_the_circle() -> None:
    mouth = mouth_of(C)
    assert mouth.length + C.length == pytest.approx(2 * pi * C.radius)
    assert mouth.start == pytest.approx(C.start) and mouth.end == pytest.approx(C.end)
    assert mouth.point(0.5) == pytest.approx((3 + 2**0.5, 3 + 2**0.5))


def test_arcs_run_from_rim_to_rim_and_no_family_crosses_itself() -> None:
    """Two families about centres 1.7 radii away, alike on both sides of the miter."""
    _, *arcs = hatch(mouth_of(C), 1.0)
    centres = {arc.centre for shape in arcs for arc in shape.curves if isinstance(arc, Arc)}
    assert [hypot(x - 3, y - 3) for x, y in centres] == pytest.approx([3.4, 3.4])
    assert {tuple(round(v, 9) for v in (y, x)) for x, y in centres} == {
        tuple(round(v, 9) for v in one) for one in centres
    }
    for shape in arcs:
        for x, y in (shape.start, shape.end):
            assert hypot(x - 3, y - 3) == pytest.approx(C.radius)
    for centre in centres:
        lines = [
            shapely.LineString(s.points(1e-4)) for s in arcs for a in s.curves if a == Arc(centre, *_rest(a))
        ]
        assert not any(one.intersects(other) for one, other in combinations(lines, 2))
    assert sum(s.length for s in arcs) == pytest.approx(hatched_thread(2.0, 1.0) - 4 * pi, rel=0.1)


def _rest(arc: object) -> tuple[float, float, float]:
    assert isinstance(arc, Arc)
    return arc.radius, arc.begin, arc.sweep


@pytest.mark.parametrize(
    "case",
    [
        ("feathers", 6.0, "mirrored", "hatched"),
        ("needles", 4.0, "turning", "hatched"),
        pytest.param(("flowers", 12.0, "mirrored", "hatched"), marks=pytest.mark.long),
        pytest.param(("leaves", 8.0, "mirrored", "hatched"), marks=pytest.mark.long),
        pytest.param(("leaves", 6.0, "turning", "teardrops"), marks=pytest.mark.long),
    ],
)
def test_it_is_sound_and_the_needle_finds_it(case: tuple[str, float, str, str]) -> None:
    layout = square(*case[:3], corner_motif=case[3])
    found = fill(layout)
    judged = judge(layout, found)
    faults = (judged.spine_crossings, judged.crossings, judged.outside, judged.thin, judged.in_the_air)
    assert not any(faults), faults
    assert judged.hole <= 0.5 * layout.room
    plain = square(*case[:3])
    assert path_of(layout, found).starts <= path_of(plain, fill(plain)).starts


def test_old_plans_keep_what_they_had() -> None:
    assert next(iter(CORNER_MOTIFS)) == Plan.model_fields["corner_motif"].default == "own"
    assert not CORNER_MOTIFS["own"].hatched and CORNER_MOTIFS["own"].heart is None
