"""The records of the fills: what each needs, and that a plan takes it from there."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from planner.fills.styles import FILLS
from planner.plan import Fill, Plan

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
    assert (fill.room_in, fill.longest_in, fill.smallest_curl_in, fill.smallest_feature_in) == KEPT[kind]
    assert Fill(kind=kind, room_in=0.8).longest_in == KEPT[kind][1]


def test_a_plan_takes_no_other_fill() -> None:
    with pytest.raises(ValidationError) as refused:
        Fill(kind="lace")
    assert all(repr(kind) in str(refused.value) for kind in FILLS)


def test_the_schema_names_every_fill() -> None:
    kind = Plan.model_json_schema()["$defs"]["Fill"]["properties"]["kind"]
    assert kind["enum"] == list(FILLS)
