"""One worker process: a piece of work at a time, in bounded time and memory, with word of its progress.

Processes come from a fork server that has everything imported: a new one takes some 20 ms.
"""

from __future__ import annotations

import gc
import logging
import os
import resource
import signal
import threading
import time
import traceback
from collections.abc import Callable, Mapping
from contextlib import suppress
from multiprocessing import forkserver, get_context, parent_process, resource_tracker
from multiprocessing.connection import Connection
from multiprocessing.reduction import ForkingPickler
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from planner.errors import PlanError
from server.kept import Kept

Made = TypeVar("Made")
Call = tuple[Callable[..., Any], tuple[Any, ...]]  # a function at the top of some module, and its arguments

PIECES_A_LIFE = 200  # then a process makes room for a fresh one: what it remembers stays bounded
FAT_BYTES = 150_000_000  # kept after a piece, more than at first: the same, at once
WAITS = 3  # times as long as it may work, a piece may take where others work beside it
NEARLY = 0.95  # of the memory it may have: what breaks down there broke down for want of it
_FORKS = get_context("forkserver")
_FORKS.set_forkserver_preload(["server.app", "uvicorn.main", "ezdxf", "reportlab.pdfgen.canvas"])

log = logging.getLogger("cornerwise.workers")


class Overload(PlanError):
    """Nothing is wrong with what was asked for, but it is more than this planner does just now."""

    status = 422
    headers: Mapping[str, str] = MappingProxyType({})


class Busy(Overload):
    """More is being drawn than there is room for."""

    status = 503
    title = "Busy just now"
    headers = MappingProxyType({"Retry-After": "15"})

    def __init__(self) -> None:
        super().__init__(
            "The planner is busy with other drawings just now.",
            cure="Wait a quarter of a minute and ask again.",
        )


class TooMuch(Overload):
    """One piece of work that takes more of a processor's time, or more memory, than one piece may."""

    def __init__(self, seconds: float) -> None:
        super().__init__(
            f"This takes more than one drawing may take here ({seconds:g} s).",
            cure="Ask for one side instead of all, or wider curls. Whoever runs the planner can allow more.",
        )


class Process:
    """One worker process, seen from the planner. spent: it is to be replaced before the next piece."""

    def __init__(self, memory: int, kept: Kept) -> None:
        self.kept = kept
        self.wire, theirs = _FORKS.Pipe()
        self.process = _FORKS.Process(target=_work, args=(theirs, memory), daemon=True)
        self.process.start()
        theirs.close()
        self.pieces = 0
        self.spent = False
        self.at_first = self.resident

    @property
    def ready(self) -> bool:
        """Whether it can take a piece: not to be replaced, and not ended meanwhile by a system short of memory."""
        return not self.spent and self.process.is_alive()

    @property
    def resident(self) -> int:
        """Bytes of memory that it has (0 where the system cannot tell)."""
        return _pages(self.process.pid, 1) * resource.getpagesize()

    def end(self) -> None:
        """Stop the process; it has nothing to save."""
        self.spent = True
        self.process.kill()

    def do(self, call: Call, seconds: float, tell: Callable[[str], None]) -> tuple[str, Any]:
        """How it went and what came of it: done and the pickled result, or why not.

        seconds: of a processor's time. On a busy machine it is no fault of the piece that it takes longer.
        """
        worked, until = self._worked + seconds, time.monotonic() + WAITS * seconds
        try:
            self.wire.send(call)
            how, what = self._hear(worked, until)
            while how in ("told", "wanted", "made"):
                match how:
                    case "told":
                        tell(what)
                    case "wanted":
                        self.wire.send(self.kept.get_or_claim(what, self, until - time.monotonic()))
                    case "made":
                        self.kept.made(*what)
                how, what = self._hear(worked, until)
        except (EOFError, OSError) as ended:  # too slow, out of memory, or ended because nobody waits
            waited = isinstance(ended, TimeoutError) and self._worked < worked
            self.end()
            self.process.join()
            return ("busy", Busy()) if waited else ("too much", TooMuch(seconds))
        except Exception:  # of ours, while it was served: whoever waits is told, and waits no longer
            log.exception("%s could not be served", call[0].__qualname__)
            self.end()
            return "failed", RuntimeError(f"{call[0].__qualname__} could not be served")
        finally:
            self.kept.give_up(self)
        self.pieces += 1
        fat = self.resident > self.at_first + FAT_BYTES
        self.spent |= how in ("failed", "too much") or fat or self.pieces == PIECES_A_LIFE
        if how == "failed":
            log.error("%s failed in a worker:\n%s", call[0].__qualname__, what)
            return how, RuntimeError(f"{call[0].__qualname__} failed in a worker")
        return how, TooMuch(seconds) if how == "too much" else what

    def _hear(self, worked: float, until: float) -> tuple[str, Any]:
        """The next that the process says. Raises TimeoutError, and EOFError when it has ended."""
        while not self.wire.poll(left := min(worked - self._worked, until - time.monotonic())):
            if left <= 0:
                raise TimeoutError
        said: tuple[str, Any] = self.wire.recv()
        return said

    @property
    def _worked(self) -> float:
        """Seconds of a processor's time that it has had (by the clock on the wall where the system cannot tell)."""
        with suppress(OSError, IndexError):
            stat = Path(f"/proc/{self.process.pid}/stat").read_text().rpartition(")")[2].split()
            return (int(stat[11]) + int(stat[12])) / os.sysconf("SC_CLK_TCK")
        return time.monotonic()


