"""Words explained: every one that a page asks for is there, each short, each with a drawing of its own."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import httpx

from server.pages.explained import EXPLAINED, MEANS

Ask = Callable[..., httpx.Response]
TEMPLATES = Path(__file__).resolve().parents[3] / "templates"


def test_every_word_is_short_and_drawn() -> None:
    assert set(MEANS) == set(EXPLAINED)
    drawings = [word.drawing for word in EXPLAINED.values()]
    assert len(set(drawings)) == len(drawings)
    assert all(len(word.means) <= 170 for word in EXPLAINED.values()), "two lines"


def test_the_page_holds_them_all(ask: Ask) -> None:
    page = ask("GET", "/words").text
    assert set(re.findall(r'<div id="(\w+)"><dt>', page)) == set(EXPLAINED)


def test_templates_ask_for_none_that_is_not_there() -> None:
    ticket = (TEMPLATES / "ticket.html").read_text("utf-8")
    asked = re.findall(r'word="(\w+)"|about\("(\w+)"\)', ticket)
    assert {a or b for a, b in asked} <= set(EXPLAINED)
    assert len(asked) >= 10
