"""One layout, one fill, one path: whatever is asked of it, and in whichever process that is done."""

from __future__ import annotations

import asyncio
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from planner.demo import demo_plan
from planner.solver import choose, rank
from server.app import create_app
from server.kept import Kept
from server.pages.forms import values_of
from server.pages.workbench_view import fill_address
from server.settings import Settings
from server.store.links import pack
from server.workers import Workers

Ask = Callable[..., httpx.Response]


class Counting(Kept):
    """Counts what is put in under each name."""

    def __init__(self) -> None:
        super().__init__(10**9)
        self.times: Counter[str] = Counter()

    def put(self, key: str, result: bytes) -> None:
        self.times[key] += 1
        super().put(key, result)


@pytest.fixture
def counting(tmp_path: Path) -> Iterator[tuple[object, Counting]]:
    settings, kept = Settings(data_folder=tmp_path, longest_work_s=300), Counting()
    app = create_app(settings)
    app.state.workers = Workers(settings, kept)
    yield app, kept
    app.state.workers.close()


def test_every_door_takes_the_same_fill_and_the_same_path(counting: tuple[object, Counting]) -> None:
    app, kept = counting
    plan = choose(demo_plan()).plan
    form, renamed = values_of(plan), values_of(plan.model_copy(update={"name": "Another"}))

    async def through_all_doors() -> list[httpx.Response]:
        transport = httpx.ASGITransport(app)  # type: ignore[arg-type]
        async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1", timeout=120) as client:
            return await asyncio.gather(
                client.get(fill_address(plan)),
                client.get("/playback", params=form),
                client.get("/playback", params=renamed),
                client.get("/supplies", params={**form, "counted": "on"}),
                client.get("/picture.svg", params=form),
                client.get(f"/plans/{pack(plan)}/handout.pdf"),
                client.post("/api/layout", json={"plan": plan.model_dump(mode="json")}),
            )

    assert [answer.status_code for answer in asyncio.run(through_all_doors())] == [200] * 7
    stamp = choose(plan).layout.stamp
    assert {key: times for key, times in kept.times.items() if stamp in key} == {
        f"fill {stamp}": 1,
        f"path {stamp}": 1,
    }


def test_what_it_takes_is_solved_once(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a choice three searches once answered one page."""
    solved: list[int] = []
    search = rank.find

    def counted(*arguments: Any) -> rank.Found:
        solved.append(1)
        return search(*arguments)

    monkeypatch.setattr(rank, "find", counted)
    form = values_of(demo_plan().model_copy(update={"choice": None, "seed": 4711}))
    for door in ("/supplies", "/supplies/list", "/supplies.csv", "/chalk"):
        assert ask("GET", door, params=form).status_code in (200, 303)
    assert len(solved) == 1
