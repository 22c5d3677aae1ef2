"""The store keeps every version, tells conflicts, finds plans, and lets in who holds a key."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from planner.plan import Plan
from server.store import find
from server.store.archive import read_shelf, write_shelf
from server.store.database import NotFound, StoreError
from server.store.keys import MOST_KEYS, NotAllowed, Opens, hash_of, new_key
from server.store.planfile import canonical
from server.store.versions import Conflict, Full, Store
from tests.server.samples import a_plan, renamed


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    opened = Store(url)
    yield opened
    opened.close()


def test_every_save_is_a_version_and_comes_back_as_it_was(store: Store) -> None:
    made = store.create(a_plan("One", typed={"sides_in.top": "80"}, tags=("gift",)))
    second = store.save(made.id, renamed(made.plan, "Two"), base_version=1)
    third = store.save(made.id, renamed(made.plan, "Three"), base_version=2)
    assert [second.version, third.version] == [2, 3]
    assert [store.load(made.id, n).plan.name for n in (1, 2, 3)] == ["One", "Two", "Three"]
    assert store.load(made.id, 1).plan == made.plan
    assert store.load(made.id).version == 3
    assert [(v.version, v.base, v.why) for v in store.versions(made.id)] == [
        (3, 2, "saved"),
        (2, 1, "saved"),
        (1, 0, "made"),
    ]


def test_history_comes_in_pages(store: Store) -> None:
    made = store.create(a_plan())
    for n in range(1, 6):
        store.save(made.id, renamed(made.plan, f"v{n}"), base_version=n)
    assert [v.version for v in store.versions(made.id, page=2, rows=2)] == [4, 3]


def test_a_second_save_from_the_same_version_is_told_and_kept(store: Store) -> None:
    made = store.create(a_plan("Ours"))
    store.save(made.id, renamed(made.plan, "Hers"), base_version=1)
    with pytest.raises(Conflict) as told:
        store.save(made.id, renamed(made.plan, "His"), base_version=1)
    assert (told.value.theirs.plan.name, told.value.mine.plan.name) == ("Hers", "His")
    assert (told.value.theirs.version, told.value.mine.version, told.value.base) == (2, 3, 1)
    assert store.load(made.id).plan.name == "Hers"
    assert store.load(made.id, 3).plan.name == "His"
    assert store.versions(made.id)[0].why == "aside"
    taken = store.restore(made.id, 3)
    assert (taken.version, taken.plan.name, store.load(made.id).plan.name) == (4, "His", "His")
    assert store.load(made.id, 2).plan.name == "Hers"


def test_saving_on_after_a_conflict_builds_on_the_head(store: Store) -> None:
    made = store.create(a_plan())
    store.save(made.id, renamed(made.plan, "b"), 1)
    with pytest.raises(Conflict):
        store.save(made.id, renamed(made.plan, "c"), 1)
    assert store.save(made.id, renamed(made.plan, "d"), 2).version == 4


def test_a_save_sent_twice_is_one_version(store: Store) -> None:
    made = store.create(a_plan("One"))
    for _ in range(2):
        assert store.save(made.id, renamed(made.plan, "Two"), base_version=1).version == 2
    assert len(store.versions(made.id)) == 2


def test_a_base_that_never_was_changes_nothing(store: Store) -> None:
    made = store.create(a_plan())
    for base in (0, -1, 7, 10**30):
        with pytest.raises(NotFound):
            store.save(made.id, renamed(made.plan, "x"), base)
    assert len(store.versions(made.id)) == 1


def test_writers_at_once_lose_nothing(store: Store) -> None:
    made = store.create(a_plan())
    kept: list[str] = []

    def write(who: int) -> None:
        for n in range(10):
            plan = renamed(made.plan, f"{who}/{n}")
            try:
                store.save(made.id, plan, store.load(made.id).version)
            except Conflict as told:
                assert told.mine.plan == plan
            kept.append(plan.name)

    threads = [threading.Thread(target=write, args=(who,)) for who in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    history = store.versions(made.id, rows=200)
    assert len(kept) == 80
    assert sorted(v.version for v in history) == list(range(1, 82))
    assert {store.load(made.id, v.version).plan.name for v in history} == {*kept, made.plan.name}


def test_deleting_can_be_undone(store: Store) -> None:
    made = store.create(a_plan("Binned"))
    store.delete(made.id)
    with pytest.raises(NotFound, match="bin"):
        store.load(made.id)
    with pytest.raises(NotFound, match="bin"):
        store.save(made.id, made.plan, 1)
    assert store.search().total == 0
    assert [row.name for row in store.search(deleted=True).rows] == ["Binned"]
    store.undelete(made.id)
    assert store.load(made.id).plan == made.plan
    assert made.view_key is not None
    assert store.keyring.may(made.id, key=made.view_key) == "view"


@pytest.mark.parametrize(
    "plan_id", ["", "nosuch", "../../etc/passwd", "a" * 20, "A" * 20, "a" * 19 + "\n", "'--"]
)
def test_ids_that_are_none(store: Store, plan_id: str) -> None:
    with pytest.raises(NotFound):
        store.load(plan_id)


def test_keys_open_what_they_should_and_are_kept_nowhere(sqlite_url: str, tmp_path: Path) -> None:
    store = Store(sqlite_url)
    made = store.create(a_plan())
    other = store.create(a_plan())
    may = store.keyring.may
    assert made.edit_key and made.view_key and other.edit_key
    assert may(made.id, key=made.edit_key) == "edit"
    assert may(made.id, key=made.view_key) == "view"
    for wrong in ("", "x", other.edit_key, made.edit_key[:-1], made.edit_key + "A", new_key(), "é" * 43):
        assert may(made.id, key=wrong) is None
    with pytest.raises(NotAllowed):
        store.save(made.id, made.plan, 1, edit_key=made.view_key)
    with pytest.raises(NotAllowed):
        store.save(made.id, made.plan, 1, edit_key="")
    assert store.save(made.id, renamed(made.plan, "n"), 1, edit_key=made.edit_key).version == 2
    raw = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    store.close()
    raw += b"".join(file.read_bytes() for file in tmp_path.iterdir())
    assert made.edit_key.encode() not in raw
    assert made.view_key.encode() not in raw
    assert hash_of(made.edit_key).encode() in raw  # the judge can see


def test_renewed_keys_stop_the_old_ones_on_every_ring(store: Store) -> None:
    made = store.create(a_plan())
    ring = new_key()
    assert made.edit_key
    assert store.keyring.hold(ring, made.id, made.edit_key) == Opens("edit")
    assert store.keyring.hold(ring, made.id, made.edit_key) == Opens("edit")
    assert store.keyring.hold(ring, made.id, new_key()) is None
    assert store.keyring.may(made.id, ring=ring) == "edit"
    assert store.search(ring=ring).total == 1
    assert store.search(ring=new_key()).total == 0
    keys = store.renew_keys(made.id)
    assert store.keyring.may(made.id, ring=ring) is None
    assert store.keyring.may(made.id, key=made.edit_key) is None
    assert store.keyring.may(made.id, key=keys.edit) == "edit"
    assert store.keyring.may(made.id, key=keys.view) == "view"
    assert store.search(ring=ring).total == 0


def test_links_of_a_plan_are_bounded(store: Store) -> None:
    made = store.create(a_plan())
    for _ in range(MOST_KEYS - 3):
        store.keyring.add(made.id, "view")
    with pytest.raises(StoreError, match="links already"):
        store.keyring.add(made.id, "view")


def test_plans_are_found_by_words_tags_and_order(store: Store) -> None:
    for name, tags in (("Café garden", ("gift", "2027")), ("Zinnia", ("gift",)), ("apple 100%", ())):
        store.create(a_plan(name, tags=tags))
    named = [row.name for row in store.search(sort="name").rows]
    assert named == ["apple 100%", "Café garden", "Zinnia"]
    assert [row.name for row in store.search().rows] == ["apple 100%", "Zinnia", "Café garden"]
    assert [row.name for row in store.search(sort="oldest").rows] == ["Café garden", "Zinnia", "apple 100%"]
    assert [row.name for row in store.search("CAFE gard").rows] == ["Café garden"]
    assert [row.name for row in store.search("0%").rows] == ["apple 100%"]
    assert store.search("%").total == 1
    assert store.search("_").total == 0
    assert store.search(tag="gift").total == 2
    assert store.search("zinnia", tag="2027").total == 0
    assert store.tags() == [("gift", 2), ("2027", 1)]
    assert store.search(page=99).page == 1
    assert store.search(tag="gift", sort="oldest").rows[0].tags == ("2027", "gift")


def test_a_copy_is_a_plan_of_its_own(store: Store) -> None:
    made = store.create(a_plan("x" * 120, tags=("gift",)))
    copy = store.duplicate(made)
    assert copy.id != made.id
    assert copy.plan.name.endswith("(copy)")
    store.save(copy.id, renamed(copy.plan, "changed"), 1)
    assert store.load(made.id).plan == made.plan
    assert copy.edit_key
    assert store.keyring.may(made.id, key=copy.edit_key) is None


def test_awkward_names_come_back_as_typed(store: Store) -> None:
    farmers = "👩‍🌾" * 20
    for name in (
        "",
        "\x00",
        "a\r\nSet-Cookie: b=c",
        "<script>alert(1)</script>",
        "縁取り",
        farmers,
        "\u202eevil",
    ):
        made = store.create(a_plan(name, tags=(name[:40],)))
        assert store.load(made.id).plan == made.plan
    assert all(c.isprintable() for row in store.search().rows for c in row.name)


def test_processes_may_open_a_new_database_at_once(url: str) -> None:
    code = f"from server.store.versions import Store; s = Store({url!r}); print(s.search().total)"
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        for _ in range(4)
    ]
    for run in runs:
        out, error = run.communicate(timeout=60)
        assert (run.returncode, out.strip()) == (0, "0"), error


def test_sqlite_is_durable(sqlite_url: str) -> None:
    store = Store(sqlite_url)
    with store.database.writing() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 2  # FULL
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1


def test_the_body_is_canonical(sqlite_url: str, tmp_path: Path) -> None:
    made = Store(sqlite_url).create(a_plan("é"))
    body = sqlite3.connect(tmp_path / "plans.db").execute("SELECT body FROM versions").fetchone()[0]
    assert body == canonical(made.plan)
    assert body.isascii()
    assert canonical(Plan.model_validate_json(body)) == body


def test_an_open_database_needs_no_migration_tool(sqlite_url: str) -> None:
    Store(sqlite_url).close()
    code = f"from server.store.versions import Store; Store({sqlite_url!r})"
    code += "; import sys; print('alembic' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_a_full_shelf_says_so_and_keeps_what_is_on_it(url: str) -> None:
    store = Store(url, most_plans=2)
    made = [store.create(a_plan(f"Quilt {n}")) for n in range(2)]
    with pytest.raises(Full, match="2 plans"):
        store.create(a_plan("One too many"))
    assert store.save(made[0].id, renamed(made[0].plan, "Wider"), 1).version == 2
    assert store.search().total == 2
    store.close()
    small = Store(url, most_bytes=1)
    with pytest.raises(Full):
        small.save(made[1].id, renamed(made[1].plan, "Wider"), 1)
    assert small.load(made[1].id).version == 1
    small.close()


def test_the_whole_shelf_is_of_one_moment(
    store: Store, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Others save and bin while its pages are turned: no plan stands there twice, and none is left out."""
    made = {store.create(a_plan(f"Quilt {n:02}")).id for n in range(60)}
    search = find.search

    def while_others_work(*given: Any, **more: Any) -> find.Page:
        page = search(*given, **more)
        with monkeypatch.context() as once:
            once.setattr(find, "search", search)
            store.create(a_plan("A first one"))
            store.delete(store.search(sort="name", page=3).rows[0].id)
        return page

    monkeypatch.setattr(find, "search", while_others_work)
    shown = [row.id for row in store.shelf()]
    assert len(shown) == len(set(shown))
    assert set(shown) == made
    monkeypatch.undo()
    with (tmp_path / "shelf.zip").open("wb") as out:
        write_shelf(store, ((plan_id, None) for plan_id in shown), out)
    there = Store(f"sqlite:///{tmp_path / 'there.db'}")
    binned = {row.id for row in store.search(deleted=True).rows}
    assert read_shelf(there, (tmp_path / "shelf.zip").read_bytes()).plans == 60 - len(binned & made)
    there.close()


