"""Plan files and shelf archives: out and in again exactly; what is damaged, too new or hostile is refused."""

from __future__ import annotations

import io
import json
import time
import zipfile
from contextlib import suppress
from pathlib import Path

import pytest

from server.store.archive import SCHEMA, read_shelf, write_shelf
from server.store.planfile import (
    LARGEST_BYTES,
    PlanFileError,
    canonical,
    depth,
    read_plan_file,
    write_plan_file,
)
from server.store.versions import Conflict, Store
from tests.server.attack import held
from tests.server.samples import a_plan, renamed


def test_a_plan_file_comes_back_and_is_always_the_same_bytes() -> None:
    plan = a_plan("縁取り\r\n", typed={"sides_in.top": "6' 8\""}, tags=("a",))
    assert read_plan_file(write_plan_file(plan)) == plan
    assert write_plan_file(plan) == write_plan_file(read_plan_file(write_plan_file(plan)))
    body = json.loads(write_plan_file(plan))
    assert (body["schema"], body["version"]) == ("cornerwise plan", 1)


GOOD = json.loads(write_plan_file(a_plan()))


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "damaged"),
        (b"{", "damaged"),
        (b"\xff\xfe\x00", "damaged"),
        (b"[]", "not a plan"),
        (b"{}", "not a plan"),
        (json.dumps({**GOOD, "schema": "other"}).encode(), "not a plan"),
        (json.dumps({**GOOD, "version": 2}).encode(), "newer Cornerwise"),
        (json.dumps({**GOOD, "version": True}).encode(), "no version"),
        (json.dumps({**GOOD, "version": "1"}).encode(), "no version"),
        (json.dumps({**GOOD, "plan": None}).encode(), "cannot use"),
        (json.dumps({**GOOD, "plan": {**GOOD["plan"], "tail_deg": 9999}}).encode(), "tail_deg"),
        (json.dumps({**GOOD, "plan": {**GOOD["plan"], "extra": 1}}).encode(), "extra"),
        (b'{"schema":"cornerwise plan","version":1,"plan":' + b"[" * 50_000, "too deeply"),
        (b" " * (LARGEST_BYTES + 1), "too large"),
    ],
)
def test_a_file_that_holds_no_plan_is_told_why(raw: bytes, words: str) -> None:
    with pytest.raises(PlanFileError, match=words) as told:
        read_plan_file(raw)
    assert told.value.cure


def test_depth_is_counted_outside_of_strings() -> None:
    assert depth('{"a": [1, {"b": "[[[[\\"[["}]}') == 3
    assert depth("[" * 9) == 9
    assert depth("") == 0


def test_a_number_of_thousands_of_digits_is_no_plan() -> None:
    with pytest.raises(PlanFileError, match="damaged"):
        read_plan_file(b'{"schema":"cornerwise plan","version":' + b"1" * 5000 + b"}")


@pytest.mark.attack
@pytest.mark.parametrize("piece", ['\\"', '"', '"\\', '\\\\"', '["', "[]", 'é"', '"[\\u0022'])
@pytest.mark.parametrize("start", ["", '"', '{"a'])
def test_depth_takes_time_in_proportion_to_the_text(start: str, piece: str) -> None:
    def seconds(many: int) -> float:
        text, took = start + piece * many, []
        for _ in range(3):
            began = time.process_time()
            depth(text)
            took.append(time.process_time() - began)
        return min(took)

    ratio = seconds(32_000) / seconds(2_000)  # 16 in proportion, 256 in proportion to its square
    held("linear scanning", ratio < 64, f"{ratio:.0f}")


def full_store(url: str) -> Store:
    store = Store(url)
    first = store.create(a_plan("Garden", tags=("gift",)))
    store.save(first.id, renamed(first.plan, "Garden, wider"), 1)
    with pytest.raises(Conflict):
        store.save(first.id, renamed(first.plan, "Garden, his"), 1)
    store.create(a_plan("縁取り"))
    return store


def archive_of(store: Store) -> bytes:
    out = io.BytesIO()
    write_shelf(store, [(row.id, None) for row in store.search(sort="oldest").rows], out)
    return out.getvalue()


def test_a_whole_shelf_travels_with_every_version(sqlite_url: str, tmp_path: Path) -> None:
    here = full_store(sqlite_url)
    raw = archive_of(here)
    assert raw == archive_of(here)
    there = Store(f"sqlite:///{tmp_path / 'there.db'}")
    brought = read_shelf(there, raw)
    assert (brought.plans, brought.versions, brought.already) == (2, 4, 0)
    for row in here.search().rows:
        assert there.versions(row.id) == here.versions(row.id)
        for line in here.versions(row.id):
            assert there.load(row.id, line.version).plan == here.load(row.id, line.version).plan
        assert there.load(row.id).version == here.load(row.id).version
    assert there.tags() == here.tags()
    assert archive_of(there) == raw
    again = read_shelf(there, raw)
    assert (again.plans, again.already) == (0, 2)


