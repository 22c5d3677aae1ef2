"""Many new plans at once on a real planner: what the middle one waits, against what the cores allow.

The ideal is of the same run: every plan is solved once in as many bare processes as there are cores, by the same
clock and beside whatever else the machine does; half of that is the median wait where nothing is lost.
"""

from __future__ import annotations

import asyncio
import os
import statistics
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from itertools import islice
from multiprocessing import get_context
from pathlib import Path

import httpx

from planner.solver import propose
from server.pages.forms import read
from tests.benchmarks.pages import unseen
from tests.benchmarks.table import Row
from tests.server.serving import NO_RATES, Planner

MANY = 64
VISITORS = 16


def crowd() -> Iterator[Row]:
    """New plans of several visitors, all asked for in one moment."""
    forms = list(islice(unseen(0), MANY))
    cores = os.cpu_count() or 1
    with ProcessPoolExecutor(cores, get_context("forkserver")) as bare:
        list(bare.map(_solved, list(islice(unseen(1), cores))))  # everything is imported
        begun = time.monotonic()
        used = sum(bare.map(_solved, forms))
        alone = time.monotonic() - begun
    waits = _waits(forms)
    median, ideal = statistics.median(waits), alone / 2
    yield Row(f"{MANY} new plans in {cores} bare processes (clock)", alone, f"{used:.1f} s of processor time")
    yield Row(f"{MANY} at once of a planner, the middle wait", median, f"{median / ideal:.1f} of the ideal")
    yield Row("   the longest", max(waits), f"{max(waits) / alone:.1f} of all in bare processes")


def _solved(form: dict[str, str]) -> float:
    begun, plan = time.process_time(), read(form).plan
    assert plan is not None
    propose(plan)
    return time.process_time() - begun


def _waits(forms: list[dict[str, str]]) -> list[float]:
    """Seconds until each page is there, of a guild's planner that has just been started and looked at once."""
    with tempfile.TemporaryDirectory(prefix="cornerwise-") as folder:
        settings = {**NO_RATES, "CORNERWISE_PROXIES": "127.0.0.1"}
        planner = Planner(f"sqlite:///{folder}/plans.db", Path(folder) / "log", settings=settings)
        planner.start()
        try:
            return asyncio.run(_all_at_once(planner.url, forms))
        finally:
            planner.kill()


async def _all_at_once(url: str, forms: list[dict[str, str]]) -> list[float]:
    limits = httpx.Limits(max_connections=MANY)
    async with httpx.AsyncClient(base_url=url, timeout=120, limits=limits) as client:

        async def wait_for(n: int, form: dict[str, str]) -> float:
            begun = time.monotonic()
            headers = {"X-Forwarded-For": f"198.51.100.{n % VISITORS}"}
            answer = await client.get("/", params=form, headers=headers)
            answer.raise_for_status()
            return time.monotonic() - begun

        for form in islice(unseen(1), 4):
            await asyncio.gather(*(wait_for(n, form) for n in range(4)))
        return await asyncio.gather(*(wait_for(n, form) for n, form in enumerate(forms)))
