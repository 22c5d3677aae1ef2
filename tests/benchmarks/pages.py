"""Pages against a bare one of the same size, a comparison against one page, and many clients against one."""

from __future__ import annotations

import asyncio
import logging
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from itertools import count, repeat
from pathlib import Path

import httpx
from fastapi import FastAPI
from fastapi.responses import HTMLResponse
from fastapi.testclient import TestClient

from planner.demo import demo_plan
from planner.plan import SIDES
from planner.solver.changes import apply_change
from server.app import create_app
from server.pages.forms import values_of
from server.settings import Settings
from server.store.versions import Store
from tests.benchmarks.table import Row, quickest
from tests.server.samples import a_plan
from tests.server.serving import NO_RATES, Planner
from tests.server.store.test_load import Tally, count_up

WIDTHS = "5; 5 1/2; 6; 6 1/2; 7; 7 1/2; 8; 8 1/2; 9"
CLIENTS, CLIENTS_S = 64, 5.0


def pages() -> Iterator[Row]:
    """First: a plan that nobody looked at before. Again: it was."""
    logging.getLogger("httpx").setLevel(logging.WARNING)
    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Settings(database_url=f"sqlite:///{folder}/plans.db"))
        with TestClient(app, base_url="http://127.0.0.1", client=("127.0.0.1", 50000)) as planner:
            plan = repeat(values_of(demo_plan()))
            one, nine = _look(planner, "/", plan), _look(planner, "/compare", plan, widths=WIDTHS)
            following = _look(planner, "/drawing", plan)
            size = len(one().content)
            bare, again, live, nine_again = quickest(_bare(one().text), one, following, nine, times=10)
            news = [_look(planner, "/", unseen(0)), _look(planner, "/compare", unseen(1), widths=WIDTHS)]
            first, nine_first = quickest(*news, times=5)
            yield Row(f"bare page of {size / 1000:.0f} kB", bare, "1")
            yield Row("plan page, again", again, f"{again / bare:.1f} bare pages")
            yield Row("plan page, first", first, f"{first / bare:.0f} bare pages")
            yield Row("drawing alone, while she types", live, f"{live / bare:.1f} bare pages")
            yield Row("nine widths, first", nine_first, f"{nine_first / first:.1f} plan pages, first")
            yield Row("nine widths, again", nine_again, f"{nine_again / again:.1f} plan pages, again")


def unseen(odd: int) -> Iterator[dict[str, str]]:
    """The form of one quilt after another that is a little longer: whatever is kept of plans, theirs is not."""
    plan = demo_plan()
    for n in count(1):
        longer = {f"sides_in.{side}": plan.sides_in.of(side) + (2 * n + odd) / 8 for side in SIDES}
        yield values_of(apply_change(plan, longer))


def _look(
    client: TestClient, address: str, forms: Iterator[dict[str, str]], **more: str
) -> Callable[[], httpx.Response]:
    """Each look at an address with the next form."""

    def look() -> httpx.Response:
        answer: httpx.Response = client.get(address, params={**next(forms), **more})
        answer.raise_for_status()
        return answer

    return look


def _bare(text: str) -> Callable[[], httpx.Response]:
    """The same page from an application that does nothing but send it."""
    app = FastAPI()

    @app.get("/")
    def page() -> HTMLResponse:
        return HTMLResponse(text)

    client = TestClient(app)
    return lambda: client.get("/")


def clients() -> Iterator[Row]:
    """Each reads a plan, changes it and saves it, over and over; four of the many share a plan."""
    alone = 0.0
    for number in (1, CLIENTS):
        with tempfile.TemporaryDirectory() as folder:
            tally = _busy(number, Path(folder))
        done = (len(tally.reads) + len(tally.saves)) / CLIENTS_S
        alone = alone or done
        yield Row(
            f"{number} at once, {len(tally.errors)} errors; one save (clock)",
            statistics.median(tally.saves),
            f"{done:.0f} answers a second, {done / alone:.1f} times one's",
        )


def _busy(number: int, folder: Path) -> Tally:
    url = f"sqlite:///{folder}/plans.db"
    store = Store(url)
    made = [store.create(a_plan(f"Plan {n}")) for n in range((number + 3) // 4)]
    store.close()
    tally = Tally(counted={plan.id: 0 for plan in made})
    planner = Planner(url, folder / "log", settings=NO_RATES)
    planner.start()

    async def all_at_once() -> None:
        limits = httpx.Limits(max_connections=number)
        async with httpx.AsyncClient(base_url=planner.url, timeout=60, limits=limits) as client:
            until = time.monotonic() + CLIENTS_S
            plans = [made[n % len(made)] for n in range(number)]
            await asyncio.gather(
                *(count_up(client, plan.id, str(plan.edit_key), until, tally) for plan in plans)
            )

    try:
        asyncio.run(all_at_once())
    finally:
        planner.kill()
    return tally
