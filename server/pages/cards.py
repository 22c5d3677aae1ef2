"""The cards of the workbench: one for each look, what tells it from the one before, its variants folded."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial

from markupsafe import Markup

from planner.border.corners import Ease
from planner.border.reach import measure
from planner.fills.styles import FILLS
from planner.lengths import format_length
from planner.pictures.card import card_picture
from planner.plan import Choice, Plan, SideName
from planner.solver import Chosen, Proposal, choose
from planner.solver.groups import Group, Sorting, grouped, in_order
from planner.supplies.basis import usual
from planner.supplies.by_thread import hours_of, thread_of
from planner.supplies.hours import Span, time_in_words
from planner.supplies.work import estimated_work
from server.pages import differs, words
from server.pages.forms import choice_text
from server.store.links import pack

FIRST_CARDS, MOST_CARDS = 6, 36
SORTINGS: dict[Sorting, str] = {
    "best": "best first",
    "curls": "fewest curls",
    "circle": "largest circles",
    "ease": "least ease",
    "hours": "soonest done",
}
ONLY = {"level": "level", "rolling": "rolling", "owned": "without buying a circle"}


@dataclass(frozen=True)
class Variant:
    """One that looks the same: its button's value and what is other about it."""

    value: str
    text: str


@dataclass(frozen=True)
class Card:
    """One look that lands, as a small picture with its figures. fill: where the picture's fill is fetched from;
    differs: from the card before it.
    """

    value: str
    picture: str
    fill: str
    title: str
    differs: str
    facts: tuple[str, ...]
    why: str
    shown: bool
    folded: str = ""
    variants: tuple[Variant, ...] = ()


@dataclass(frozen=True)
class Cards:
    """What lies beside the drawing. filters: those that would leave something out; more: groups not shown."""

    cards: tuple[Card, ...] = ()
    sorting: Sorting = "best"
    filters: tuple[tuple[str, str, bool], ...] = ()
    more: int = 0
    longer: bool = False


NO_CARDS = Cards()


def cards_of(chosen: Chosen, proposals: tuple[Proposal, ...], values: Mapping[str, str]) -> Cards:
    """The cards she asked for; where what is drawn is none of them, it takes the last place."""
    plan, most = chosen.plan, MOST_CARDS if values.get("more") else FIRST_CARDS
    sorting: Sorting = next((one for one in SORTINGS if one == values.get("sort")), "best")
    asked = {name for name in ONLY if values.get(f"only.{name}")}
    kept = [one for one in proposals if all(_is(name, plan, one) for name in asked)]
    minutes = cache(partial(_minutes, plan))
    ordered = in_order(grouped(kept), sorting, lambda one: minutes(one.choice).slow)
    groups = [_turned(group, chosen.choice) for group in ordered]
    drawn = next((n for n, group in enumerate(groups) if group.head.choice == chosen.choice), None)
    places = list(range(min(most, len(groups))))
    if drawn is None:
        del places[most - 1 :]
    elif drawn not in places:
        places[-1] = drawn
    cards = [_told(plan, groups, n, chosen.choice) for n in places]
    if sorting == "hours":
        cards = [_timed(card, minutes(ordered[n].head.choice)) for card, n in zip(cards, places, strict=True)]
    if drawn is None:
        cards.append(_beside(chosen, proposals))
    filters = tuple(
        (name, text, name in asked)
        for name, text in ONLY.items()
        if name in asked or 0 < sum(_is(name, plan, one) for one in kept) < len(kept)
    )
    return Cards(tuple(cards), sorting, filters, max(0, len(groups) - len(cards)), most < MOST_CARDS)


def _minutes(plan: Plan, choice: Choice) -> Span:
    """How long a way takes, chalked and stitched, by the usual hand; estimated before it is filled."""
    layout = choose(plan.model_copy(update={"choice": choice})).layout
    work, basis = estimated_work(layout), usual(plan.units)
    return hours_of(work, basis, thread_of(work, basis).bobbins, plan.units).shown


def _timed(card: Card, minutes: Span) -> Card:
    return replace(card, facts=(*card.facts, f"about {time_in_words(minutes)}"))


def _is(name: str, plan: Plan, one: Proposal) -> bool:
    """Whether a proposal is what a filter lets pass."""
    if name == "owned":
        circles = {one.choice.run_diameter_in, 2 * one.choice.corner_radius}
        if one.choice.meeting == "wreath":
            circles |= {one.choice.middle_in}
        return circles <= set(plan.tin_in)
    return one.level is (name == "level")


def _turned(group: Group, drawn: Choice) -> Group:
    """The group with what is drawn at its head, where that is one of it."""
    found = next((one for one in group.every if one.choice == drawn), None)
    if found is None:
        return group
    return Group(found, tuple(one for one in group.every if one is not found))


def _told(plan: Plan, groups: Sequence[Group], n: int, drawn: Choice) -> Card:
    """The card of one of the groups, told from the one before it."""
    group, before = groups[n], groups[n - 1].head if n else None
    one = group.head
    card = _card(plan, one.choice, one.ease, one.reach, one.choice == drawn)
    forgives = words.forgives_in_words(one, plan.units)
    return replace(
        card,
        differs=differs.from_before(before, one),
        facts=(*card.facts, *((forgives,) if forgives else ())),
        why=one.why,
        folded=differs.folded(plan, group),
        variants=tuple(_variant(plan, group, other) for other in group.variants),
    )


def _variant(plan: Plan, group: Group, other: Proposal) -> Variant:
    return Variant(choice_text(other.choice), differs.variant(plan, group, other))


def _beside(chosen: Chosen, proposals: Iterable[Proposal]) -> Card:
    """The card of what is drawn, where a filter leaves it out or another is better in everything."""
    known = next((one for one in proposals if one.choice == chosen.choice), None)
    if known:
        return _told(chosen.plan, [Group(known)], 0, chosen.choice)
    layout = chosen.layout
    eases = {side: chain.ease for side, chain in layout.own.items()}
    return _card(chosen.plan, chosen.choice, eases, measure(layout).run, True)


@dataclass(frozen=True)
class Small:
    """A small picture of a layout: its spine at once, and where its fill is fetched from to lie over it."""

    picture: str
    fill: str


def small_of(plan: Plan, choice: Choice) -> Small:
    """The corner and the middle of a choice."""
    return Small(Markup(card_picture(plan, choice)), f"/card.svg?plan={_packed(plan, choice)}")


def _packed(plan: Plan, choice: Choice) -> str:
    """All that the fill of a card's picture depends on."""
    return pack(plan.model_copy(update={"choice": choice, "name": "", "typed": {}, "tags": ()}))


def _card(plan: Plan, choice: Choice, eases: Mapping[SideName, Ease], reach_in: float, shown: bool) -> Card:
    units = plan.units
    room = f", {format_length(choice.room_in, units)} of room" if choice.room_in else ""
    large = f", corners {format_length(2 * choice.corner_radius, units)}" if choice.corner_diameter_in else ""
    small = small_of(plan, choice)
    return Card(
        value=choice_text(choice),
        picture=small.picture,
        fill=small.fill,
        title=words.counts_in_words(plan, choice),
        differs="",
        facts=(
            f"{words.circle_in_words(choice, units)}, {words.gap_in_words(eases, units)}{large}",
            words.middle_in_words(choice),
            f"{FILLS[plan.fill.kind].many} to {format_length(reach_in, units)}{room}",
        ),
        why="",
        shown=shown,
    )
