"""What the solver promises of every layout, asked of one: a choice typed by hand, or kept from an older plan.

Circles that are hers, counts alike on opposite sides, like steps, a reach that can be filled. (That it lands,
stays within its guides and overlaps nothing is asked where it is placed.)
"""

from __future__ import annotations

from planner.border.band import Quilt
from planner.border.corners.styles import CORNER_STYLES
from planner.border.layout import Layout, place
from planner.border.reach import keeps_within
from planner.border.room import longest_plume, room_limits, smallest_curl
from planner.border.tin import owned
from planner.errors import ChoiceError
from planner.geometry.arrays import ROUNDING, ROUNDING_IN
from planner.lengths import format_length
from planner.plan import SIDES, Choice, Plan, SideName
from planner.solver.limits import ENDS_REACH, LEVEL_RISE, STEP_MISMATCH

_CURE = "Ask for proposals with these measurements and take one of them."
_ESTIMATE_IN = 0.06  # the solver's reach is read off a net
_PAIRS: tuple[tuple[SideName, SideName], ...] = (("top", "bottom"), ("left", "right"))


def place_lawful(plan: Plan, choice: Choice) -> Layout:
    """The choice placed. Raises PlanError for an impossible plan, ChoiceError where a promise is broken."""
    check_choice(plan, choice)
    layout = place(plan, choice)
    _check_circles(plan, layout)
    _check_kind(plan, layout)
    _check_steps(layout)
    _check_reach(plan, layout)
    return layout


def check_choice(plan: Plan, choice: Choice) -> None:
    """ChoiceError where the choice can be no layout of this plan, whatever lands."""
    for side, other in _PAIRS:
        if choice.counts.of(side) != choice.counts.of(other):
            raise ChoiceError(
                f"The {side} side has {choice.counts.of(side)} curls and the {other} side "
                f"{choice.counts.of(other)}: opposite sides have the same number.",
                field=f"choice.counts.{other}",
                cure=f"Give both {choice.counts.of(side)}.",
            )
    least, most = room_limits(plan.fill)
    room = choice.room_in
    if room is not None and not least - ROUNDING_IN <= room <= most + ROUNDING_IN:
        range_words = (
            f"It needs {format_length(least, plan.units)}."
            if least == most
            else f"Give it from {format_length(least, plan.units)} to {format_length(most, plan.units)}."
        )
        raise ChoiceError(
            f"A room of {format_length(room, plan.units)} is not what the fill can do with.",
            field="choice.room_in",
            cure=range_words,
        )


def _check_circles(plan: Plan, layout: Layout) -> None:
    choice, units = layout.choice, plan.units
    named = [("run_diameter_in", choice.run_diameter_in), ("corner_diameter_in", 2 * choice.corner_radius)]
    named += [("middle_in", 2 * chain.ring.radius) for chain in layout.own.values() if chain.ring]
    for field, diameter in named:
        if not owned(plan, diameter):
            raise ChoiceError(
                f"There is no circle of {format_length(diameter, units)} in the tin.",
                field=f"choice.{field}",
                cure="Add it to the tin, or take one of the proposals.",
            )
    smallest = smallest_curl(plan.fill, layout.room)
    if choice.run_diameter_in / 2 < smallest - ROUNDING_IN:
        raise ChoiceError(
            f"Curls of {format_length(choice.run_diameter_in, units)} are too small to fill.",
            field="choice.run_diameter_in",
            cure=f"Take circles of at least {format_length(2 * smallest, units)} across. {_CURE}",
        )


def _check_kind(plan: Plan, layout: Layout) -> None:
    meeting = layout.choice.meeting
    if meeting and plan.meeting not in ("any", meeting):
        raise ChoiceError("The plan asks for another meeting.", field="choice.meeting", cure=_CURE)
    if plan.run != "any" and CORNER_STYLES[plan.corner].strict and plan.run != _run_of(layout.quilt, layout):
        raise ChoiceError(f"The plan asks for {plan.run} runs.", field="choice.run_diameter_in", cure=_CURE)


def _run_of(quilt: Quilt, layout: Layout) -> str:
    r = layout.choice.run_diameter_in / 2
    rises = (quilt.own[side].height - 2 * r - 2 * layout.own[side].ease.lift for side in SIDES)
    return "level" if max(rises) <= LEVEL_RISE * r + ROUNDING_IN else "rolling"


def _check_steps(layout: Layout) -> None:
    steps = {side: chain.step for side, chain in layout.own.items()}
    share = max(steps.values()) / min(steps.values()) - 1
    if share > STEP_MISMATCH + ROUNDING:
        raise ChoiceError(
            f"The steps of the four sides would differ by {100 * share:.1f} in 100; more than "
            f"{100 * STEP_MISMATCH:g} in 100 shows.",
            field=f"choice.counts.{max(steps, key=steps.__getitem__)}",
            cure=_CURE,
        )


def _check_reach(plan: Plan, layout: Layout) -> None:
    longest = max(longest_plume(plan.fill, band.room) for band in layout.quilt.own.values())
    most = longest + _ESTIMATE_IN
    if not keeps_within(layout, most, ENDS_REACH * most):
        raise ChoiceError(
            f"A hole would be left that shapes of {format_length(longest, plan.units)} do not reach into.",
            field="choice.run_diameter_in",
            cure=_CURE,
        )
