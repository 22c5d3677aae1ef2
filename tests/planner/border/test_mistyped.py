"""One mistyped side is told as that, with what she may have meant, before any talk of circles."""

from __future__ import annotations

import pytest

from planner.border.mistyped import check_sides
from planner.demo import demo_plan
from planner.errors import PlanError
from planner.plan import Plan, SideLengths, Units
from planner.solver import choose, propose


def measured(units: Units = "in", **sides_in: float) -> Plan:
    lengths = {"top": 68.25, "bottom": 68.25, "left": 80.0, "right": 80.5} | sides_in
    return demo_plan().model_copy(
        update={"units": units, "sides_in": SideLengths(**lengths), "choice": None, "typed": {}}
    )


@pytest.mark.parametrize(
    ("plan", "field", "instead"),
    [
        (measured(top=173.4), "sides_in.top", "173.4 cm"),
        (measured(right=204.0), "sides_in.right", "204 cm"),
        (measured(left=6.7), "sides_in.left", "6.7 ft"),
        (measured("mm", top=68.25 / 25.4), "sides_in.top", "68.25 in"),
        (measured("mm", bottom=173.4 / 25.4), "sides_in.bottom", "173.4 cm"),
        (measured("cm", top=68.25 / 2.54), "sides_in.top", "68.25 in"),
        (measured(top=86.25), "sides_in.top", ""),
    ],
)
def test_a_side_that_is_none_is_told_with_what_was_meant(plan: Plan, field: str, instead: str) -> None:
    for ask in (propose, choose, check_sides):
        with pytest.raises(PlanError, match="mistyped") as told:
            ask(plan)
        assert (told.value.field, told.value.instead) == (field, instead)


@pytest.mark.parametrize("off", [0.0, 0.5, 3.0, -6.0])
def test_a_crooked_quilt_top_is_none(off: float) -> None:
    check_sides(measured(top=68.25 + off))
