"""kill -9 in the middle of saves: every version that was acknowledged is there afterwards, and whole."""

from __future__ import annotations

import random
import sqlite3
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

import httpx
import pytest

from planner.plan import Plan
from server.store.versions import Store
from tests.server.samples import a_plan, renamed
from tests.server.serving import NO_RATES, Planner

WRITERS = 8


@dataclass
class Ledger:
    """What the server acknowledged: (plan, version) and the name that was saved in it."""

    keys: dict[str, str] = field(default_factory=dict)
    acknowledged: dict[tuple[str, int], str] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def note(self, saved: dict[str, object]) -> None:
        plan = saved["plan"]
        assert isinstance(plan, dict)
        with self.lock:
            self.acknowledged[str(saved["id"]), int(str(saved["version"]))] = plan["name"]


def write_until_it_dies(url: str, ledger: Ledger, who: int, stop: threading.Event) -> None:
    """Save as fast as answers come; two writers share each plan, so conflicts happen too."""
    plan_id, key = list(ledger.keys.items())[who // 2]
    head, n = 0, 0
    with httpx.Client(base_url=url, headers={"Plan-Key": key}, timeout=30, verify=False) as client:
        try:
            while not stop.is_set():
                if not head:
                    head = client.get(f"/api/plans/{plan_id}").raise_for_status().json()["head"]
                n += 1
                plan = renamed(a_plan(), f"{who}/{n}/{random.random()}").model_dump(mode="json")
                answer = client.put(f"/api/plans/{plan_id}", json={"plan": plan, "base_version": head})
                if answer.status_code == 200:
                    ledger.note(answer.json())
                    head = answer.json()["version"]
                elif answer.status_code == 409:
                    ledger.note(answer.json()["mine"])  # told, and kept aside: acknowledged too
                    head = 0
                else:
                    ledger.wrong.append(f"{answer.status_code} {answer.text[:300]}")
        except httpx.TransportError:
            return  # the server is dead: this save was not acknowledged
        except (KeyError, httpx.HTTPStatusError) as trouble:
            ledger.wrong.append(repr(trouble))


def kill_again_and_again(database_url: str, kills: int, folder: Path) -> None:
    rng = random.Random(kills)
    ledger = Ledger()
    store = Store(database_url)
    for n in range(WRITERS // 2):
        made = store.create(a_plan(f"Plan {n}"))
        ledger.keys[made.id] = str(made.edit_key)
        ledger.acknowledged[made.id, 1] = made.plan.name
    store.close()
    checked = 0
    for _ in range(kills):
        planner = Planner(database_url, folder / "log", settings=NO_RATES)
        planner.start()
        stop = threading.Event()
        writers = [
            threading.Thread(target=write_until_it_dies, args=(planner.url, ledger, who, stop))
            for who in range(WRITERS)
        ]
        before = len(ledger.acknowledged)
        for writer in writers:
            writer.start()
        wanted, deadline = before + rng.randint(1, 30), time.monotonic() + 30
        while len(ledger.acknowledged) < wanted and time.monotonic() < deadline:
            time.sleep(0.002)
        time.sleep(rng.uniform(0, 0.02))  # anywhere within the saves in flight
        planner.kill()
        stop.set()
        for writer in writers:
            writer.join(60)
        assert ledger.wrong == []
        checked += check(database_url, ledger, before)
    check(database_url, ledger, 0)
    saves = len(ledger.acknowledged) - WRITERS // 2
    print(f"\n{kills} kills, {saves} acknowledged saves, {saves / kills:.0f} a life; lost: 0")
    assert saves >= kills  # or nothing was in flight, and this proves nothing


def check(database_url: str, ledger: Ledger, since: int) -> int:
    """Every acknowledged version is there with what was saved; the database is whole."""
    store = Store(database_url)
    lost = []
    for (plan_id, version), name in list(ledger.acknowledged.items())[since:]:
        if store.load(plan_id, version).plan.name != name:
            lost.append((plan_id, version))
    for plan_id in ledger.keys:
        head = store.load(plan_id)
        line = store.versions(plan_id, rows=1)[0]
        assert head.version <= line.version
        assert isinstance(head.plan, Plan)
    store.close()
    assert lost == []
    if database_url.startswith("sqlite"):
        raw = sqlite3.connect(database_url.removeprefix("sqlite:///"))
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
        raw.close()
    return len(ledger.acknowledged) - since


def test_a_few_kills(url: str, tmp_path: Path) -> None:
    kill_again_and_again(url, 5, tmp_path)


@pytest.mark.long
def test_two_hundred_kills(url: str, tmp_path: Path) -> None:
    kill_again_and_again(url, 200, tmp_path)


def test_a_lost_version_would_be_noticed(sqlite_url: str) -> None:
    """The check itself: take one acknowledged version away and it must fail."""
    store = Store(sqlite_url)
    made = store.create(a_plan("One"))
    store.close()
    ledger = Ledger({made.id: ""}, {(made.id, 1): "One"})
    check(sqlite_url, ledger, 0)
    ledger.acknowledged[made.id, 1] = "Other"
    with pytest.raises(AssertionError):
        check(sqlite_url, ledger, 0)
