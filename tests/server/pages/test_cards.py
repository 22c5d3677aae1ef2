"""The cards of the workbench: what tells them apart is said, sorted and sifted; nothing stands there twice."""

from __future__ import annotations

import re
from collections.abc import Callable

import httpx
import pytest

from planner.demo import demo_plan
from planner.solver import choose, propose
from server.pages.cards import FIRST_CARDS, Card, Cards, cards_of
from server.pages.differs import from_before
from server.pages.forms import values_of

Ask = Callable[..., httpx.Response]
PLAN = demo_plan().model_copy(update={"choice": None})


def cards(**values: str) -> Cards:
    return cards_of(choose(PLAN), propose(PLAN).proposals, values)


def told(card: Card) -> tuple[str, ...]:
    return (card.value, *(one.value for one in card.variants))


def test_no_way_stands_on_two_cards_and_none_is_lost() -> None:
    every = [value for card in cards(more="1").cards for value in told(card)]
    assert len(every) == len(set(every)) == len(propose(PLAN).proposals)
    assert len(cards().cards) == FIRST_CARDS


def test_variants_are_told_apart() -> None:
    for card in cards(more="1").cards:
        texts = [one.text for one in card.variants]
        assert all(texts)
        assert len(set(texts)) == len(texts)
        assert bool(card.folded) == bool(texts)


def test_every_card_says_what_is_other_than_on_the_one_before() -> None:
    first, *others = cards().cards
    assert first.differs
    assert all(card.differs for card in others)
    proposals = propose(PLAN).proposals
    assert from_before(proposals[0], proposals[0]) == ""


def test_level_runs_alone() -> None:
    sifted = cards(**{"only.level": "on"})
    assert all(card.shown or "level" in card.differs.lower() or card.differs for card in sifted.cards)
    assert len(sifted.cards) < len(cards().cards)
    assert ("level", "level", True) in sifted.filters


def test_what_is_drawn_is_marked_though_a_filter_leaves_it_out() -> None:
    sifted = cards(**{"only.level": "on"})
    assert [card.shown for card in sifted.cards].count(True) == 1


@pytest.mark.parametrize("sort", ["curls", "circle", "ease", "nonesuch"])
def test_sorting_is_kept_on_the_page(ask: Ask, sort: str) -> None:
    page = ask("GET", "/", params=values_of(demo_plan()) | {"sort": sort}).text
    chosen = re.findall(r'<option value="(\w+)" selected>', page[page.index('id="sort"') :])[0]
    assert chosen == (sort if sort != "nonesuch" else "best")