def warm() -> None:
    """Have the fork server import everything now. It does not hear Ctrl+C: it ends with the planner."""
    resource_tracker.ensure_running()  # which would let the signal through again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    forkserver.ensure_running()
    signal.pthread_sigmask(signal.SIG_SETMASK, before)


def tell(words: str) -> None:
    """Say how far the work is, from within it."""
    if _wire:
        _wire.send(("told", words))


def shared(key: str, make: Callable[[], Made]) -> Made:
    """What some worker made under this key, for whichever piece; else it is made now, and kept for all.

    Whoever wants it meanwhile waits. What it is made from may be shared too, but must never want this one.
    """
    if not _wire:
        return make()
    _wire.send(("wanted", key))
    raw = _wire.recv()
    if raw is not None:
        found: Made = ForkingPickler.loads(raw)
        return found
    made = make()
    _wire.send(("made", (key, bytes(ForkingPickler.dumps(made)))))
    return made


_wire: Connection | None = None  # in a worker: to the planner


def _work(wire: Connection, memory: int) -> None:
    """What a worker process does: one piece after another, until the planner ends."""
    global _wire
    _wire = wire
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C is the planner's to hear
    threading.Thread(target=_end_with_planner, daemon=True).start()
    os.nice(5)
    _allow(memory)
    gc.freeze()
    gc.disable()  # between two pieces there is time for it
    with suppress(EOFError):
        while True:
            work, arguments = wire.recv()
            wire.send(_outcome(work, arguments))
            gc.collect()


def _outcome(work: Callable[..., Any], arguments: tuple[Any, ...]) -> tuple[str, Any]:
    try:
        return "done", bytes(ForkingPickler.dumps(work(*arguments)))
    except PlanError as error:
        return "refused", error
    except MemoryError:
        return "too much", None
    except Exception:  # a library may call it anything when there is no more memory
        return ("too much", None) if _short_of_memory() else ("failed", traceback.format_exc())


def _allow(memory: int) -> None:
    """Let this process have so many bytes more than it has now (where the system can tell and bound it)."""
    with suppress(OSError, ValueError):
        now = _pages("self", 0) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (now + memory, now + memory))


def _short_of_memory() -> bool:
    """Whether this process had nearly all that it may have at some time: then it does no second piece."""
    limit = resource.getrlimit(resource.RLIMIT_AS)[0]
    with suppress(OSError, StopIteration):
        lines = Path("/proc/self/status").read_text().splitlines()
        peak = 1024 * int(next(line.split()[1] for line in lines if line.startswith("VmPeak:")))
        return limit != resource.RLIM_INFINITY and peak > NEARLY * limit
    return False


def _pages(process: int | str | None, which: int) -> int:
    """Pages of memory of a process: 0 all it may touch, 1 what is there (0 where the system cannot tell)."""
    with suppress(OSError):
        return int(Path(f"/proc/{process}/statm").read_text().split()[which])
    return 0


def _end_with_planner() -> None:
    """Leave no process behind, however the planner ended."""
    planner = parent_process()
    if planner:
        planner.join()
    os._exit(0)
