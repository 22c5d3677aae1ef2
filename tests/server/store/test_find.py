"""The shelf with ten thousand plans, in ratios from one run: a page takes no longer than with a hundred."""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable
from functools import partial

from sqlalchemy import insert

from server.store import find
from server.store.planfile import canonical
from server.store.tables import plans, tags, versions
from server.store.versions import Store
from tests.server.samples import a_plan

WORDS = [
    "garden",
    "path",
    "moor",
    "heather",
    "blue",
    "tumble",
    "wedding",
    "café",
    "hedge",
    "river",
    "star",
    "wreath",
]


def fill(store: Store, many: int) -> None:
    rng = random.Random(many)
    now = time.time()
    rows, bodies, labels = [], [], []
    for n in range(many):
        name = " ".join(rng.sample(WORDS, 3)) + f" {n}"
        plan = a_plan(name, tags=tuple(rng.sample(["gift", "bed", "baby", "wall", "guild"], 2)))
        plan_id = "".join(rng.choice("abcdefghijklmnopqrstuvwxyz234567") for _ in range(20))
        row = {
            "id": plan_id,
            "head": 1,
            "latest": 1,
            "made_at": now - n,
            "changed_at": now - rng.random() * 1e6,
        }
        rows.append(row | find.found_by(plan))
        bodies.append(
            {
                "plan_id": plan_id,
                "version": 1,
                "base": 0,
                "why": "made",
                "saved_at": now,
                "body": canonical(plan),
            }
        )
        labels += [{"plan_id": plan_id, "tag": tag} for tag in plan.tags]
    with store.database.writing() as connection:
        for table, lines in ((plans, rows), (versions, bodies), (tags, labels)):
            connection.execute(insert(table), lines)


def median_ms(work: Callable[[], object], clock: Callable[[], float], times: int = 15) -> float:
    taken = []
    for _ in range(times):
        began = clock()
        work()
        taken.append((clock() - began) * 1000)
    return statistics.median(taken)


LOOKS: dict[str, Callable[[Store], object]] = {
    "first page": lambda store: store.search(),
    "last page": lambda store: store.search(page=10**6),
    "by name, in the middle": lambda store: store.search(sort="name", page=200),
    "two words": lambda store: store.search("garden caf"),
    "nothing found": lambda store: store.search("zzz"),
    "one tag": lambda store: store.search(tag="gift", page=3),
    "tags in use": lambda store: store.tags(),
}


def test_ten_thousand_plans(url: str) -> None:
    store = Store(url)
    # SQLite works in this process: its own time, whatever else the machine does; PostgreSQL by the clock.
    clock = time.process_time if url.startswith("sqlite") else time.perf_counter
    fill(store, 100)
    small = {what: median_ms(partial(look, store), clock) for what, look in LOOKS.items()}
    fill(store, 9_900)
    assert store.search().total == 10_000
    print(f"\n{url.split(':')[0]}: 10,000 plans, milliseconds (with 100 plans)")
    for what, look in LOOKS.items():
        large = median_ms(partial(look, store), clock)
        print(f"  {what:24} {large:7.1f} ({small[what]:.1f})")
    rows = store.search(sort="name", page=3).rows
    assert len(rows) == find.ROWS
    assert [find.folded(row.name) for row in rows] == sorted(find.folded(row.name) for row in rows)
    store.close()


def test_pages_come_from_an_index(sqlite_url: str) -> None:
    """No sort of the whole shelf for a page of it: the reason that it stays quick, checked without a clock."""
    store = Store(sqlite_url)
    fill(store, 200)
    for sort, index in (
        ("newest", "plans_by_change"),
        ("oldest", "plans_by_change"),
        ("name", "plans_by_name"),
    ):
        order = ", ".join(str(column) for column in find._ORDER[sort])
        with store.database.reading() as connection:
            steps = connection.exec_driver_sql(
                f"EXPLAIN QUERY PLAN SELECT * FROM plans WHERE deleted_at IS NULL ORDER BY {order} LIMIT 24"
            ).all()
        told = " ".join(str(step) for step in steps)
        assert index in told, told
        assert "TEMP B-TREE" not in told, told
    store.close()