def test_a_plan_that_went_its_own_way_here_is_not_overwritten(sqlite_url: str, tmp_path: Path) -> None:
    here = full_store(sqlite_url)
    raw = archive_of(here)
    mine = here.search("garden").rows[0]
    here.save(mine.id, a_plan("Garden, mine now"), mine.version)
    assert read_shelf(here, raw).plans == 1
    assert here.load(mine.id).plan.name == "Garden, mine now"
    assert sorted(row.name for row in here.search("garden").rows) == ["Garden, mine now", "Garden, wider"]


def changed(raw: bytes, **files: bytes | None) -> bytes:
    """The archive with files replaced, added or (None) left out."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        kept = {name: old.read(name) for name in old.namelist()} | files
        for name, body in kept.items():
            if body is not None:
                new.writestr(name, body)
    return out.getvalue()


@pytest.mark.attack
def test_hostile_archives_are_refused_and_change_nothing(sqlite_url: str, tmp_path: Path) -> None:
    raw = archive_of(full_store(f"sqlite:///{tmp_path / 'other.db'}"))
    listing = json.loads(zipfile.ZipFile(io.BytesIO(raw)).read("shelf.json"))
    one = f"plans/{listing['plans'][0]['id']}/1.json"

    def listed(**more: object) -> bytes:
        return json.dumps({**listing, **more}).encode()

    up = [{**listing["plans"][0], "id": "../../../../etc/pass"}]
    twice = [{**listing["plans"][0], "versions": listing["plans"][0]["versions"] * 2}]
    headless = [{**listing["plans"][0], "head": 99}]
    hostile = {
        "not a zip": b"hello",
        "cut short": raw[: len(raw) // 2],
        "no list": changed(raw, **{"shelf.json": None}),
        "missing plan": changed(raw, **{one: None}),
        "a bomb": changed(raw, **{one: b" " * 200_000_000}),
        "a bomb for a list": changed(raw, **{"shelf.json": b"[" * 100_000_000}),
        "a path upward": changed(raw, **{"shelf.json": listed(plans=up)}),
        "the same version twice": changed(raw, **{"shelf.json": listed(plans=twice)}),
        "no head": changed(raw, **{"shelf.json": listed(plans=headless)}),
        "too new": changed(raw, **{"shelf.json": listed(version=2)}),
        "a plan twice": changed(raw, **{"shelf.json": listed(plans=[listing["plans"][0]] * 2)}),
        "a plan 30,000 times": changed(raw, **{"shelf.json": listed(plans=[listing["plans"][0]] * 30_000)}),
        "another thing": changed(raw, **{"shelf.json": listed(schema="x")}),
        "not a list": changed(raw, **{"shelf.json": listed(plans={"a": 1})}),
        "a half plan": changed(raw, **{one: b'{"schema":"cornerwise plan","version":1,"plan":{}}'}),
    }
    store = Store(sqlite_url)
    for what, body in hostile.items():
        with suppress(PlanFileError):
            read_shelf(store, body)
        held("archives", store.search().total == 0, what)
    assert {file.name for file in tmp_path.iterdir()} <= {
        *("other.db", "other.db-wal", "other.db-shm", "plans.db", "plans.db-wal", "plans.db-shm")
    }


@pytest.mark.attack
def test_what_an_archive_unpacks_to_is_bounded_as_a_whole(sqlite_url: str) -> None:
    """Every file of it is a plan of allowed size; together they would be 190 MB."""
    listing = []
    out = io.BytesIO()
    padded = write_plan_file(a_plan()).ljust(LARGEST_BYTES)
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        lines = [{"version": n, "base": n - 1, "why": "saved", "saved_at": 1.0} for n in range(1, 3001)]
        listing = [{"id": "a" * 20, "name": "x", "head": 3000, "versions": lines}]
        archive.writestr("shelf.json", json.dumps({"schema": SCHEMA, "version": 1, "plans": listing}))
        for line in lines:
            archive.writestr(f"plans/{'a' * 20}/{line['version']}.json", padded)
    store = Store(sqlite_url)
    with suppress(PlanFileError):
        read_shelf(store, out.getvalue())
    held("archives", store.search().total == 0, "a large sum")


def test_files_that_nobody_asked_for_are_left_in_the_archive(sqlite_url: str, tmp_path: Path) -> None:
    raw = archive_of(full_store(f"sqlite:///{tmp_path / 'other.db'}"))
    store = Store(sqlite_url)
    assert read_shelf(store, changed(raw, **{"../../evil.py": b"print()"})).plans == 2
    assert not list(tmp_path.parent.glob("evil.py"))


def test_canonical_has_no_order_of_its_own() -> None:
    plan = a_plan(typed={"b": "1", "a": "2"})
    other = a_plan(typed={"a": "2", "b": "1"})
    assert canonical(plan) == canonical(other)
