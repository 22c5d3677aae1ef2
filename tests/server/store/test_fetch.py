"""Fetching from a server that means harm: what it sends is bounded in size and time."""

from __future__ import annotations

import gzip
import socket
import threading
import time
import tracemalloc
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

import pytest

from server.store import fetch
from server.store.planfile import PlanFileError, write_plan_file
from tests.server.attack import held
from tests.server.samples import a_plan

OK = b"HTTP/1.1 200 OK\r\nConnection: close\r\n"


@contextmanager
def serving(answer: Callable[[socket.socket], None]) -> Iterator[str]:
    """A server on loopback that gives one answer, and the link to it."""
    with socket.create_server(("127.0.0.1", 0)) as listener:

        def once() -> None:
            with suppress(OSError):
                wire, _ = listener.accept()
                with wire:
                    wire.recv(65536)
                    answer(wire)

        thread = threading.Thread(target=once)
        thread.start()
        yield f"http://127.0.0.1:{listener.getsockname()[1]}/plans/{'a' * 20}"
    thread.join()


def test_a_plan_comes_home() -> None:
    body = write_plan_file(a_plan("Hers"))
    with serving(lambda wire: wire.sendall(OK + b"\r\n" + body)) as link:
        assert fetch.fetch(link).name == "Hers"


@pytest.mark.attack
def test_a_packed_answer_is_never_unpacked() -> None:
    bomb = gzip.compress(b" " * 30_000_000)
    answer = OK + b"Content-Encoding: gzip\r\n\r\n" + bomb
    with serving(lambda wire: wire.sendall(answer)) as link:
        tracemalloc.start()
        with pytest.raises(PlanFileError):
            fetch.fetch(link)
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    held("fetch", most < 5_000_000, f"{len(bomb)} bytes on the wire became {most}")


@pytest.mark.attack
def test_an_endless_answer_is_cut() -> None:
    def endless(wire: socket.socket) -> None:
        wire.sendall(OK + b"\r\n")
        for _ in range(2000):
            wire.sendall(b" " * 65536)

    with serving(endless) as link, pytest.raises(PlanFileError, match="too large"):
        fetch.fetch(link)
    held("fetch", True)


@pytest.mark.attack
@pytest.mark.parametrize("where", ["in its head", "in its body"])
def test_one_time_limit_holds_for_the_whole_answer(where: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A byte now and then keeps every single wait short; the plan would be there after twice the limit."""
    monkeypatch.setattr(fetch, "WAIT_S", 0.6)
    head = OK + b"X: " + b"x" * 12 + b"\r\n\r\n"
    body = write_plan_file(a_plan("Late"))

    def dripping(wire: socket.socket) -> None:
        first, then = (OK, head[len(OK) :] + body) if where == "in its head" else (head, body)
        wire.sendall(first)
        for n in range(12):
            wire.sendall(then[n : n + 1])
            time.sleep(0.1)
        wire.sendall(then[12:])

    came = False
    with serving(dripping) as link, suppress(PlanFileError):
        came = fetch.fetch(link).name == "Late"
    held("fetch", not came, where)
