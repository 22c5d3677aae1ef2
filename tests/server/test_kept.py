"""What is kept: so many bytes, least recently used first; one maker a key, and the others wait."""

from __future__ import annotations

import threading

import pytest

from server.kept import Kept


def test_what_was_asked_for_longest_ago_goes_first() -> None:
    kept = Kept(10)
    kept.put("one", b"1234")
    kept.put("two", b"1234")
    assert kept.get("one")
    kept.put("three", b"1234")
    assert (kept.get("one"), kept.get("two"), kept.get("three")) == (b"1234", None, b"1234")
    kept.put("one", b"1234567890")
    assert kept.get("three") is None
    kept.put("too large", b"x" * 11)
    assert kept.get("too large") is None


def test_one_makes_and_the_others_wait_for_it() -> None:
    kept, found = Kept(100), list[bytes | None]()
    assert kept.get_or_claim("key", "maker", 1) is None
    assert kept.get_or_claim("key", "maker", 1) is None, "its own claim does not stop it"
    waiting = threading.Thread(target=lambda: found.append(kept.get_or_claim("key", "other", 20)))
    waiting.start()
    kept.put("key", b"made")
    waiting.join()
    assert found == [b"made"]


def test_what_is_given_up_is_the_next_ones_to_make() -> None:
    kept = Kept(100)
    assert kept.get_or_claim("key", "maker", 1) is None
    with pytest.raises(TimeoutError):
        kept.get_or_claim("key", "other", 0.01)
    kept.give_up("maker")
    assert kept.get_or_claim("key", "other", 1) is None
