"""Fills judged by shapely: nothing crosses, nothing is thinner than the plan allows, no large hole."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from planner.border.layout import place
from planner.fills import fill
from planner.fills.styles import FILLS
from planner.plan import SIDES, Plan
from planner.solver import propose
from tests.outside.fill_judge import judge

KINDS = tuple(FILLS)
WIDTHS_IN = (3.5, 4, 5, 6, 7, 8, 9, 10, 11, 12)
STYLES = (
    *product(("mirrored",), ("butted", "full_circle", "little_spines", "wreath", "lattice")),
    ("turning", "any"),
    ("easy_going", "any"),
)

Case = tuple[str, float, str, str]  # fill kind, width of the border, corner style, meeting
EVERY: tuple[Case, ...] = tuple((kind, w, *style) for kind, w, style in product(KINDS, WIDTHS_IN, STYLES))
ORDINARY: tuple[Case, ...] = (
    ("feathers", 4, "turning", "any"),
    ("feathers", 5, "mirrored", "butted"),
    ("feathers", 6, "mirrored", "wreath"),
    ("feathers", 8, "mirrored", "little_spines"),
    ("feathers", 10, "mirrored", "lattice"),
    ("leaves", 5, "mirrored", "wreath"),
    ("leaves", 6, "turning", "any"),
    ("needles", 6, "mirrored", "lattice"),
    ("needles", 6, "turning", "any"),
    ("needles", 4, "easy_going", "any"),
    ("needles", 6, "mirrored", "little_spines"),
    ("needles", 5, "mirrored", "little_spines"),
    ("needles", 8, "mirrored", "lattice"),
    ("flowers", 4, "turning", "any"),
    ("flowers", 6, "mirrored", "wreath"),
    ("echo", 11, "mirrored", "butted"),
    ("leaves", 5, "mirrored", "full_circle"),
    ("holly", 6, "mirrored", "wreath"),
    ("holly", 4, "turning", "any"),
    ("holly", 5, "turning", "any"),
    ("holly", 11, "mirrored", "little_spines"),
    ("fern", 6, "mirrored", "lattice"),
    ("fern", 10, "mirrored", "lattice"),  # a frond in a gap, over the frame by .004 in
    ("fern", 5, "mirrored", "butted"),
    ("ribbon", 6, "mirrored", "full_circle"),
    ("echo", 5, "easy_going", "any"),
    ("echo", 11, "easy_going", "any"),  # lines that end close to the edge, and beyond a nearer circle
    ("feathers", 6, "easy_going", "any"),
    (
        "ribbon",
        5,
        "mirrored",
        "full_circle",
    ),  # one in a corner of the border, far from what its pocket hangs on
    ("ribbon", 5, "mirrored", "butted"),  # a gap open on one side of the middle only
    ("leaves", 4, "mirrored", "wreath"),  # one beside the stem of a sprig on the middle line
    ("holly", 3.5, "mirrored", "wreath"),  # one beside some copies of a pocket, and not beside others
)


def _case(case: Case) -> object:
    marks: tuple[pytest.MarkDecorator, ...] = () if case in ORDINARY else (pytest.mark.long,)
    return pytest.param(case, marks=marks, id="-".join(map(str, case)))


@pytest.mark.parametrize("case", [_case(case) for case in EVERY])
def test_nothing_is_wrong_with_a_fill(case: Case) -> None:
    """An invented quilt of 90 by 108 in, borders included."""
    kind, width, corner, meeting = case
    plan = Plan.model_validate(
        {
            "sides_in": {side: (90 if side in ("top", "bottom") else 108) - 2 * width for side in SIDES},
            "border_in": dict.fromkeys(SIDES, width),
            "tin_in": [n / 8 for n in range(8, 60, 2)],
            "corner": corner,
            "meeting": meeting,
            "fill": {"kind": kind},
        }
    )
    layout = place(plan, propose(plan).proposals[0].choice)
    judged = judge(layout, fill(layout))
    assert not judged.spine_crossings, "crosses a spine"
    assert not judged.crossings, "shapes cross"
    assert not judged.outside, "outside the border"
    assert not judged.thin, "thinner than the smallest feature"
    assert not judged.in_the_air, "begins in the air"
    assert judged.hole <= 0.5 * layout.room, f"a hole of {judged.hole:.2f} in at {judged.hole_at}"


@pytest.mark.long
def test_borders_of_any_measure() -> None:
    """Sixty invented quilts, no matter how they are measured: no fault, and in nine of ten no large hole."""
    random = Random(11)
    holes = []
    while len(holes) < 60:
        plan = _measured(random)
        found = propose(plan).proposals
        if not found:
            continue
        layout = place(plan, random.choice(found[:5]).choice)
        judged = judge(layout, fill(layout))
        faults = (judged.spine_crossings, judged.crossings, judged.outside, judged.thin, judged.in_the_air)
        assert not any(faults), (plan.model_dump_json(), layout.choice, faults)
        holes.append(judged.hole / layout.room)
    assert sum(hole <= 0.5 for hole in holes) >= 54, sorted(holes)


def _measured(random: Random) -> Plan:
    """A quilt of two or three feet, its two pairs of borders not always alike."""
    across, down = (random.randint(160, 480) / 8 for _ in range(2))
    wide, other = (random.randint(32, 80) / 8 for _ in range(2))
    beside = random.choice((wide, other))
    return Plan.model_validate(
        {
            "sides_in": {"top": across, "right": down, "bottom": across, "left": down},
            "border_in": {"top": wide, "bottom": wide, "right": beside, "left": beside},
            "tin_in": [n / 8 for n in range(8, 60)],
            "corner": random.choice(("mirrored", "turning", "easy_going")),
            "fill": {
                "kind": random.choice(KINDS),
                "room_in": random.choice((0.625, 0.75, 0.875, 1.0, 1.25)),
                "longest_in": 3.5,
            },
            "seed": random.randint(0, 99),
        }
    )
