"""A backup holds everything and comes back whole, from either database to either; fetch brings a plan home."""

from __future__ import annotations

import io
import json
import os
import shutil
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

import pytest

from server.store.backup import BackupError, backup, restore
from server.store.fetch import fetch
from server.store.links import pack
from server.store.planfile import PlanFileError
from server.store.versions import Conflict, Store
from tests.fixtures.stores import make
from tests.server.samples import a_plan, free_port, renamed


def fill(url: str) -> Store:
    store = Store(url)
    made = store.create(a_plan("Garden", tags=("gift",)))
    store.save(made.id, renamed(made.plan, "縁取り"), 1)
    with pytest.raises(Conflict):
        store.save(made.id, renamed(made.plan, "His"), 1)
    assert made.edit_key
    store.keyring.hold("r" * 43, made.id, made.edit_key)
    binned = store.create(a_plan("Binned"))
    store.delete(binned.id)
    return store


def everything(url: str) -> dict[str, bytes]:
    """All rows, as a backup writes them: the judge of whether two databases hold the same."""
    with tempfile.TemporaryDirectory() as folder:
        backup(url, Path(folder) / "all.zip")
        with zipfile.ZipFile(Path(folder) / "all.zip") as archive:
            return {name: archive.read(name) for name in archive.namelist()}


def test_a_backup_comes_back_whole(url: str, tmp_path: Path) -> None:
    fill(url).close()
    counts = backup(url, tmp_path / "b.zip")
    assert counts == {"plans": 2, "versions": 4, "tags": 1, "keys": 6, "rings": 1}
    there = f"sqlite:///{tmp_path / 'there' / 'plans.db'}"
    assert restore(there, tmp_path / "b.zip") == counts
    assert everything(there) == everything(url)


def test_from_a_file_to_postgres_and_back(sqlite_url: str, postgres_url: str, tmp_path: Path) -> None:
    store = fill(sqlite_url)
    plan_id = store.search().rows[0].id
    backup(sqlite_url, tmp_path / "one.zip")
    restore(postgres_url, tmp_path / "one.zip")
    there = Store(postgres_url)
    assert there.keyring.may(plan_id, ring="r" * 43) == "edit"
    assert there.load(plan_id, 3).plan.name == "His"
    assert there.save(plan_id, a_plan("On"), 2).version == 4
    assert everything(sqlite_url) != everything(postgres_url)
    there.close()


@pytest.mark.parametrize("revision", ["0001", "0002"])
def test_an_old_backup_is_migrated(revision: str, sqlite_url: str, tmp_path: Path) -> None:
    """As the old program would have written it: the old tables, the old revision."""
    import hashlib
    import sqlite3

    raw = sqlite3.connect(make.HERE / f"{revision}.db")
    raw.row_factory = sqlite3.Row
    manifest = {"schema": "cornerwise backup", "version": 1, "revision": revision, "rows": {}, "sha256": {}}
    with zipfile.ZipFile(tmp_path / "old.zip", "w") as archive:
        for table in ("plans", "versions", "keys") + (("tags",) if revision > "0001" else ()):
            rows = [dict(row) for row in raw.execute(f"SELECT * FROM {table}")]
            body = "".join(json.dumps(row) + "\n" for row in rows).encode()
            archive.writestr(f"{table}.jsonl", body)
            manifest["rows"] |= {table: len(rows)}  # type: ignore[operator]
            manifest["sha256"] |= {table: hashlib.sha256(body).hexdigest()}  # type: ignore[operator]
        archive.writestr("manifest.json", json.dumps(manifest))
    raw.close()
    restore(sqlite_url, tmp_path / "old.zip")
    store = Store(sqlite_url)
    assert store.load(make.GARDEN, 4).why == "aside"
    assert store.tags() == [("2027", 1), ("gift", 1)]


