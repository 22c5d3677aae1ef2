"""The records of the fills: what each needs, and that a plan takes it from there."""

from __future__ import annotations

import numpy as np
import pytest
from pydantic import ValidationError

from planner.border.room import comfortable_room, longest_plume, rooms, smallest_curl, smallest_feature
from planner.fills.styles import FILLS
from planner.plan import Fill, Plan, Units

# DESIGN section 4: room least, comfortable, most; longest plume as ratio to the room, at most; smallest curl.
# Common practice, no source.
DESIGNED = {
    "feathers": (1 / 2, 1, 1 + 3 / 4, 2.5, 4, 0.75),
    "leaves": (7 / 16, 7 / 8, 1 + 1 / 2, 2.57, 3.5, 0.857),
    "needles": (3 / 8, 3 / 4, 1 + 1 / 2, 3, 3.75, 0.833),
    "flowers": (9 / 16, 1, 1 + 3 / 4, 2.5, 4, 0.875),
    "echo": (1 / 4, 1 / 2, 1 + 1 / 4, 6, 6, 1),
}
# What plans without figures of their own have been drawn with: they must come out the same for good.
KEPT = {
    "feathers": (1.0, 2.5, 0.75, 0.125),
    "leaves": (0.875, 2.25, 0.75, 0.125),
    "needles": (0.75, 2.25, 0.625, 0.0625),
    "flowers": (1.0, 2.5, 0.875, 0.125),
    "echo": (0.5, 3.0, 0.5, 0.125),
}


@pytest.mark.parametrize("kind", DESIGNED)
def test_needs_are_as_designed(kind: str) -> None:
    needs = FILLS[kind].needs
    found = (needs.least_room, needs.comfortable_room, needs.most_room, needs.longest_ratio)
    assert (*found, needs.longest_most, needs.curl_share) == pytest.approx(DESIGNED[kind], abs=2e-3)
    assert needs.longest(needs.most_room) <= needs.longest_most


@pytest.mark.parametrize("kind", KEPT)
def test_a_plan_takes_what_is_usual(kind: str) -> None:
    fill = Fill(kind=kind)
    c = comfortable_room(fill)
    assert (c, longest_plume(fill, c), smallest_curl(fill, c), smallest_feature(fill)) == KEPT[kind]
    assert tuple(FILLS[kind].needs.usual.values()) == KEPT[kind]


@pytest.mark.parametrize("kind", KEPT)
@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_need_left_open_is_a_range_and_a_typed_one_is_fixed(kind: str, units: Units) -> None:
    needs = FILLS[kind].needs
    some = rooms(Fill(kind=kind), units)
    mark = 1 / 16 if units == "in" else 1 / 25.4
    assert needs.comfortable_room in some
    assert np.diff(some) == pytest.approx(np.full(len(some) - 1, mark))
    assert needs.least_room - 1e-9 <= some[0] < needs.least_room + mark
    assert needs.most_room - mark < some[-1] <= needs.most_room + 1e-9
    assert rooms(Fill(kind=kind, room_in=0.8), units) == (0.8,)
    assert longest_plume(Fill(kind=kind, longest_in=2.0), 1.2) == 2.0
    assert longest_plume(Fill(kind=kind), 1.2) == pytest.approx(
        min(needs.longest_ratio * 1.2, needs.longest_most)
    )
    assert smallest_curl(Fill(kind=kind), 1.2) == pytest.approx(needs.curl_share * 1.2)


def test_a_plan_takes_no_other_fill() -> None:
    with pytest.raises(ValidationError) as refused:
        Fill(kind="lace")
    assert all(repr(kind) in str(refused.value) for kind in FILLS)


def test_the_schema_names_every_fill() -> None:
    kind = Plan.model_json_schema()["$defs"]["Fill"]["properties"]["kind"]
    assert kind["enum"] == list(FILLS)
