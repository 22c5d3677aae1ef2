"""A guild's planner under mixed load, first without hostile requests, then with one in five.

    .venv/bin/python -m tests.benchmarks.hostile [SECONDS]    of each half; 300 makes ten minutes

Cheap pages are looked at, plans saved, a fill now and then; what comes hostile is refused, too slow, or costly.
What counts: the 99th percentile of cheap pages in the second half to that in the first; memory, errors, lost saves.
Before both, what the planner keeps (solved plans, fills, paths) is filled to its bounds: memory that grows after
that has none.
"""

from __future__ import annotations

import asyncio
import json
import os
import random
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import httpx

from server.store.links import pack
from server.store.versions import Store
from tests.server.attack import PLAN
from tests.server.samples import a_plan
from tests.server.serving import Planner

A_SECOND = 12.0  # honest requests
HOSTILE_SHARE = 0.2
CHEAP = ("/look.css", "/shelf", "/health", "/static/cornerwise.css", "/enter", "/api/plans")
FILLING, LARGE_PLAYBACKS = 150, 8  # plans, and orders of stitching, that are more than it keeps
KEPT_BYTES = 16_000_000  # of what was drawn: full by then
DEEP = b'{"plan":"' + b'\\"' * 120_000
WIDE = b'{"plan":{"tags":[' + b'"a",' * 60_000 + b'"a"]}}'


@dataclass
class Half:
    """What came of one half: seconds of each cheap page, saves that were acknowledged, errors, refusals."""

    cheap: list[float] = field(default_factory=list)
    saved: list[str] = field(default_factory=list)
    errors: Counter[str] = field(default_factory=Counter)
    hostile: Counter[int] = field(default_factory=Counter)
    memory: list[tuple[float, int, int]] = field(default_factory=list)  # when, of the planner, of its workers

    @property
    def grown(self) -> str:
        """Memory of the planner and of its workers: at the beginning, and the means of each third."""
        begin, end = self.memory[0][0], self.memory[-1][0]
        thirds: list[list[tuple[int, int]]] = [[], [], []]
        for when, *sizes in self.memory:
            thirds[min(2, int(3 * (when - begin) / (end - begin)))].append((sizes[0], sizes[1]))
        means = [
            " and ".join(f"{sum(sizes) / len(sizes):.0f}" for sizes in zip(*third, strict=True))
            for third in thirds
        ]
        return f"MB of planner and workers, by thirds: {', '.join(means)}"

    @property
    def p99(self) -> float:
        """Seconds of all but one in a hundred of the cheap pages."""
        return sorted(self.cheap)[int(0.99 * (len(self.cheap) - 1))]


def compared(seconds: float, *, filled: bool = False) -> tuple[Half, Half, int]:
    """Both halves on one planner, and how many acknowledged saves are not on the shelf afterwards.

    filled: what it keeps is full before the first.
    """
    folder = Path(tempfile.mkdtemp(prefix="cornerwise-"))
    url = f"sqlite:///{folder / 'plans.db'}"
    settings = {"CORNERWISE_PROXIES": "127.0.0.1", "CORNERWISE_KEPT_BYTES": str(KEPT_BYTES)}
    planner = Planner(url, folder / "log", settings=settings)
    planner.start()
    try:
        if filled:
            asyncio.run(_fill(planner))
        quiet = asyncio.run(_half(planner, seconds, 0.0))
        loud = asyncio.run(_half(planner, seconds, HOSTILE_SHARE))
    finally:
        planner.kill()
    store = Store(url)
    lost = sum(store.load(one).plan.name != PLAN["name"] for one in quiet.saved + loud.saved)
    store.close()
    return quiet, loud, lost


async def _fill(planner: Planner) -> None:
    """Ask for more than it keeps of everything."""
    async with httpx.AsyncClient(base_url=planner.url, timeout=120) as client:
        for n in range(FILLING):
            sides = dict.fromkeys(("top", "right", "bottom", "left"), 60 + n / 4)
            plan = a_plan(sides_in=sides, tin_in=(3.0, 3.5, 4.0, 4.5, 5.0))
            headers = {"X-Forwarded-For": f"192.0.2.{n % 50}"}
            asked = [("GET", f"/plans/{pack(plan)}/chalk", None), ("POST", "/api/proposals", plan)]
            if n < LARGE_PLAYBACKS:
                asked.append(("GET", f"/playback?{_typed(sides)}&border=8&tin_in=3;3.5;4;4.5;5", None))
            for method, path, body in asked:
                sent = body.model_dump(mode="json") if body else None
                (await client.request(method, path, json=sent, headers=headers)).raise_for_status()


async def _half(planner: Planner, seconds: float, share: float) -> Half:
    half, rng = Half(), random.Random(5)
    limits = httpx.Limits(max_connections=300)
    async with httpx.AsyncClient(base_url=planner.url, timeout=60, limits=limits) as client:
        for _ in range(3):  # the first of everything is not counted
            await _honest(client, Half(), rng)
        until, asked = time.monotonic() + seconds, set[asyncio.Task[None]]()
        while time.monotonic() < until:
            asked.add(asyncio.create_task(_honest(client, half, rng)))
            if rng.random() < share / (1 - share):
                asked.add(asyncio.create_task(_hostile(client, planner, half, rng)))
            asked = {one for one in asked if not one.done()}
            if len(half.cheap) % 50 == 0:
                half.memory.append((time.monotonic(), *_memory(planner)))
            await asyncio.sleep(rng.expovariate(A_SECOND))
        if asked:
            await asyncio.wait(asked, timeout=60)
    half.memory.append((time.monotonic(), *_memory(planner)))
    return half


