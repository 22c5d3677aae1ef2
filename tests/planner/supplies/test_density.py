"""How close the quilting is: counted stitch by stitch it is what was reckoned, and closer is closer."""

from __future__ import annotations

import pytest

from planner.border.layout import Layout
from planner.demo import demo_plan
from planner.fills import fill
from planner.fills.styles import FILLS
from planner.solver import choose
from planner.stitching.order import path_of
from planner.supplies.density import centre_density, density
from planner.supplies.work import ESTIMATE_WITHIN


def laid_out(**changed: object) -> Layout:
    plan = demo_plan()
    return choose(plan.model_copy(update={"fill": plan.fill.model_copy(update=changed)})).layout


def test_it_is_what_the_needle_goes_over_the_cloth_it_covers() -> None:
    layout = laid_out()
    quilt, border, s = layout.quilt, layout.plan.border_in, layout.plan.binding_allowance_in
    centre = (quilt.width - border.left - border.right) * (quilt.height - border.top - border.bottom)
    cloth = (quilt.width - 2 * s) * (quilt.height - 2 * s) - centre
    counted = path_of(layout, fill(layout)).length / cloth
    assert density(layout) == pytest.approx(counted, rel=ESTIMATE_WITHIN)


def test_lines_an_inch_apart_are_an_inch_on_a_square_inch() -> None:
    """A square of side a holds a / s lines of length a that are s apart: 1 / s inches on each square inch."""
    assert centre_density(demo_plan()) is None
    assert centre_density(demo_plan().model_copy(update={"centre_apart_in": 0.5})) == 2.0


def test_closer_is_closer_and_opener_opener() -> None:
    closer, usual, opener = (density(laid_out(density=one)) for one in ("closer", "usual", "opener"))
    assert closer > usual > opener


@pytest.mark.parametrize("kind", FILLS)
def test_both_stay_within_the_range_of_the_fill(kind: str) -> None:
    needs = FILLS[kind].needs
    closer, opener = needs.at("closer"), needs.at("opener")
    assert needs.at("usual") == needs
    assert (closer.least_room, opener.most_room) == (needs.least_room, needs.most_room)
    assert closer.least_room < closer.comfortable_room < closer.most_room < needs.comfortable_room
    assert needs.comfortable_room < opener.least_room < opener.comfortable_room < opener.most_room
