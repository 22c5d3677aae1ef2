"""Databases to test against: a SQLite file always, PostgreSQL from Debian's package when it is installed.

And a guild's planner to attack, with the sum of the tries at the end of the run.
"""

from __future__ import annotations

import secrets
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from server.store.versions import Saved
from tests.server.attack import THROUGH, TRIED, Guild
from tests.server.samples import a_plan, free_port

PG_BIN = Path("/usr/lib/postgresql")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    for what, many in sorted(TRIED.items()):
        terminalreporter.write_line(f"attacks on {what}: {many} tried, {THROUGH[what]} got through")


@pytest.fixture(autouse=True)
def marked_attack(request: pytest.FixtureRequest) -> Iterator[None]:
    """Whoever counts tries is one of those that `-m attack` runs."""
    before = TRIED.total()
    yield
    assert TRIED.total() == before or request.node.get_closest_marker("attack"), "mark it: pytest.mark.attack"


@pytest.fixture
def guild(tmp_path: Path) -> Iterator[Guild]:
    made = Guild(tmp_path)
    yield made
    made.store.close()


@pytest.fixture
def saved(guild: Guild) -> Saved:
    return guild.store.create(a_plan("Hers", tags=("gift",)))


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """URL of a PostgreSQL server on loopback, with full durability, of this test run only."""
    found = sorted(PG_BIN.glob("*/bin/initdb"))
    if not found:
        pytest.skip("PostgreSQL is not installed: apt-get install postgresql")
    bin_dir = found[-1].parent
    folder = Path(tempfile.mkdtemp(prefix="cornerwise-pg-"))
    as_user: list[str] = []
    if Path("/proc/self").stat().st_uid == 0:  # the server refuses to run as root
        shutil.chown(folder, "postgres", "postgres")
        as_user = [shutil.which("runuser") or "/usr/sbin/runuser", "-u", "postgres", "--"]
    data, port = folder / "data", free_port()

    def run(*command: str) -> None:
        done = subprocess.run([*as_user, *command], cwd=folder, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stdout + done.stderr

    run(str(bin_dir / "initdb"), "-D", str(data), "-A", "trust", "-U", "postgres", "--locale=C", "-E", "UTF8")
    options = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={folder}"
    # Its log goes to a file: it would hold a pipe open after pg_ctl has ended.
    start = ("-D", str(data), "-l", str(folder / "log"), "-w", "-o", options, "start")
    subprocess.run(
        [*as_user, str(bin_dir / "pg_ctl"), *start], cwd=folder, stdout=subprocess.DEVNULL, check=True
    )
    try:
        yield f"postgresql://postgres@127.0.0.1:{port}"
    finally:
        run(str(bin_dir / "pg_ctl"), "-D", str(data), "-m", "immediate", "-w", "stop")
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def sqlite_url(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'plans.db'}"


@pytest.fixture
def postgres_url(postgres: str) -> str:
    import psycopg

    name = f"t{secrets.token_hex(6)}"
    with psycopg.connect(f"{postgres}/postgres", autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}".encode())
    return f"{postgres}/{name}"


@pytest.fixture(params=["sqlite", "postgres"])
def url(request: pytest.FixtureRequest) -> str:
    """The URL of an empty database, of each kind in turn."""
    found: str = request.getfixturevalue(f"{request.param}_url")
    return found
