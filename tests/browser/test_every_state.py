"""One page that shows every element in every state, made of the pages' own templates: axe, cut-off words.

To look at it, give pytest ``--screenshot on --full-page-screenshot --output FOLDER``.
"""

from __future__ import annotations

import re
from pathlib import Path
from types import SimpleNamespace

import pytest
from playwright.sync_api import Page

from planner.demo import demo_plan
from planner.solver import choose, propose
from server.html import templates
from server.pages.cards import SORTINGS, cards_of
from server.problems import Trouble
from tests.browser.hands import faultless, sound

pytestmark = pytest.mark.browser

SHEET = Path(__file__).with_name("every_state.html")
TROUBLES = {
    "wrong": Trouble("wrong", "“ninety” is no length.", "Write it in figures, such as 90 1/8."),
    "instead": Trouble("instead", "1080 in is longer than any quilt.", "Did you mean 108?", "108 in"),
    "bad": Trouble("bad", "These units are not known here.", "Take one of those listed."),
}
VALUES = {"empty": "", "filled": "90 1/8", "wrong": "ninety", "instead": "1080", "one": "cm", "bad": "in"}


def saved(**more: object) -> SimpleNamespace:
    usual = {"plan_id": "abc", "version": 2, "head": 2, "may": "own", "onto": 2, "older": False}
    usual |= {"overtaken": False, "changed": False, "other_units": False, "word": ""}
    return SimpleNamespace(**usual | {"opens": SimpleNamespace(history=True, follows=True)} | more)


def bars() -> list[dict[str, object]]:
    """Every state of the bar over the drawing."""
    view = SimpleNamespace(reading=SimpleNamespace(plan=True))
    kept = [
        None,
        saved(),
        saved(changed=True),
        saved(older=True, onto=5, head=5),
        saved(overtaken=True, changed=True, head=5),
        saved(may="edit", word="This link was stopped. Your work is kept as a plan of your own."),
        saved(may="view", changed=True, opens=SimpleNamespace(history=False, follows=False)),
    ]
    return [
        {"savebar": None, "demo": True, "view": view},
        *({"savebar": s, "demo": False, "view": view} for s in kept),
    ]


def every_state() -> str:
    """The page."""
    plan = demo_plan()
    ways = cards_of(choose(plan), propose(plan).proposals, {})
    return templates.from_string(SHEET.read_text("utf-8")).render(
        values=VALUES,
        troubles=TROUBLES,
        bars=bars(),
        table=SimpleNamespace(ways=ways),
        sortings=SORTINGS,
    )


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1180, 820, 390, 320])
def test_every_element_in_every_state(watched: Page, address: str, width: int, scheme: str) -> None:
    watched.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    watched.set_viewport_size({"width": width, "height": 844})
    watched.route(
        f"{address}/states", lambda route: route.fulfill(body=every_state(), content_type="text/html")
    )
    watched.goto(f"{address}/states", wait_until="domcontentloaded")
    sound(watched)
    if width in (1180, 390):
        faultless(watched)


ELSEWHERE = {"cure"}  # pictures that a page draws


def test_no_kind_of_button_is_forgotten() -> None:
    """Every class that the pages give a button stands on this page too."""
    shown = set(re.findall(r'<(?:button|a)[^>]* class="([^"{]+)"', every_state()))
    used = {
        kind
        for path in (SHEET.parents[2] / "templates").glob("*.html")
        for kinds in re.findall(r'<button[^>]* class="([a-z ]+)"', path.read_text("utf-8"))
        for kind in kinds.split()
    }
    missing = used - {kind for kinds in shown for kind in kinds.split()}
    assert missing <= ELSEWHERE, missing
