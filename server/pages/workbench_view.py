"""What the workbench page shows for a form's texts: the reading, the proposals, the one that is drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from markupsafe import Markup

from planner.border.layout import Layout, place
from planner.errors import ChoiceError, PlanError
from planner.fills import fill
from planner.lengths import format_length
from planner.pictures import picture
from planner.plan import SIDES, Choice, Plan, SideName
from planner.solver import Proposal, Refusal, follow, propose
from planner.solver.changes import apply_change
from server.pages import words
from server.pages.forms import LABELS, Reading, choice_text, read, values_of, with_trouble
from server.store.links import pack

FIRST_CARDS, MOST_CARDS = 6, 36


@dataclass(frozen=True)
class Card:
    """One way that lands, as a small picture with its figures."""

    value: str
    picture: str
    title: str
    facts: tuple[str, ...]
    why: str
    shown: bool


@dataclass(frozen=True)
class View:
    """Everything the template draws. Where nothing can be drawn, only the form, what is wrong, refusals."""

    reading: Reading
    side: SideName
    refusals: tuple[Refusal, ...] = ()
    advice: tuple[str, ...] = ()
    headline: str = ""
    facts: tuple[str, ...] = ()
    run: str = ""
    whole: str = ""
    choice: str = ""
    cards: tuple[Card, ...] = ()
    more: int = 0
    longer: bool = False

    @property
    def lacking(self) -> tuple[str, ...]:
        """The fields still to be filled in, where nothing that she did fill in is wrong."""
        texts = self.reading.values
        tin = () if texts.get("tin_in") or texts.get("cut_own") else ("tin_in",)
        lacking = (*self.reading.missing, *tin)
        return lacking if set(self.reading.troubles) <= set(lacking) else ()


def view_of(values: Mapping[str, str]) -> View:
    """Read the form, solve, and draw the way she chose (or the best)."""
    empty = View(read(values), side_of(values))
    plan = empty.reading.plan
    if plan is None:
        return empty
    try:
        found = propose(plan)
    except PlanError as error:
        return replace(empty, reading=with_trouble(empty.reading, error))
    if not found.proposals:
        return replace(empty, refusals=found.refusals, advice=found.advice)
    choice = choose(plan, found.proposals)
    layout = place(plan, choice)
    drawn = _drawn(empty, plan, layout, picture.fill_from(fill_address(plan, choice), layout))
    most = MOST_CARDS if values.get("more") else FIRST_CARDS
    cards = _cards(plan, found.proposals, drawn.choice, most)
    more = len(found.proposals) - len(cards)
    return replace(drawn, cards=cards, more=more, longer=most < MOST_CARDS, advice=found.advice)


def drawing_of(values: Mapping[str, str]) -> View | None:
    """The drawing alone, following her hand: the way she looks at with what she changed; None if it is gone."""
    empty = View(read(values), side_of(values))
    plan = empty.reading.plan
    if plan is None or plan.choice is None:
        return None
    try:
        try:
            layout = place(plan, plan.choice)
        except ChoiceError:
            choice = follow(plan, plan.choice)
            if choice is None:
                return None
            layout = place(plan, choice)
    except PlanError:
        return None
    return _drawn(empty, plan, layout)


def choose(plan: Plan, proposals: tuple[Proposal, ...]) -> Choice:
    """The proposal she chose; after a change of measures the same circles; else the most alike, or the first."""
    wanted = plan.choice
    if wanted is None:
        return proposals[0].choice
    if all(proposal.choice != wanted for proposal in proposals):
        owned = plan.cut_own or {wanted.corner_diameter_in, wanted.run_diameter_in} <= set(plan.tin_in)
        followed = follow(plan, wanted) if owned and plan.meeting in ("any", wanted.meeting) else None
        if followed:
            return followed
    return min((proposal.choice for proposal in proposals), key=lambda choice: _unlike(choice, wanted))


def cured(values: dict[str, str], number: str) -> dict[str, str]:
    """The form after the cure of a refusal, named by its place in the list; the same form when it has none."""
    plan = read(values).plan
    if plan is None or number not in {"0", "1", "2", "3", "4", "5", "6", "7", "8", "9"}:
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
    layout = place(plan, choose(plan, found.proposals))
    side = side_of(values)
    filling = picture.filled(fill(layout), layout)
    if run:
        return picture.picture(layout, picture.one_run(layout, side), title=plan.name, fill=filling)
    whole, notes = picture.whole_quilt(layout), picture.measures(layout)
    return picture.picture(layout, whole, title=plan.name, fill=filling, notes=notes)


def side_of(values: Mapping[str, str]) -> SideName:
    """The side she looks along."""
    return next((side for side in SIDES if side == values.get("side")), "top")


def _readable(reading: Reading) -> Plan:
    for trouble in reading.troubles.values():
        raise PlanError(trouble.message, field=trouble.field, cure=trouble.cure)
    if reading.plan is None:
        name = LABELS[reading.missing[0]]
        raise PlanError(
            f"{name.capitalize()} is missing.", field=reading.missing[0], cure="Measure and give it."
        )
    return reading.plan


def fill_address(plan: Plan, choice: Choice) -> str:
    """Where the fill of a choice is fetched: the same for the same border, whatever the plan is called."""
    bare = plan.model_copy(update={"choice": choice, "name": "", "typed": {}, "tags": ()})
    return f"/fill.svg?plan={pack(bare)}"


def _drawn(view: View, plan: Plan, layout: Layout, filling: str = "") -> View:
    choice = layout.choice
    eases = {side: chain.ease for side, chain in layout.own.items()}
    run = picture.one_run(layout, view.side)
    title = f"The {view.side} border of {plan.name}, from its corner to the middle"
    whole = picture.whole_quilt(layout)
    notes = picture.measures(layout)
    return replace(
        view,
        headline=words.headline(plan, choice, eases),
        facts=(
            f"Corner circle {format_length(choice.corner_diameter_in, plan.units)}",
            words.middle_in_words(choice).capitalize(),
            words.lift_in_words(eases, plan.units),
        ),
        run=Markup(picture.picture(layout, run, title=title, again=True)),
        whole=Markup(
            picture.picture(layout, whole, title=f"The whole of {plan.name}", fill=filling, notes=notes)
        ),
        choice=choice_text(choice),
    )


def _cards(plan: Plan, proposals: tuple[Proposal, ...], shown: str, most: int) -> tuple[Card, ...]:
    """The cards of the first proposals; the one that is drawn takes the last place when it is none of them."""
    first = list(proposals[:most])
    if all(choice_text(proposal.choice) != shown for proposal in first):
        first[-1:] = [proposal for proposal in proposals if choice_text(proposal.choice) == shown][
            :1
        ] or first[-1:]
    return tuple(_card(plan, proposal, choice_text(proposal.choice) == shown) for proposal in first)


def _card(plan: Plan, proposal: Proposal, shown: bool) -> Card:
    choice, units = proposal.choice, plan.units
    return Card(
        value=choice_text(choice),
        picture=Markup(picture.small_picture(plan, choice)),
        title=words.counts_in_words(plan, choice),
        facts=(
            f"{words.circle_in_words(choice, units)}, {words.gap_in_words(proposal.ease, units)}",
            words.middle_in_words(choice),
            f"plumes to {format_length(proposal.reach, units)}",
        ),
        why=proposal.why,
        shown=shown,
    )


def _unlike(choice: Choice, wanted: Choice) -> tuple[float, ...]:
    return (
        choice != wanted,
        choice.meeting != wanted.meeting,
        abs(choice.run_diameter_in - wanted.run_diameter_in),
        abs(choice.corner_diameter_in - wanted.corner_diameter_in),
        abs(choice.counts.top - wanted.counts.top),
    )
