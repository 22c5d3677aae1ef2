"""Following her hand: a measure has changed, and the layout she looks at should change with it, not jump."""

from __future__ import annotations

from contextlib import suppress

from planner.border.corners.styles import CORNER_STYLES
from planner.border.layout import Layout
from planner.border.tin import owned
from planner.errors import ChoiceError, PlanError
from planner.geometry.arrays import ROUNDING_IN
from planner.plan import Choice, Plan
from planner.solver.combos import choice_of, code_of
from planner.solver.grounds import Grounds, grounds, one_ground
from planner.solver.limits import Limits
from planner.solver.promises import check_choice, place_lawful
from planner.solver.search import search_on


def followed(plan: Plan, wanted: Choice) -> Layout | None:
    """Her choice while it lands, else its circles and meeting with the counts and the room that land now.

    None when neither keeps every limit, or when she no longer allows that meeting or owns those circles.
    Raises PlanError for an impossible plan.
    """
    with suppress(ChoiceError):
        return place_lawful(plan, wanted)
    choice = follow(plan, wanted) if CORNER_STYLES[plan.corner].strict else None
    return place_lawful(plan, choice) if choice else None


def follow(plan: Plan, wanted: Choice) -> Choice | None:
    """The best counts and middles of the choice's circles, in its room while they land there; None without any.

    Strict corners only: every count draws an easy-going chain anew. Raises PlanError for an impossible plan.
    """
    if wanted.corner_diameter_in is None:
        return None
    if CORNER_STYLES[plan.corner].meets != (wanted.meeting is not None):
        return None
    if not all(owned(plan, d) for d in (wanted.run_diameter_in, wanted.corner_diameter_in)):
        return None
    for some in _nearest(plan, wanted):
        choice = _on(plan, some, wanted)
        if choice:
            return choice
    return None


def _nearest(plan: Plan, wanted: Choice) -> list[Grounds]:
    """Its own ground, if the plan still allows it, and then every other."""
    every = [grounds(plan)]
    if wanted.room_in is not None:
        with suppress(PlanError):
            check_choice(plan, wanted)
            every.insert(0, one_ground(plan, wanted.room_in, wanted.strip_in))
    return every


def _on(plan: Plan, some: Grounds, wanted: Choice) -> Choice | None:
    code, big, r = code_of(wanted.meeting), wanted.corner_radius, wanted.run_diameter_in / 2
    found = search_on(
        plan.model_copy(update={"meeting": wanted.meeting})
        if wanted.meeting and plan.meeting == "any"
        else plan,
        some,
        Limits.of(plan),
        most=1,
        keep=lambda tries: (abs(tries.corner_radius - big) < ROUNDING_IN) & (abs(tries.r - r) < ROUNDING_IN),
    )
    return choice_of(plan, some, found.combos, 0) if len(found) and found.combos.meeting[0] == code else None
