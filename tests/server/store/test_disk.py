"""A disk that is full or may not be written: it says so, keeps what was there, and goes on reading."""

from __future__ import annotations

import os
import resource
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import httpx
import pytest

from server.store.database import StorageTrouble
from server.store.versions import Store
from tests.server.samples import a_plan
from tests.server.serving import NO_RATES, Planner

# root may write anywhere; without this right it is stopped by a file's mode as everybody is
LIKE_OTHERS = ("setpriv", "--bounding-set=-dac_override", "--inh-caps=-dac_override")


def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    store = Store(f"sqlite:///{folder / 'plans.db'}")
    made = store.create(a_plan("Kept"))
    store.close()
    code = f"""
from server.store.versions import Store
from server.store.database import StorageTrouble
from tests.server.samples import a_plan
store = Store("sqlite:///{folder / "plans.db"}")
assert store.database.read_only
assert store.load("{made.id}").plan.name == "Kept"
assert store.search("kept").total == 1
assert store.keyring.may("{made.id}", key="{made.edit_key}") == "edit"
changes = [lambda: store.create(a_plan()), lambda: store.delete("{made.id}")]
changes += [lambda: store.save("{made.id}", a_plan(), 1)]
for change in changes:
    try:
        change()
    except StorageTrouble as trouble:
        print(trouble.message, trouble.cure)
"""
    for path in (folder, *folder.iterdir()):
        path.chmod(0o555 if path.is_dir() else 0o444)
    before = {file.name: file.read_bytes() for file in folder.iterdir()}
    as_user: tuple[str, ...] = ()
    if os.geteuid() == 0:
        if shutil.which("setpriv") is None:
            pytest.skip("root may write anywhere, and setpriv is not here")
        as_user = LIKE_OTHERS
    done = subprocess.run([*as_user, sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("may not be written") == 3
    assert {file.name: file.read_bytes() for file in folder.iterdir()} == before


def test_no_place_at_all_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(StorageTrouble, match="no place to keep plans"):
        Store(f"sqlite:///{tmp_path / 'file' / 'plans.db'}")


def test_a_file_that_is_no_database_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "plans.db").write_bytes(b"a letter to my aunt" * 1000)
    with pytest.raises(StorageTrouble, match="damaged"):
        Store(f"sqlite:///{tmp_path / 'plans.db'}")
    assert (tmp_path / "plans.db").read_bytes() == b"a letter to my aunt" * 1000


def test_a_full_disk(tmp_path: Path) -> None:
    """A disk of one megabyte, where this user may mount one."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(disk)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("only root may mount a small disk; the next test fills one otherwise")
    try:
        save_until_full(Planner(f"sqlite:///{disk / 'plans.db'}", tmp_path / "log", settings=NO_RATES), disk)
    finally:
        subprocess.run(["umount", "-l", str(disk)], check=False)


def test_a_disk_that_takes_no_more(tmp_path: Path) -> None:
    """The process may write files of 300 kB only: the next page of the log finds no room."""
    planner = Planner(f"sqlite:///{tmp_path / 'plans.db'}", tmp_path / "log", settings=NO_RATES)

    def little_room() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, 300_000))

    planner.before = little_room
    made, head = save_until_full(planner, tmp_path)
    again = Store(f"sqlite:///{tmp_path / 'plans.db'}")
    assert again.save(made, a_plan("On"), head).version == head + 1


def save_until_full(planner: Planner, folder: Path) -> tuple[str, int]:
    """Save until it says that the disk is full; everything acknowledged is there, then and afterwards."""
    store = Store(f"sqlite:///{folder / 'plans.db'}")
    made = store.create(a_plan("Kept"))
    store.close()
    planner.start()
    try:
        with httpx.Client(
            base_url=planner.url, headers={"Plan-Key": str(made.edit_key)}, timeout=30
        ) as client:
            head, refused = 1, None
            for n in range(1000):
                body = {"plan": a_plan(f"n{n}").model_dump(mode="json"), "base_version": head}
                answer = client.put(f"/api/plans/{made.id}", json=body)
                if answer.status_code != 200:
                    refused = answer
                    break
                head = answer.json()["version"]
            assert refused is not None, "the disk never filled up"
            assert refused.status_code == 503
            assert "full" in refused.json()["detail"]
            assert "every plan saved before is still there" in refused.json()["cure"]
            assert client.get(f"/api/plans/{made.id}").json()["version"] == head
            assert client.get("/health").status_code == 200
    finally:
        planner.kill()
    again = Store(f"sqlite:///{folder / 'plans.db'}")
    assert again.load(made.id).version == head
    assert len(again.versions(made.id, rows=1000)) == head
    again.close()
    assert "Traceback" not in planner.log.read_text()
    return made.id, head
