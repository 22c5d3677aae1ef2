"""Set-up: the locks hold what pyproject.toml asks for, and an install follows them."""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.version import Version

from server import bootstrap
from server.bootstrap import ROOT, WITHIN, lock_file
from server.store.database import StorageTrouble, open_engine

PYTHONS = ("3.11", "3.12", "3.13", "3.14")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]


def entries(lock: str) -> list[str]:
    """What a lock pins, each with its hashes."""
    text = lock_file(lock).read_text("utf-8").replace("\\\n", " ")
    return [line for line in text.splitlines() if line.strip()]


def pinned(lock: str, python: str) -> dict[str, Version]:
    """Name -> version on that Python under Linux."""
    here = {"python_version": python, "python_full_version": f"{python}.0", "sys_platform": "linux"}
    found = {}
    for entry in entries(lock):
        one = Requirement(entry.split("--hash")[0].strip())
        if one.marker is None or one.marker.evaluate(here):
            (pin,) = one.specifier
            found[one.name] = Version(pin.version)
    return found


def wanted(lock: str) -> list[Requirement]:
    """What pyproject.toml asks for there."""
    asked = PROJECT["dependencies"] + [one for extra in WITHIN[lock] for one in EXTRAS.get(extra, ())]
    return [one for one in map(Requirement, asked) if one.name != PROJECT["name"]]


@pytest.mark.parametrize("python", PYTHONS)
@pytest.mark.parametrize("lock", WITHIN)
def test_a_lock_holds_what_is_asked_for(lock: str, python: str) -> None:
    found = pinned(lock, python)
    for one in wanted(lock):
        assert found[one.name.lower()] in one.specifier, f"renew it: python -m tests.locks ({one})"
    for within in WITHIN[lock]:
        assert pinned(within, python).items() <= found.items()


@pytest.mark.parametrize("lock", WITHIN)
def test_a_lock_pins_by_hash_and_names_no_address(lock: str) -> None:
    assert "://" not in lock_file(lock).read_text("utf-8")
    for entry in entries(lock):
        assert re.fullmatch(r"[\w.-]+==\S+( ; [^-]+)?( +--hash=sha256:[0-9a-f]{64})+ *", entry), entry[:80]


def test_every_requirement_has_a_floor_and_a_ceiling() -> None:
    for one in wanted("test"):
        operators = {part.operator for part in one.specifier}
        assert operators == {">=", "<"}, one
        least, below = sorted(Version(part.version) for part in one.specifier)
        assert below.release == (least.major + 1,), f"{one}: the ceiling is the next major"


class Installs(list[str]):
    """In the place of pip: which locks were installed."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
        monkeypatch.setattr(bootstrap, "VENV", folder / ".venv")
        monkeypatch.setattr(bootstrap, "LOCKS", folder)
        monkeypatch.setattr(bootstrap, "_make_venv", self.made)
        monkeypatch.setattr(bootstrap, "_install", lambda python, lock: self.append(lock))
        for lock in WITHIN:
            (folder / f"{lock}.txt").write_text(f"{lock}==1\n")

    def made(self, python: Path) -> None:
        python.parent.mkdir(parents=True, exist_ok=True)
        python.write_text("")


def test_an_install_follows_a_changed_lock(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    installs = Installs(monkeypatch, tmp_path)
    for _ in range(2):
        bootstrap.ensure("run")
    assert installs == ["run"]
    (tmp_path / "run.txt").write_text("run==2\n")
    bootstrap.ensure("run")
    assert installs == ["run", "run"]
    monkeypatch.setattr(sys, "version", "another Python")
    bootstrap.ensure("run")
    assert installs == ["run"] * 3


def test_what_a_lock_holds_is_not_installed_again(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    installs = Installs(monkeypatch, tmp_path)
    for lock in ("test", "run", "postgres"):
        bootstrap.ensure(lock)
    assert installs == ["test"]


@pytest.mark.parametrize(
    ("url", "lock"),
    [
        ("", "run"),
        ("sqlite:////p.db", "run"),
        ("postgresql://h/plans", "postgres"),
        ("postgres://h/p", "postgres"),
    ],
)
def test_a_database_asks_for_its_driver(monkeypatch: pytest.MonkeyPatch, url: str, lock: str) -> None:
    monkeypatch.setenv("CORNERWISE_DATABASE_URL", url)
    assert bootstrap.asked() == lock


def test_without_its_driver_a_database_says_what_to_type(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "psycopg", None)
    with pytest.raises(StorageTrouble) as refused:
        open_engine("postgresql://127.0.0.1/plans")
    assert "psycopg" in refused.value.message
    assert "python3 -m server.bootstrap" in refused.value.cure
