"""The pool: bounded in number, time and memory; fair; what nobody waits for ends; no process is left behind."""

from __future__ import annotations

import asyncio
import contextlib
import os
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from planner.errors import PlanError
from planner.solver.drifting import DriftError
from server.settings import Settings
from server.worker import WAITS, Busy, TooMuch, shared, tell
from server.workers import Gone, Workers
from tests.server.attack import held


class Visit:
    """As much of a request as the pool looks at."""

    def __init__(self, host: str = "203.0.113.1") -> None:
        self.client = type("Client", (), {"host": host})
        self.left = False

    async def is_disconnected(self) -> bool:
        return self.left


def no_drift() -> None:
    raise DriftError("Curl by curl it stands where it should.", cure="Go on as the sheet says.")


def sleep(seconds: float, name: int = 0) -> int:
    time.sleep(seconds)
    return os.getpid()


def work() -> None:
    while True:
        pass


def noted(file: str, name: str) -> None:
    with Path(file).open("a") as notes:
        notes.write(name + "\n")
    time.sleep(0.05)


def note(file: str, name: str) -> None:
    with Path(file).open("a") as notes:
        notes.write(name + "\n")


def swallow(many: int) -> int:
    return len(bytes(many))


def filled_up() -> None:
    """As C++ under a binding does: out of memory, told as something else."""
    kept = []
    try:
        while True:
            kept.append(bytes(1_000_000))
    except MemoryError:
        raise RuntimeError("std::bad_alloc") from None


REMEMBERED: list[bytes] = []  # in a worker


def remember(many: int) -> int:
    REMEMBERED.append(b"x" * many)
    return os.getpid()


def refuse(words: str) -> None:
    raise PlanError(words, field="border_in.top", cure="Make it narrower.")


def break_down() -> None:
    raise KeyError("a bug")


def in_steps() -> str:
    for step in ("one", "two"):
        tell(step)
    return "three"


@pytest.fixture
def pool() -> Iterator[Callable[..., Workers]]:
    made: list[Workers] = []

    def make(**limits: Any) -> Workers:
        made.append(Workers(Settings(**{"workers": 1, "longest_work_s": 10, **limits})))
        return made[-1]

    yield make
    for workers in made:
        workers.close()


def answer(workers: Workers, work: Callable[..., Any], *arguments: Any, visit: Any = None) -> Any:
    return asyncio.run(workers.answer(visit or Visit(), work, *arguments))


def test_one_process_is_kept_warm_for_the_next_piece(pool: Callable[..., Workers]) -> None:
    workers = pool()
    first = answer(workers, sleep, 0.0, 1)
    assert first != os.getpid()
    assert answer(workers, sleep, 0.0, 2) == first


def test_the_same_piece_is_done_once_and_kept(pool: Callable[..., Workers], tmp_path: Path) -> None:
    workers, file = pool(workers=2), tmp_path / "notes"

    async def both() -> None:
        await asyncio.gather(*(workers.answer(Visit(), noted, str(file), "done") for _ in range(5)))  # type: ignore[arg-type]

    asyncio.run(both())
    answer(workers, noted, str(file), "done")
    assert file.read_text().split() == ["done"]


def part(file: str, name: str, seconds: float = 0.05) -> str:
    """A piece that needs something that other pieces need too."""

    def make() -> str:
        with Path(file).open("a") as notes:
            notes.write("made\n")
        time.sleep(seconds)
        return "shared"

    return f"{shared('part', make)} {name}"


def test_what_several_pieces_need_is_made_once_for_all(pool: Callable[..., Workers], tmp_path: Path) -> None:
    workers, file = pool(workers=2), tmp_path / "notes"

    async def all_of_them() -> list[str]:
        pieces = (workers.answer(Visit(), part, str(file), name, 0.5) for name in "abcd")  # type: ignore[arg-type]
        return list(await asyncio.gather(*pieces))

    assert asyncio.run(all_of_them()) == ["shared a", "shared b", "shared c", "shared d"]
    assert answer(workers, part, str(file), "e") == "shared e"
    assert file.read_text().split() == ["made"]


def test_what_its_maker_could_not_finish_another_makes(pool: Callable[..., Workers], tmp_path: Path) -> None:
    workers, file = pool(workers=2, longest_work_s=1), tmp_path / "notes"
    with pytest.raises(Busy):
        answer(workers, part, str(file), "slow", 30.0)
    assert answer(workers, part, str(file), "quick") == "shared quick"
    assert file.read_text().split() == ["made", "made"]


