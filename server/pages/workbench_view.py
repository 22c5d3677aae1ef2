"""What the workbench page shows for a form's texts: the reading, the proposals, the one that is drawn."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from markupsafe import Markup

from planner.border.circles import sizes_in_words
from planner.border.said import said_of, touches
from planner.errors import PlanError
from planner.pictures import picture
from planner.pictures.card import card_fill, card_picture
from planner.pictures.miss import miss_picture
from planner.plan import SIDES, Plan, SideName
from planner.solver import Chosen, Refusal, choose, propose
from planner.solver.changes import apply_change
from planner.solver.choose import still
from planner.solver.memo import Memo
from planner.solver.miss import nearest_miss
from planner.solver.proposal import middles_alike
from server.drawn import grown, path_for_colours
from server.pages import words
from server.pages.as_quilted import AsQuilted, as_quilted, vanishing
from server.pages.cards import NO_CARDS, Cards, cards_of
from server.pages.forms import LABELS, FilledForm, choice_text, read, values_of, with_trouble
from server.store.links import pack, unpack

MOST_CURES = 3  # more to choose from confuse
KEPT_BYTES = 3_000_000  # a usual view takes some 65,000: she comes back from a sheet
OFFER = "offer"


@dataclass(frozen=True)
class Cure:
    """What is in the way, and a picture of what lands when its button is pressed (empty where it has none)."""

    refusal: Refusal
    picture: str


@dataclass(frozen=True)
class View:
    """Everything the template draws. Where nothing can be drawn, only the form, what is wrong, refusals."""

    reading: FilledForm
    side: SideName
    cures: tuple[Cure, ...] = ()
    advice: tuple[str, ...] = ()
    name: str = ""
    headline: str = ""
    facts: tuple[str, ...] = ()
    vanishing: tuple[str, ...] = ()
    run: str = ""
    whole: str = ""
    choice: str = ""  # hers
    drawn: str = ""  # while she has chosen none: the way that is drawn, so that it can follow her hand
    standing: str = ""
    stamp: str = ""
    ways: Cards = NO_CARDS
    offer: str = ""
    quilted: AsQuilted | None = None
    miss: str = ""
    missed: str = ""

    @property
    def lacking(self) -> tuple[str, ...]:
        """The fields still to be filled in, where nothing that she did fill in is wrong."""
        texts = self.reading.values
        tin = () if texts.get("tin_in") or texts.get("cut_own") else ("tin_in",)
        lacking = (*self.reading.missing, *tin)
        return lacking if set(self.reading.troubles) <= set(lacking) else ()


def view_of(values: Mapping[str, str]) -> View:
    """Read the form, solve, and draw the plan's layout: all that follows from a form's texts and nothing else."""
    return kept(_question(values))


def seen(values: Mapping[str, str]) -> bool:
    """Whether the view of a form's texts is there already."""
    return _question(values) in kept


def reading_of(values: Mapping[str, str]) -> FilledForm:
    """The form read: once for whether there is a plan to solve, and for its view."""
    return _reading(_question(values))


def _question(values: Mapping[str, str]) -> str:
    return json.dumps(dict(values))


@lru_cache(maxsize=8)
def _reading(form: str) -> FilledForm:
    return read(json.loads(form))


def _view(form: str) -> View:
    values: dict[str, str] = json.loads(form)
    # What she chose waits in the form while a number is missing, wrong, or half typed.
    empty = View(
        _reading(form), side_of(values), choice=values.get("choice", ""), drawn=values.get("drawn", "")
    )
    plan = empty.reading.plan
    if plan is None:
        return empty
    try:
        found = propose(plan)
        chosen = choose(plan, found) if found.proposals else still(plan)
    except PlanError as error:
        return replace(empty, reading=with_trouble(empty.reading, error))
    if chosen is None:
        cures = tuple(Cure(refusal, _mended(plan, refusal)) for refusal in found.refusals[:MOST_CURES])
        return replace(_missed(empty, plan), cures=cures, advice=found.advice)
    drawn = _drawn(empty, chosen, picture.fill_from(fill_address(chosen.plan), chosen.layout))
    ways = cards_of(chosen, found.proposals, values)
    good = touches(chain.ease for chain in chosen.layout.own.values()) and middles_alike(chosen.layout.choice)
    offered = found.offer if not good else None
    offer = words.offer_in_words(offered, found.proposals[0], plan.units) if offered else ""
    return replace(drawn, ways=ways, advice=found.advice, offer=offer)


kept = Memo(_view, KEPT_BYTES)


def _missed(view: View, plan: Plan) -> View:
    """Where nothing lands, what comes nearest: its picture and what is true of it."""
    miss = nearest_miss(plan)
    if miss is None:
        return view
    said = words.miss_in_words(miss, plan.units)
    return replace(view, miss=Markup(miss_picture(plan, miss)), missed=said)


