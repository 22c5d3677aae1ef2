"""64 clients at once, two worker processes: no errors, and no update lost."""

from __future__ import annotations

import asyncio
import random
import statistics
import time
from dataclasses import dataclass, field
from pathlib import Path

import httpx
import pytest

from server.store.versions import Store
from tests.server.samples import a_plan
from tests.server.serving import NO_RATES, Planner

CLIENTS = 64
SHARED = 16  # plans that four clients each count up together


@dataclass
class Tally:
    counted: dict[str, int] = field(default_factory=dict)  # plan -> increments acknowledged
    saves: list[float] = field(default_factory=list)  # seconds each
    reads: list[float] = field(default_factory=list)
    conflicts: int = 0
    errors: list[str] = field(default_factory=list)


async def count_up(client: httpx.AsyncClient, plan_id: str, key: str, until: float, tally: Tally) -> None:
    """Load, add one to the seed, save; told of a conflict, begin again."""
    address, headers = f"/api/plans/{plan_id}", {"Plan-Key": key}
    while time.monotonic() < until:
        began = time.monotonic()
        answer = await client.get(address, headers=headers)
        tally.reads.append(time.monotonic() - began)
        if answer.status_code != 200:
            tally.errors.append(f"{answer.status_code} {answer.text[:200]}")
            continue
        now = answer.json()
        plan = now["plan"] | {"seed": now["plan"]["seed"] + 1, "name": f"{random.random()}"}
        began = time.monotonic()
        body = {"plan": plan, "base_version": now["version"]}
        answer = await client.put(address, headers=headers, json=body)
        tally.saves.append(time.monotonic() - began)
        if answer.status_code == 200:
            tally.counted[plan_id] += 1
        elif answer.status_code == 409:
            tally.conflicts += 1
        else:
            tally.errors.append(f"{answer.status_code} {answer.text[:200]}")


async def all_at_once(url: str, keys: dict[str, str], seconds: float, tally: Tally) -> None:
    plans = list(keys.items())
    limits = httpx.Limits(max_connections=CLIENTS, max_keepalive_connections=CLIENTS)
    async with httpx.AsyncClient(base_url=url, timeout=60, limits=limits, verify=False) as client:
        until = time.monotonic() + seconds
        clients = [count_up(client, *plans[n % len(plans)], until, tally) for n in range(CLIENTS)]
        await asyncio.gather(*clients)


def load(database_url: str, seconds: float, folder: Path) -> None:
    store = Store(database_url)
    made = [store.create(a_plan(f"Shared {n}")) for n in range(SHARED)]
    keys = {saved.id: str(saved.edit_key) for saved in made}
    start = made[0].plan.seed
    tally = Tally(counted=dict.fromkeys(keys, 0))
    planner = Planner(database_url, folder / "log", workers=2, settings=NO_RATES)
    planner.start()
    try:
        asyncio.run(all_at_once(planner.url, keys, seconds, tally))
    finally:
        planner.kill()
    kind = database_url.split(":")[0]
    for what, times in (("saves", tally.saves), ("reads", tally.reads)):
        cuts = statistics.quantiles(times, n=20)
        print(
            f"\n{kind}: {CLIENTS} clients, {seconds:g} s: {len(times) / seconds:.0f} {what}/s, "
            f"median {cuts[9] * 1000:.0f} ms, 95 % within {cuts[18] * 1000:.0f} ms, "
            f"slowest {max(times) * 1000:.0f} ms",
            end="",
        )
    print(f"; {tally.conflicts} conflicts told; {len(tally.errors)} errors")
    assert tally.errors == []
    assert all(tally.counted.values())  # or nothing was proved
    for plan_id, counted in tally.counted.items():
        assert store.load(plan_id).plan.seed == start + counted  # an update lost would leave it short
        kept = sum(len(store.versions(plan_id, page, rows=500)) for page in range(1, 40))
        asides = sum(
            line.why == "aside" for page in range(1, 40) for line in store.versions(plan_id, page, rows=500)
        )
        assert kept == 1 + counted + asides
    store.close()


def test_clients_at_once(url: str, tmp_path: Path) -> None:
    load(url, 3, tmp_path)


@pytest.mark.long
def test_clients_at_once_for_half_a_minute(url: str, tmp_path: Path) -> None:
    load(url, 30, tmp_path)