def test_a_backup_never_overwrites(sqlite_url: str, tmp_path: Path) -> None:
    fill(sqlite_url).close()
    (tmp_path / "b.zip").write_text("mine")
    with pytest.raises(BackupError, match="already"):
        backup(sqlite_url, tmp_path / "b.zip")
    assert (tmp_path / "b.zip").read_text() == "mine"
    backup(sqlite_url, tmp_path / "c.zip")
    before = everything(sqlite_url)
    with pytest.raises(BackupError, match="plans here already"):
        restore(sqlite_url, tmp_path / "c.zip")
    assert everything(sqlite_url) == before


def test_a_damaged_backup_is_refused_before_anything_is_done(sqlite_url: str, tmp_path: Path) -> None:
    fill(sqlite_url).close()
    backup(sqlite_url, tmp_path / "b.zip")
    whole = (tmp_path / "b.zip").read_bytes()
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            body = old.read(name)
            new.writestr(name, body.replace(b'"head": 2', b'"head": 3'))
    there = f"sqlite:///{tmp_path / 'there.db'}"
    hurt = {"changed": out.getvalue(), "half": whole[: len(whole) // 2], "none": b"", "text": b"hello"}
    with zipfile.ZipFile(tmp_path / "shelf.zip", "w") as archive:
        archive.writestr("manifest.json", '{"schema": "other", "version": 1}')
    hurt["other"] = (tmp_path / "shelf.zip").read_bytes()
    for what, raw in hurt.items():
        (tmp_path / "hurt.zip").write_bytes(raw)
        with pytest.raises(BackupError):
            restore(there, tmp_path / "hurt.zip")
            pytest.fail(what)
    with pytest.raises(BackupError, match="There is no"):
        restore(there, tmp_path / "nowhere.zip")
    restore(there, tmp_path / "b.zip")


def command(*words: str, data: Path) -> subprocess.CompletedProcess[str]:
    code = "import sys; from server.commands import run; sys.exit(run(sys.argv[1:]))"
    environment = os.environ | {"CORNERWISE_DATA_FOLDER": str(data), "CORNERWISE_DATABASE_URL": ""}
    return subprocess.run(
        [sys.executable, "-c", code, *words], env=environment, capture_output=True, text=True, check=False
    )


def test_the_commands_say_what_they_did(tmp_path: Path) -> None:
    home, new = tmp_path / "home", tmp_path / "new"
    done = command("fetch", f"https://quilts.example/open#{pack(a_plan('Carried'))}", data=home)
    assert (done.returncode, "“Carried” is on your shelf" in done.stdout) == (0, True), done.stderr
    done = command("backup", str(tmp_path / "b.zip"), data=home)
    assert (done.returncode, done.stdout) == (0, f"In {tmp_path / 'b.zip'}: 1 plan in 1 version\n"), (
        done.stderr
    )
    done = command("restore", str(tmp_path / "b.zip"), data=new)
    assert done.returncode == 0, done.stderr
    assert Store(f"sqlite:///{new / 'plans.db'}").search().rows[0].name == "Carried"
    shutil.rmtree(new)
    done = command("fetch", "nonsense", data=new)
    assert (done.returncode, done.stdout) == (1, "")
    assert "not a link to a plan" in done.stderr
    assert "Traceback" not in done.stderr
    assert not new.exists()


@pytest.mark.parametrize(
    "link",
    [
        "",
        "file:///etc/passwd",
        "ftp://a.example/plans/aaaaaaaaaaaaaaaaaaaa",
        "http://",
        "http:///plans/aaaaaaaaaaaaaaaaaaaa",
        "http://127.0.0.1/",
        "http://127.0.0.1/plans/../../etc",
        "http://127.0.0.1/plans/aaaaaaaaaaaaaaaaaaaa\r\nHost: b",
        "https://quilts.example/open#c1.AAAAAAAAAAAAAAAA",
        "https://quilts.example/open?plan=c2.AAAAAAAAAAAAAAAA",
    ],
)
def test_links_that_lead_nowhere(link: str) -> None:
    with pytest.raises(PlanFileError):
        fetch(link)


def test_a_planner_that_does_not_answer() -> None:
    with pytest.raises(PlanFileError, match="does not answer"):
        fetch(f"http://127.0.0.1:{free_port()}/plans/{'a' * 20}?key=x")