def drawing_of(values: Mapping[str, str]) -> View | None:
    """The drawing alone, following her hand: the way she looks at with what she changed; None if it is gone."""
    hers = values.get("choice", "")
    looked_at = {**values, "choice": hers or values.get("drawn", "")}
    empty = View(read(looked_at), side_of(values))
    try:
        chosen = still(empty.reading.plan) if empty.reading.plan else None
    except PlanError:
        return None
    if chosen is None:
        return None
    drawn = _drawn(empty, chosen)
    return drawn if hers else replace(drawn, standing="")  # nothing is said of a choice she did not make


def cured(values: dict[str, str], asked: str) -> dict[str, str]:
    """The form after what a button offers: the cure of a refusal, named by its place in the list, or one circle
    more; the same form when there is none."""
    if asked not in {*map(str, range(MOST_CURES)), OFFER}:
        return values
    plan = read(values).plan
    if plan is None:
        return values
    found = propose(plan)
    change: dict[str, Any] | None = None
    if asked == OFFER:
        if found.offer and found.offer.needs_circle:
            change = {"tin_in": tuple(sorted((*plan.tin_in, found.offer.needs_circle)))}
    elif int(asked) < len(found.refusals):
        change = found.refusals[int(asked)].change
    return {**values, **values_of(apply_change(plan, change))} if change else values


def _mended(plan: Plan, refusal: Refusal) -> str:
    """A small picture of what a refusal's cure makes of the plan."""
    if refusal.change is None or refusal.choice is None:
        return ""
    return Markup(card_picture(apply_change(plan, refusal.change), refusal.choice))


def picture_alone(values: Mapping[str, str], run: bool) -> str:
    """The drawing of a form's plan, standing by itself: one side or the whole quilt.

    Raises PlanError where there is nothing to draw.
    """
    plan = _readable(read(values))
    layout = choose(plan).layout
    side = side_of(values)
    filling = picture.filled(grown(layout), layout, path_for_colours(layout))
    if run:
        return picture.picture(layout, picture.one_run(layout, side), title=plan.name, fill=filling)
    whole, notes = picture.whole_quilt(layout), picture.measures(layout)
    return picture.picture(layout, whole, title=plan.name, fill=filling, notes=notes)


def fill_picture(packed: str) -> str:
    """The fill of a packed plan as an SVG. Raises PlanError when the plan is damaged or nothing lands."""
    layout = choose(unpack(packed)).layout
    return picture.fill_alone(grown(layout), layout, path_for_colours(layout))


def card_fill_picture(packed: str) -> str:
    """The fill of a small picture as an SVG. Raises PlanError when the plan is damaged or nothing lands."""
    return card_fill(choose(unpack(packed)).layout)


def side_of(values: Mapping[str, str]) -> SideName:
    """The side she looks along."""
    return next((side for side in SIDES if side == values.get("side")), "top")


def _readable(reading: FilledForm) -> Plan:
    for trouble in reading.troubles.values():
        raise PlanError(trouble.message, field=trouble.field, cure=trouble.cure)
    if reading.plan is None:
        name = LABELS[reading.missing[0]]
        raise PlanError(
            f"{name.capitalize()} is missing.", field=reading.missing[0], cure="Measure and give it."
        )
    return reading.plan


def fill_address(plan: Plan) -> str:
    """Where the fill of a settled plan is fetched: the same for the same border, whatever the plan is called."""
    return f"/fill.svg?plan={packed_drawing(plan)}"


def packed_drawing(plan: Plan) -> str:
    """All of a settled plan that its drawing depends on."""
    return pack(plan.model_copy(update={"name": "", "typed": {}, "tags": ()}))


def _drawn(view: View, chosen: Chosen, filling: str = "") -> View:
    layout, plan, choice = chosen.layout, chosen.plan, chosen.choice
    eases = {side: chain.ease for side, chain in layout.own.items()}
    run = picture.one_run(layout, view.side)
    hers, text = chosen.standing != "first", choice_text(choice)
    title = f"The {view.side} border of {plan.name}, from its corner to the middle"
    whole = picture.whole_quilt(layout)
    notes = picture.measures(layout)
    return replace(
        view,
        name=plan.name,
        headline=words.headline(plan, choice, eases),
        facts=(
            sizes_in_words(layout),
            words.middle_in_words(choice).capitalize(),
            words.lift_in_words(eases, plan.units),
            *said_of(layout),
            *words.beside_the_fill(layout),
            *words.density_in_words(layout),
        ),
        vanishing=vanishing(plan),
        run=Markup(picture.picture(layout, run, title=title, again=True)),
        whole=Markup(
            picture.picture(layout, whole, title=f"The whole of {plan.name}", fill=filling, notes=notes)
        ),
        choice=text if hers else "",
        drawn="" if hers else text,
        standing=words.STANDING[chosen.standing],
        stamp=layout.stamp,
        quilted=as_quilted(plan, packed_drawing(plan), view.side) if filling else None,
    )
