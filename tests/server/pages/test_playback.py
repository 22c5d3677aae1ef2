"""The page of the order: its words are true of what each thread stitches."""

from __future__ import annotations

import re
from collections.abc import Callable

import httpx

from server.pages.address import query_of
from tests.planner.landed import SPINE_LAST, wall_hanging

Ask = Callable[..., httpx.Response]


def test_a_spine_that_comes_last_is_told_last(ask: Ask) -> None:
    """Green stitches the spines and nothing else: no filling is promised after them, none said to come before."""
    page = ask("GET", "/playback", params=query_of(wall_hanging(**SPINE_LAST).plan))
    assert page.status_code == 200
    words = " ".join(re.sub(r"<[^>]*>", " ", page.text).split())
    assert "the spines first" not in words
    assert "thread by thread: rust and gold first, then green, which stitches the spines" in words
    assert "over stitches already there or still to come" in words
    green = words[words.index("Green (spine)") :]
    assert "Out to each tip, back to the joint, on." in green
    assert "and fill:" not in green