def test_what_is_too_large_to_keep_is_made_again(pool: Callable[..., Workers], tmp_path: Path) -> None:
    workers, file = pool(kept_bytes=1), tmp_path / "notes"
    assert [answer(workers, part, str(file), name) for name in "ab"] == ["shared a", "shared b"]
    assert file.read_text().split() == ["made", "made"]


def test_progress_is_told_and_the_answer_comes_last(pool: Callable[..., Workers]) -> None:
    workers = pool()

    async def all_of_it() -> list[Any]:
        return [told async for told in workers.told(Visit(), in_steps)]  # type: ignore[arg-type]

    *steps, last = asyncio.run(all_of_it())
    assert steps == ["one", "two"]
    assert last.found == "three"


@pytest.mark.attack
def test_what_takes_too_long_is_ended_and_the_next_is_served(
    pool: Callable[..., Workers], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("server.worker.WAITS", 100)  # however busy this machine is
    workers = pool(longest_work_s=1)
    with pytest.raises(TooMuch):
        answer(workers, work)
    held("workers", True, "a piece without end")
    assert answer(workers, sleep, 0.0)


@pytest.mark.attack
def test_what_waits_for_a_processor_has_more_time(pool: Callable[..., Workers]) -> None:
    workers = pool(longest_work_s=1)
    assert answer(workers, sleep, 1.0 + (WAITS - 1) / 2), "no fault of its own: others worked"
    with pytest.raises(Busy):  # "ask again", not "ask for less"
        answer(workers, sleep, 30.0)
    held("workers", True, "a piece that sleeps")
    assert answer(workers, sleep, 0.0)


@pytest.mark.attack
def test_what_takes_too_much_memory_is_ended_and_the_next_is_served(pool: Callable[..., Workers]) -> None:
    workers = pool(largest_work_bytes=50_000_000)
    for many in (10**9, 10**12):
        with pytest.raises(TooMuch):
            answer(workers, swallow, many)
        held("workers", True, "a piece of memory")
    assert answer(workers, swallow, 1000) == 1000


def test_a_library_that_runs_out_of_memory_is_no_bug(pool: Callable[..., Workers]) -> None:
    workers = pool(largest_work_bytes=200_000_000)
    with pytest.raises(TooMuch):
        answer(workers, filled_up)
    assert answer(workers, swallow, 1000) == 1000


def test_a_process_that_keeps_much_is_replaced(pool: Callable[..., Workers]) -> None:
    workers = pool()
    first = answer(workers, remember, 1000)
    assert answer(workers, remember, 200_000_000) == first
    assert answer(workers, remember, 1001) != first


@pytest.mark.parametrize(
    "why", [BlockingIOError(11, "Resource temporarily unavailable"), RuntimeError("can't fork")]
)
def test_where_no_process_can_be_had_nobody_waits_for_one(
    pool: Callable[..., Workers], monkeypatch: pytest.MonkeyPatch, why: Exception
) -> None:
    workers = pool()

    def none_left(*_: Any) -> None:
        raise why

    with monkeypatch.context() as full:
        full.setattr("server.workers.Process", none_left)
        for _ in range(3):
            with pytest.raises(Busy):
                answer(workers, sleep, 0.0)
    assert answer(workers, sleep, 0.0)


def test_refusals_come_through_and_bugs_do_not_stop_the_pool(pool: Callable[..., Workers]) -> None:
    workers = pool()
    with pytest.raises(PlanError) as told:
        answer(workers, refuse, "Too wide.")
    assert (told.value.message, told.value.field, told.value.cure) == (
        "Too wide.", "border_in.top", "Make it narrower.",
    )  # fmt: skip
    with pytest.raises(RuntimeError):
        answer(workers, break_down)
    assert answer(workers, sleep, 0.0)


def test_a_drift_that_no_run_takes_up_is_refused_from_a_worker_too(pool: Callable[..., Workers]) -> None:
    """Whatever a child of PlanError takes to be made, it comes through whole."""
    with pytest.raises(DriftError) as told:
        answer(pool(), no_drift)
    assert told.value.cure == "Go on as the sheet says."
    assert told.value.back is None


def test_a_process_that_was_killed_between_two_pieces_costs_nobody_an_answer(
    pool: Callable[..., Workers],
) -> None:
    workers = pool()
    first = answer(workers, sleep, 0.0, 1)
    os.kill(first, signal.SIGKILL)
    while Path(f"/proc/{first}").exists():
        time.sleep(0.01)
    assert answer(workers, sleep, 0.0, 2) != first


def test_a_keeper_that_breaks_down_leaves_nobody_waiting(
    pool: Callable[..., Workers], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    workers = pool()

    def breaks(key: str, result: bytes) -> None:
        raise ValueError("no room")

    with monkeypatch.context() as broken:
        broken.setattr(workers.kept, "made", breaks)
        with pytest.raises(RuntimeError):
            answer(workers, part, str(tmp_path / "notes"), "a")
    assert answer(workers, part, str(tmp_path / "notes"), "b"), "and the next is served"


@pytest.mark.attack
def test_what_nobody_waits_for_ends(pool: Callable[..., Workers]) -> None:
    workers = pool(longest_work_s=60)

    async def leave() -> None:
        visits = [Visit() for _ in range(40)]
        asked = [
            asyncio.create_task(workers.answer(visit, sleep, 50.0, n))  # type: ignore[arg-type]
            for n, visit in enumerate(visits)
        ]
        await asyncio.sleep(0.5)
        for visit in visits:
            visit.left = True
        for gone in asyncio.as_completed(asked):
            with contextlib.suppress(Gone):
                await gone

    began = time.monotonic()
    asyncio.run(leave())
    assert answer(workers, sleep, 0.0)
    held("workers", time.monotonic() - began < 30, "forty pieces that were left")


@pytest.mark.attack
def test_a_tenth_waits_behind_anothers_first(pool: Callable[..., Workers], tmp_path: Path) -> None:
    workers, file = pool(), str(tmp_path / "notes")

    async def crowd() -> None:
        many = [workers.answer(Visit("203.0.113.1"), noted, file, f"a{n}") for n in range(10)]  # type: ignore[arg-type]
        asked = [asyncio.create_task(one) for one in many]
        await asyncio.sleep(0)
        asked += [asyncio.create_task(workers.answer(Visit("203.0.113.2"), noted, file, "b0"))]  # type: ignore[arg-type]
        await asyncio.gather(*asked)

    asyncio.run(crowd())
    order = Path(file).read_text().split()
    held("workers", order.index("b0") <= 2, order)


@pytest.mark.attack
def test_sixty_four_at_once_are_served_in_turns(pool: Callable[..., Workers], tmp_path: Path) -> None:
    """One visitor asks for 36 pieces, seven for four each: nobody's second comes before everybody's first."""
    workers, file = pool(), str(tmp_path / "notes")
    asked = [("a", n) for n in range(36)] + [(name, n) for name in "bcdefgh" for n in range(4)]

    async def crowd() -> None:
        visits = {name: Visit(f"203.0.113.{ord(name)}") for name in "abcdefgh"}
        await asyncio.gather(*(workers.answer(visits[name], note, file, f"{name}{n}") for name, n in asked))  # type: ignore[arg-type]

    asyncio.run(crowd())
    order = [name for name, *_ in Path(file).read_text().split()]
    assert len(order) == 64
    for n, name in enumerate(order[:32]):
        ahead = max(order[: n + 1].count(other) for other in "abcdefgh")
        behind = min(order[: n + 1].count(other) for other in "abcdefgh")
        held("workers", ahead - behind <= 2, (n, name, order))  # one was taken before the others had asked


@pytest.mark.attack
def test_when_too_many_wait_the_longest_queue_gives_up_its_last(pool: Callable[..., Workers]) -> None:
    workers = pool(most_waiting=5)

    async def crowd() -> list[Any]:
        greedy = [workers.answer(Visit("203.0.113.1"), sleep, 0.01, n) for n in range(20)]  # type: ignore[arg-type]
        asked = [asyncio.create_task(one) for one in greedy]
        await asyncio.sleep(0)
        asked += [asyncio.create_task(workers.answer(Visit("203.0.113.2"), sleep, 0.01, 99))]  # type: ignore[arg-type]
        return await asyncio.gather(*asked, return_exceptions=True)

    answers = asyncio.run(crowd())
    busy = [isinstance(one, Busy) for one in answers]
    assert sum(busy) >= 14
    held("workers", not busy[-1], "a queue that one visitor filled")
    assert Busy().headers["Retry-After"].isdigit()


def test_no_process_is_left_when_the_pool_is_closed(pool: Callable[..., Workers]) -> None:
    workers = pool(workers=2)
    process = answer(workers, sleep, 0.0, 7)
    workers.close()
    until = time.monotonic() + 10
    while Path(f"/proc/{process}").exists() and time.monotonic() < until:
        time.sleep(0.02)
    assert not Path(f"/proc/{process}").exists()
    assert answer(workers, sleep, 0.0, 8) != process  # and it can be used again