async def _honest(client: httpx.AsyncClient, half: Half, rng: random.Random) -> None:
    headers = {"X-Forwarded-For": f"198.51.100.{rng.randrange(50)}"}
    what = rng.random()
    try:
        if what < 0.05:
            answer = await client.post("/api/plans", json={"plan": PLAN}, headers=headers)
            if answer.status_code == 201:
                half.saved.append(answer.json()["id"])
        elif what < 0.07:
            answer = await client.get(f"/fill.svg?plan={pack(a_plan(tin_in=(4.0, 5.0)))}", headers=headers)
        else:
            began = time.monotonic()
            answer = await client.get(rng.choice(CHEAP), headers=headers)
            half.cheap.append(time.monotonic() - began)
        if answer.status_code >= 500:
            half.errors[f"{answer.status_code} {answer.request.url.path}"] += 1
    except httpx.TransportError as trouble:
        half.errors[repr(trouble)] += 1


async def _hostile(client: httpx.AsyncClient, planner: Planner, half: Half, rng: random.Random) -> None:
    headers = {"X-Forwarded-For": f"203.0.113.{rng.randrange(50)}", "Content-Type": "application/json"}
    what = rng.randrange(8)
    try:
        if what == 0:
            answer = await client.post("/api/plans", content=DEEP, headers=headers)
        elif what == 1:
            answer = await client.post("/api/proposals", content=WIDE, headers=headers)
        elif what == 2:
            answer = await client.get("/shelf", headers={**headers, "Host": "evil{x.example"})
        elif what == 3:
            answer = await client.get("/open", params={"plan": "c1." + "A" * 7000}, headers=headers)
        elif what == 4:
            answer = await client.post("/enter", data={"password": str(rng.random())})
        elif what == 5:
            await _left(planner, f"/playback?{_sides(rng)}&border=8&tin_in=3;3.5;4;4.5;5")
            return
        elif what == 6:
            plan = json.loads(json.dumps(PLAN)) | {"tin_in": [2 + n / 8 for n in range(60)]}
            plan["sides_in"] = dict.fromkeys(plan["sides_in"], 200 + rng.random())
            plan["ease_limits"] = {"lift_in": 0.25, "gap_in": 0.25}
            answer = await client.post("/api/proposals", json=plan, headers=headers)
        else:
            await _left(planner, None)
            return
        half.hostile[answer.status_code] += 1
        if answer.status_code == 500:
            half.errors[f"500 {answer.request.url.path}"] += 1
    except httpx.TransportError:
        half.hostile[0] += 1


async def _left(planner: Planner, path: str | None) -> None:
    """Ask and leave after two seconds; without a path, never end the head."""
    _, wire = await asyncio.open_connection("127.0.0.1", planner.port)
    end = "" if path is None else "\r\n\r\n"
    wire.write(f"GET {path or '/'} HTTP/1.1\r\nHost: quilts.example{end}".encode())
    await asyncio.sleep(2)
    wire.close()


def _sides(rng: random.Random) -> str:
    size = 80 + rng.randrange(200) / 8
    return _typed(dict.fromkeys(("top", "right", "bottom", "left"), size))


def _typed(sides: dict[str, float]) -> str:
    return "&".join(f"sides_in.{side}={size}" for side, size in sides.items())


def _memory(planner: Planner) -> tuple[int, int]:
    """MB of the planner, and of its workers and all else it started; shared pages shared out."""
    first = planner.process.pid if planner.process else 0
    planner_kb = workers_kb = 0
    for folder in Path("/proc").iterdir():
        if folder.name.isdigit():
            try:
                if os.getsid(int(folder.name)) == first:
                    lines = (folder / "smaps_rollup").read_text().splitlines()
                    kb = next(int(line.split()[1]) for line in lines if line.startswith("Pss:"))
                    if int(folder.name) == first:
                        planner_kb += kb
                    else:
                        workers_kb += kb
            except (OSError, StopIteration):
                continue
    return planner_kb // 1024, workers_kb // 1024


def main(seconds: float) -> None:
    quiet, loud, lost = compared(seconds, filled=True)
    for name, half in (("without", quiet), ("with hostile requests", loud)):
        print(
            f"{name}: {len(half.cheap)} cheap pages, p50 {sorted(half.cheap)[len(half.cheap) // 2] * 1000:.0f} ms, "
            f"p99 {half.p99 * 1000:.0f} ms; {len(half.saved)} saves; errors {dict(half.errors)}; "
            f"{half.grown}"
        )
    print(f"hostile answers: {dict(sorted(loud.hostile.items()))}")
    print(f"p99 with to without: {loud.p99 / quiet.p99:.1f} (at most 3 wanted); saves lost: {lost}")


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 300)
