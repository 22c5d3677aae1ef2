"""A damaged database: noticed, never taken for an empty one, and read as far as anything of it is left."""

from __future__ import annotations

import random
import sqlite3
from pathlib import Path

import pytest

from server.store.archive import read_shelf
from server.store.database import StorageTrouble, StoreError
from server.store.rescue import rescue
from server.store.versions import Conflict, Store
from tests.server.attack import held
from tests.server.samples import a_plan, renamed


def full(folder: Path, plans: int = 60) -> tuple[Path, dict[tuple[str, int], str]]:
    """A closed database, and the name of every version in it."""
    file = folder / "plans.db"
    store, kept = Store(f"sqlite:///{file}"), {}
    for n in range(plans):
        long = {f"note{m}": "x" * 40 for m in range(59)} if n % 7 == 0 else {}  # more than a page holds
        saved = store.create(a_plan(f"Quilt {n}", typed=long))
        kept[saved.id, 1] = saved.plan.name
        again = store.save(saved.id, renamed(saved.plan, f"Quilt {n}, wider"), 1)
        kept[saved.id, 2] = again.plan.name
    with pytest.raises(Conflict) as told:
        store.save(saved.id, renamed(saved.plan, "His"), 1)
    kept[saved.id, 3] = told.value.mine.plan.name
    store.close()
    return file, kept


def brought(archive: Path, folder: Path) -> dict[tuple[str, int], str]:
    store = Store(f"sqlite:///{folder / 'new.db'}")
    read_shelf(store, archive.read_bytes())
    rows = sqlite3.connect(folder / "new.db").execute("SELECT plan_id, version FROM versions").fetchall()
    return {(one, number): store.load(one, number).plan.name for one, number in rows}


def test_it_is_closed_with_everything_in_its_one_file(tmp_path: Path) -> None:
    file, kept = full(tmp_path, 5)
    assert not Path(f"{file}-wal").exists() or Path(f"{file}-wal").stat().st_size == 0
    other = tmp_path / "elsewhere.db"
    other.write_bytes(file.read_bytes())
    assert sqlite3.connect(other).execute("SELECT count(*) FROM versions").fetchone() == (len(kept),)


def test_a_whole_file_is_rescued_whole(tmp_path: Path) -> None:
    file, kept = full(tmp_path)
    assert rescue(file, tmp_path / "out.zip") == (60, len(kept))
    assert brought(tmp_path / "out.zip", tmp_path) == kept


def test_what_only_stands_in_the_log_is_rescued_too(tmp_path: Path) -> None:
    store = Store(f"sqlite:///{tmp_path / 'plans.db'}")
    saved = store.create(a_plan("In the log"))
    assert rescue(tmp_path / "plans.db", tmp_path / "out.zip") == (1, 1)
    store.close()
    assert brought(tmp_path / "out.zip", tmp_path) == {(saved.id, 1): "In the log"}


@pytest.mark.attack
@pytest.mark.parametrize(
    "what", ["first page", "a page in the middle", "header", "half of it cut off", "noise"]
)
def test_damage_is_told_and_what_is_left_is_saved(tmp_path: Path, what: str) -> None:
    file, kept = full(tmp_path)
    raw, size = bytearray(file.read_bytes()), 4096
    rng = random.Random(7)
    if what == "first page":
        raw[100:size] = bytes(size - 100)
        raw[100], raw[105:107] = 0x0D, (size & 0xFFFF).to_bytes(2, "big")  # an empty table of tables
    elif what == "header":
        raw[:100] = bytes(100)
    elif what == "a page in the middle":
        middle = len(raw) // size // 2
        raw[middle * size : (middle + 1) * size] = rng.randbytes(size)
    elif what == "noise":
        for n in range(2, len(raw) // size, 5):
            raw[n * size : (n + 1) * size] = rng.randbytes(size)
    else:
        del raw[len(raw) // size // 2 * size :]
    file.write_bytes(raw)
    try:
        store = Store(f"sqlite:///{file}")
        noticed = store.database.damaged
        with pytest.raises(StorageTrouble):
            store.create(a_plan("Into the damage"))
        store.close()
    except StorageTrouble as told:
        noticed = "damaged" in told.message
    held("the store", noticed, f"{what}: taken for whole")
    plans, versions = rescue(file, tmp_path / "out.zip")
    left = brought(tmp_path / "out.zip", tmp_path)
    assert left.items() <= kept.items()
    least = {"first page": 1.0, "header": 1.0, "a page in the middle": 0.9, "noise": 0.6}.get(what, 0.3)
    held(
        "the store", versions >= least * len(kept), f"{what}: {versions} of {len(kept)} saved, {plans} plans"
    )


def test_what_is_no_file_is_said(tmp_path: Path) -> None:
    for nothing in (tmp_path / "plans.db", tmp_path):
        with pytest.raises(StoreError, match="cannot be read") as told:
            rescue(nothing, tmp_path / "out.zip")
        assert "plans.db" in told.value.cure


def test_nothing_left_is_said_and_nothing_is_overwritten(tmp_path: Path) -> None:
    (tmp_path / "plans.db").write_bytes(random.Random(1).randbytes(50_000))
    with pytest.raises(StoreError):
        rescue(tmp_path / "plans.db", tmp_path / "out.zip")
    assert not (tmp_path / "out.zip").exists()
    file, _ = full(tmp_path / "more" if (tmp_path / "more").mkdir() is None else tmp_path, 1)
    (tmp_path / "out.zip").write_bytes(b"hers")
    with pytest.raises(StoreError):
        rescue(file, tmp_path / "out.zip")
    assert (tmp_path / "out.zip").read_bytes() == b"hers"
