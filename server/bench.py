"""What the workbench page shows for a form's texts: the reading, the proposals, the one that is drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from planner.errors import PlanError
from planner.layout import place
from planner.lengths import format_length
from planner.plan import SIDES, Choice, Plan, SideName
from planner.sheets import picture
from planner.solver import Proposal, Refusal, propose
from planner.solver.refusals import apply_change
from server import words
from server.forms import LABELS, Reading, choice_text, read, values_of, with_trouble

MOST_CARDS = 6


@dataclass(frozen=True)
class Card:
    """One proposal as a small picture with its figures."""

    value: str
    picture: Markup
    title: str
    facts: tuple[str, ...]
    shown: bool


@dataclass(frozen=True)
class Bench:
    """Everything the template draws. Without a plan that lays out, only the form, troubles and refusals."""

    reading: Reading
    side: SideName
    cards: tuple[Card, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    headline: str = ""
    facts: tuple[str, ...] = ()
    run: str = ""
    whole: str = ""
    more: int = 0
    choice: str = ""


def bench_of(values: Mapping[str, str]) -> Bench:
    """Read the form, solve, and draw the proposal she chose (or the first)."""
    side = side_of(values)
    reading = read(values)
    if reading.plan is None:
        return Bench(reading, side)
    plan = reading.plan
    try:
        found = propose(plan)
    except PlanError as error:
        return Bench(with_trouble(reading, error), side)
    if not found.proposals:
        return Bench(reading, side, refusals=found.refusals)
    shown = pick(found.proposals, plan.choice)
    first = list(found.proposals[:MOST_CARDS])
    if shown not in first:
        first[-1] = shown
    layout = place(plan, shown.choice)
    return Bench(
        reading,
        side,
        cards=tuple(_card(plan, proposal, proposal is shown) for proposal in first),
        headline=words.headline(plan, shown),
        facts=_facts(plan, shown),
        run=Markup(
            picture.picture(
                layout,
                picture.one_run(layout, side),
                title=f"The {side} border from its corner to the middle",
                again=True,
            )
        ),
        whole=Markup(
            picture.picture(
                layout,
                picture.whole_quilt(layout),
                title=f"The whole quilt: {plan.name}",
                notes=picture.measures(layout),
            )
        ),
        more=len(found.proposals) - len(first),
        choice=choice_text(shown.choice),
    )


def cured(values: dict[str, str], number: str) -> dict[str, str]:
    """The form after the cure of a refusal, named by its place in the list; the same form when it has none."""
    plan = read(values).plan
    if plan is None or not number.isdecimal():
        return values
    refusals = propose(plan).refusals
    change = refusals[int(number)].change if int(number) < len(refusals) else None
    return {**values, **values_of(apply_change(plan, change))} if change else values


def picture_alone(values: Mapping[str, str], *, run: bool) -> str:
    """The drawing of a form's plan, standing by itself: one side or the whole quilt.

    Raises PlanError where there is nothing to draw.
    """
    plan = _readable(read(values))
    found = propose(plan)
    if not found.proposals:
        refusal = found.refusals[0]
        raise PlanError(refusal.message, field=refusal.field, cure=refusal.cure)
    layout = place(plan, pick(found.proposals, plan.choice).choice)
    if run:
        return picture.picture(layout, picture.one_run(layout, side_of(values)), title=plan.name)
    whole = picture.whole_quilt(layout)
    return picture.picture(layout, whole, title=plan.name, notes=picture.measures(layout))


def _readable(reading: Reading) -> Plan:
    for trouble in reading.troubles.values():
        raise PlanError(trouble.message, field=trouble.field, cure=trouble.cure)
    if reading.plan is None:
        name = LABELS[reading.missing[0]]
        raise PlanError(
            f"{name.capitalize()} is missing.", field=reading.missing[0], cure="Measure and give it."
        )
    return reading.plan


def side_of(values: Mapping[str, str]) -> SideName:
    """The side she looks along."""
    return next((side for side in SIDES if side == values.get("side")), "top")


def pick(proposals: tuple[Proposal, ...], wanted: Choice | None) -> Proposal:
    """The proposal she chose; after a change of measurements the one most like it; else the first."""
    if wanted is None:
        return proposals[0]
    return min(
        proposals,
        key=lambda p: (
            p.choice != wanted,
            p.choice.meeting != wanted.meeting,
            abs(p.choice.run_diameter_in - wanted.run_diameter_in),
            abs(p.choice.corner_diameter_in - wanted.corner_diameter_in),
            abs(p.choice.counts.top - wanted.counts.top),
        ),
    )


def _card(plan: Plan, proposal: Proposal, shown: bool) -> Card:
    choice = proposal.choice
    return Card(
        value=choice_text(choice),
        picture=Markup(picture.small_picture(plan, choice)),
        title=words.counts_in_words(plan, choice),
        facts=(
            f"{words.circle_in_words(choice, plan.units)}, {words.gap_in_words(proposal, plan.units)}",
            words.middle_in_words(choice),
        ),
        shown=shown,
    )


def _facts(plan: Plan, proposal: Proposal) -> tuple[str, ...]:
    return (
        f"Corner circle {format_length(proposal.choice.corner_diameter_in, plan.units)}",
        words.middle_in_words(proposal.choice).capitalize(),
        proposal.why,
    )