def test_a_save_that_came_second_is_kept_once_however_often_it_is_sent(store: Store) -> None:
    made = store.create(a_plan("Hers"))
    store.save(made.id, renamed(made.plan, "His"), 1)
    for _ in range(2):
        with pytest.raises(Conflict) as told:
            store.save(made.id, renamed(made.plan, "Hers, wider"), 1)
        assert told.value.mine.version == 3
    with pytest.raises(Conflict) as told:
        store.save(made.id, renamed(made.plan, "Hers, wider still"), 1)
    assert told.value.mine.version == 4


def test_a_version_names_what_it_was_made_from_and_who_saved_it(store: Store) -> None:
    """Also where she took an older version than the plan; the plan as she saw it then is what it comes after."""
    made = store.create(a_plan("One"), by="Ada")
    store.save(made.id, renamed(made.plan, "Two"), 1)
    third = store.save(made.id, renamed(made.plan, "One, mended"), 1, onto=2, by="Bess")
    assert (third.version, third.head, third.base) == (3, 3, 1)
    assert [(v.version, v.base, v.by) for v in store.versions(made.id)] == [
        (3, 1, "Bess"),
        (2, 1, ""),
        (1, 0, "Ada"),
    ]
    assert (store.load(made.id).by, store.restore(made.id, 2, by="Cora").by) == ("Bess", "Cora")
    with pytest.raises(Conflict):
        store.save(made.id, renamed(made.plan, "One, mended again"), 1, onto=3)
