"""All that takes longer than a page: one pool of worker processes, bounded in number, time and memory.

A piece of work is a function at the top of some module and its arguments (texts and frozen records); the same
piece asked for twice is done once. Each process does one piece at a time and is kept warm for the next; it is
ended when its piece takes too long or too much memory, or when nobody waits for it any longer. Whoever has fewest
pieces under way is next, so that one visitor's tenth waits behind another's first; when too many wait, the longest
queue gives up its last.
"""

from __future__ import annotations

import asyncio
import hashlib
import logging
import os
import threading
from collections import Counter, deque
from collections.abc import AsyncIterator, Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from multiprocessing.reduction import ForkingPickler
from typing import Any, Generic, TypeVar

from fastapi import Request

from server.access.names import visitor_name
from server.kept import Kept
from server.settings import Settings
from server.worker import Busy, Call, Process

Found = TypeVar("Found")

log = logging.getLogger("cornerwise.workers")

LOOK_AGAIN_S = 0.25  # how soon it is noticed that nobody waits any longer, and how often news are told


class Gone(Exception):
    """The visitor left before there was an answer."""


@dataclass(frozen=True)
class Answer(Generic[Found]):
    """What came of a piece of work."""

    found: Found


@dataclass(eq=False)
class _Piece:
    """Work that waits or is being done, and how many wait for it."""

    key: str
    visitor: str
    call: Call
    waiting: int = 0
    end: Callable[[], None] | None = None  # ends the process that does it
    news: list[str] = field(default_factory=list)
    done: Future[tuple[str, Any]] = field(default_factory=Future)


class Workers:
    """The pool. One for an application; its processes start with the first work."""

    def __init__(self, settings: Settings, kept: Kept | None = None) -> None:
        self.many = settings.workers or os.cpu_count() or 1
        self.seconds = settings.longest_work_s
        self.memory = settings.largest_work_bytes
        self.most_waiting = settings.most_waiting
        self.kept = kept or Kept(settings.kept_bytes)
        self._pieces: dict[str, _Piece] = {}  # all that wait or are being done
        self._queues: dict[str, deque[_Piece]] = {}  # of each visitor; she who was served last is last
        self._running: Counter[str] = Counter()
        self._free = self._threads = 0
        self._life = 0  # how often it was closed: who works for an earlier one goes
        self._turn = threading.Condition()

    async def answer(self, request: Request, work: Callable[..., Found], *arguments: Any) -> Found:
        """What the work gives, done by a worker or kept from before.

        Raises what the work raises of PlanError, Busy, TooMuch, and Gone when the visitor has left.
        """
        async for told in self.told(request, work, *arguments):
            if isinstance(told, Answer):
                return told.found
        raise Gone

    async def told(
        self, request: Request, work: Callable[..., Found], *arguments: Any
    ) -> AsyncIterator[str | Answer[Found]]:
        """What the work tells of its progress, and at last its answer."""
        asked = f"{work.__module__}.{work.__qualname__}{arguments!r}"
        key = hashlib.sha256(asked.encode()).hexdigest()
        raw = self.kept.get(key)
        if raw is None:
            with self._waited_for(key, visitor_name(request), work, arguments) as piece:
                done, said = asyncio.wrap_future(piece.done), 0
                while said < len(piece.news) or not done.done():
                    if said < len(piece.news):
                        yield piece.news[said]
                        said += 1
                    elif await request.is_disconnected():
                        raise Gone
                    else:
                        await asyncio.wait({done}, timeout=LOOK_AGAIN_S)
                how, raw = done.result()
            if how != "done":
                raise raw
            self.kept.put(key, raw)
        yield Answer(ForkingPickler.loads(raw))

    def close(self) -> None:
        """End every process and whatever it does; work that comes later starts new ones."""
        with self._turn:
            self._life += 1
            self._free = self._threads = 0
            self._turn.notify_all()
            for piece in list(self._pieces.values()):
                self._give_up(piece)

    @property
    def waiting(self) -> int:
        """How many pieces wait for a worker."""
        return sum(map(len, self._queues.values()))

    @contextmanager
    def _waited_for(
        self, key: str, visitor: str, work: Callable[..., Any], arguments: tuple[Any, ...]
    ) -> Iterator[_Piece]:
        """A piece with somebody who waits for it; when the last has gone, it is dropped. Raises Busy."""
        with self._turn:
            piece = self._pieces.get(key)
            if piece is None:
                piece = self._pieces[key] = _Piece(key, visitor, (work, arguments))
                self._queue(piece)
            piece.waiting += 1
        try:
            yield piece
        finally:
            with self._turn:
                piece.waiting -= 1
                if not piece.waiting:
                    self._drop(piece)

    def _queue(self, piece: _Piece) -> None:
        self._queues.setdefault(piece.visitor, deque()).append(piece)
        if self.waiting > self.most_waiting:
            self._give_up(max(self._queues.values(), key=len)[-1])
        if not self._free and self._threads < self.many:
            self._start()
        self._turn.notify()

    def _give_up(self, piece: _Piece) -> None:
        """Drop a piece that somebody still waits for, and say so."""
        self._drop(piece)
        if not piece.done.done():
            piece.done.set_result(("busy", Busy()))

    def _drop(self, piece: _Piece) -> None:
        """Forget a piece, wherever it is; one that is being done is ended."""
        if self._pieces.get(piece.key) is piece:
            del self._pieces[piece.key]
        with suppress(KeyError, ValueError):
            self._queues[piece.visitor].remove(piece)
            if not self._queues[piece.visitor]:
                del self._queues[piece.visitor]
        if piece.end and not piece.done.done():
            piece.end()

    def _start(self) -> None:
        self._threads += 1
        threading.Thread(target=self._keep_working, args=(self._life,), daemon=True).start()

    def _keep_working(self, life: int) -> None:
        """One thread for each process: gives it one piece after another."""
        process = None
        while (piece := self._next(life)) is not None:
            outcome: tuple[str, Any]
            try:
                if process is None or not process.ready:
                    process = Process(self.memory, self.kept)
                with self._turn:
                    piece.end = process.end
                    if not piece.waiting:  # she left in this very moment
                        process.end()
                outcome = process.do(piece.call, self.seconds, piece.news.append)
            except Exception:  # the planner is ending, or no other process can be had: nobody waits for it
                log.exception("no process for a piece of work")
                outcome = "busy", Busy()
            with self._turn:
                self._running = +(self._running - Counter([piece.visitor]))
                piece.end = None
                if self._pieces.get(piece.key) is piece:
                    del self._pieces[piece.key]
                if not piece.done.done():
                    piece.done.set_result(outcome)
        if process:
            process.end()

    def _next(self, life: int) -> _Piece | None:
        """The next piece, when there is one; None when the pool was closed."""
        with self._turn:
            self._free += life == self._life
            self._turn.wait_for(lambda: self._queues or life != self._life)
            if life != self._life:
                return None
            self._free -= 1
            visitor = min(self._queues, key=lambda one: self._running[one])
            queue = self._queues.pop(visitor)
            piece = queue.popleft()
            if queue:
                self._queues[visitor] = queue  # behind all others
            self._running[visitor] += 1
            return piece


def workers_of(request: Request) -> Workers:
    """The workers of the application that was asked."""
    workers: Workers = request.app.state.workers
    return workers
