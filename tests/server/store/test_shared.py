"""What servers on one PostgreSQL share: rates, house keys, kept fills; and a lost server takes nothing with it."""

from __future__ import annotations

import asyncio
import os
import re
import shutil
import subprocess
import threading
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from server.__main__ import COMMANDS
from server.access.rates import Rates
from server.app import create_app
from server.kept import Kept
from server.settings import Settings
from server.store.backup import backup
from server.store.links import pack
from server.store.shared import MOST_HOUSE_KEYS, PASSING, Shared
from server.store.versions import Store
from tests.server.attack import held
from tests.server.samples import a_plan, free_port
from tests.server.serving import NO_RATES, ROOT, Planner

SECRET = b"of one guild"
FILL = f"/fill.svg?plan={pack(a_plan(tin_in=(4.0, 5.0)))}"


@pytest.fixture
def store(postgres_url: str) -> Iterator[Store]:
    made = Store(postgres_url, secret=SECRET)
    yield made
    made.close()


def shared(store: Store, secret: bytes = SECRET, most: int = 10**6) -> Shared:
    return Shared(store.database, secret, most)


def rows(store: Store, table: str) -> int:
    return int(store.database.passing(f"SELECT count(*) FROM {table}", {}))


def test_a_file_is_one_planners_and_shares_nothing(sqlite_url: str) -> None:
    store = Store(sqlite_url)
    assert Shared.of(Settings(), store) is None
    store.close()


@pytest.mark.attack
def test_two_servers_let_no_more_through_than_one(store: Store) -> None:
    one, other = Rates(shared(store)), Rates(shared(store))
    found = [rates.take("enter", "203.0.113.1", 6) for _ in range(10) for rates in (one, other)]
    held("shared rates", found.count(0) in (6, 7), found)  # six at once; a slow machine may win one back
    assert all(1 <= wait <= 10 for wait in found if wait)
    assert one.take("enter", "203.0.113.2", 6) == 0  # somebody else has her own


@pytest.mark.attack
def test_at_once_they_take_each_token_once(store: Store) -> None:
    taken: list[int | None] = []

    def take() -> None:
        some = shared(store)
        taken.extend(some.take("look", "203.0.113.1", 60) for _ in range(20))

    threads = [threading.Thread(target=take) for _ in range(8)]
    began = time.monotonic()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    won_back = int(time.monotonic() - began) + 1
    assert None not in taken
    held("shared rates", 60 <= taken.count(0) <= 60 + won_back, taken.count(0))


@pytest.mark.attack
def test_clients_are_forgotten_and_bounded(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("server.store.shared.MOST_CLIENTS", 50)
    monkeypatch.setattr("server.store.shared._TIDY_EVERY", 10)
    some = shared(store)
    for n in range(200):
        some.take("look", f"2001:db8::{n:x}", 60)
    held("shared rates", rows(store, "rates") <= 60)


def test_without_the_database_each_server_counts_for_itself(store: Store) -> None:
    class Away:
        def take(self, *_: object) -> None:
            return None

    rates = Rates(Away())  # type: ignore[arg-type]
    assert [rates.take("enter", "203.0.113.1", 2) for _ in range(3)][:2] == [0, 0]
    assert rates.take("enter", "203.0.113.1", 2) > 0
    broken = Store(str(store.database.url.render_as_string(hide_password=False)))
    with broken.database.engine.begin() as connection:
        for table in PASSING:
            connection.exec_driver_sql(f"ALTER TABLE {table} RENAME TO {table}_gone")
    away = shared(broken)
    assert away.take("enter", "203.0.113.1", 2) is None
    assert away.get("fill X") is None
    away.put("fill X", b"x")
    assert not away.invited("x")
    broken.close()


def test_what_one_kept_the_other_has_and_the_oldest_goes(store: Store) -> None:
    one, other = shared(store, most=1000), shared(store, most=1000)
    one.put("fill A", b"a" * 200)
    assert other.get("fill A") == b"a" * 200
    for name in "BCDE":
        one.put(f"fill {name}", b"x" * 200)
        assert other.get("fill A") is not None  # used just now: it stays
    one.put("fill F", b"x" * 200)
    assert other.get("fill B") is None
    assert rows(store, "kept") <= 5
    one.put("fill whole", b"x" * 600)  # more than its share
    assert other.get("fill whole") is None


@pytest.mark.attack
def test_what_another_secret_or_program_made_is_not_taken(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    shared(store).put("fill A", b"good")
    held("kept results", shared(store, b"another").get("fill A") is None)
    store.database.passing("UPDATE kept SET body = body || :more", {"more": b"!"})
    held("kept results", shared(store).get("fill A") is None, "changed in the database")
    shared(store).put("fill A", b"good")
    monkeypatch.setattr("server.store.shared.program", lambda: "another program")
    held("kept results", shared(store).get("fill A") is None)


def test_a_claim_is_answered_from_the_other_server(store: Store) -> None:
    one, other = (Kept(10**6, shared(store)) for _ in range(2))
    assert one.get_or_claim("fill A", "maker", 1) is None
    one.made("fill A", b"grown")
    assert other.get_or_claim("fill A", "another", 1) == b"grown"
    assert other.get("fill A") == b"grown"  # and it is at hand from now on
    one.put("an answer", b"of one server")
    assert other.get_or_claim("an answer", "another", 1) is None


def test_no_backup_has_it_and_no_quota_counts_it(store: Store, tmp_path: Path) -> None:
    with store.database.reading() as connection:
        before = store.database.size(connection)
    shared(store).put("fill A", b"x" * 200_000)
    shared(store).take("look", "203.0.113.1", 60)
    with store.database.reading() as connection:
        assert store.database.size(connection) == before
    url = store.database.url.render_as_string(hide_password=False)
    assert not {*backup(url, tmp_path / "all.zip")} & {*PASSING}


@pytest.mark.attack
def test_a_house_key_opens_at_every_planner_of_the_house(postgres_url: str, tmp_path: Path) -> None:
    settings = Settings(data_folder=tmp_path, database_url=postgres_url, secret="of one house")
    stores = [Store.of(settings) for _ in range(2)]
    home, other = (create_app(settings, store, frozenset({"192.168.1.5"})) for store in stores)

    def ask(app: Any, key: str) -> int:
        async def once() -> int:
            transport = httpx.ASGITransport(app, client=("192.168.1.7", 40000))
            async with httpx.AsyncClient(transport=transport, base_url="http://192.168.1.5") as browser:
                return (await browser.get(f"/house?key={key}")).status_code

        return asyncio.run(once())

    key = home.state.house_key
    assert ask(home, key) == 303
    assert ask(other, key) == 403  # it does not serve yet
    home.state.shared.invite(key)
    assert ask(other, key) == 303
    for wrong in ("", "x" * 43, key[:-1]):
        held("house keys", ask(other, wrong) == 403)
    home.state.shared.uninvite(key)
    held("house keys", ask(other, key) == 403, "of a planner that has ended")
    for n in range(2 * MOST_HOUSE_KEYS):
        home.state.shared.invite(f"key {n}")
    held("house keys", rows(stores[0], "house_keys") <= MOST_HOUSE_KEYS)
    for one in stores:
        one.close()


# Two servers behind a proxy


@pytest.fixture
def two(postgres_url: str, tmp_path: Path) -> Iterator[list[Planner]]:
    settings = NO_RATES | {"CORNERWISE_SECRET": "of one guild", "CORNERWISE_PROXIES": "127.0.0.1"}
    planners = [Planner(postgres_url, tmp_path / f"log{n}", settings=settings) for n in range(2)]
    for planner in planners:
        planner.start()
    yield planners
    for planner in planners:
        planner.kill()


def test_a_fill_grown_by_one_is_served_by_the_other(two: list[Planner], postgres_url: str) -> None:
    one, other = two
    grown = httpx.get(one.url + FILL, timeout=120)
    assert grown.status_code == 200
    store = Store(postgres_url)
    assert rows(store, "kept") > 0
    # Whoever puts a key anew writes its size; whoever only reads it writes when that was.
    store.database.passing("UPDATE kept SET size = size + 1", {})
    sizes = store.database.passing("SELECT sum(size) FROM kept", {})
    served = httpx.get(other.url + FILL, timeout=120)
    assert served.content == grown.content
    assert store.database.passing("SELECT sum(size) FROM kept", {}) == sizes  # nothing was grown again
    store.close()


def nginx_configuration(two: list[Planner], folder: Path, port: int) -> Path:
    """The very lines of the guild's guide, on loopback and with a certificate of this test's own."""
    guide = (ROOT / "server" / "GUILD.md").read_text("utf-8").splitlines()
    begin = next(n for n, line in enumerate(guide) if line.startswith("    log_format"))
    end = next(n for n in range(begin, len(guide)) if guide[n] and not guide[n].startswith("    "))
    lines = "\n".join(guide[begin:end])
    key, certificate = folder / "key.pem", folder / "certificate.pem"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=quilts.example",
         "-keyout", str(key), "-out", str(certificate)], check=True, capture_output=True,
    )  # fmt: skip
    for old, new in {
        "server 127.0.0.1:8317": f"server 127.0.0.1:{two[0].port}",
        "# server 127.0.0.1:8318": f"server 127.0.0.1:{two[1].port}",
        "listen 443 ssl;": f"listen 127.0.0.1:{port} ssl;",
        "/etc/ssl/cornerwise.pem": str(certificate),
        "/etc/ssl/private/cornerwise.pem": str(key),
        "/var/log/nginx/cornerwise.log": str(folder / "access.log"),
    }.items():
        assert old in lines, old
        lines = lines.replace(old, new)
    places = "".join(
        f"    {what}_temp_path {folder / what};\n"
        for what in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    file = folder / "nginx.conf"
    file.write_text(
        f"daemon off; pid {folder / 'pid'}; error_log {folder / 'error.log'};\n"
        f"events {{ worker_connections 512; }}\nhttp {{\n{places}{lines}\n}}\n"
    )
    return file


@pytest.fixture
def proxied(two: list[Planner], tmp_path: Path) -> Iterator[str]:
    """The address of two servers behind nginx, by the lines of the guild's guide."""
    nginx = shutil.which("nginx", path=f"{os.environ.get('PATH', '')}:/usr/sbin")
    if nginx is None or shutil.which("openssl") is None:
        pytest.skip("nginx is not installed: apt-get install nginx-light openssl")
    port = free_port()
    file = nginx_configuration(two, tmp_path, port)
    command = [nginx, "-c", str(file), "-p", str(tmp_path), "-e", str(tmp_path / "error.log")]
    tried = subprocess.run([*command, "-t"], capture_output=True, text=True, check=False)
    assert tried.returncode == 0, tried.stderr
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        address = f"https://127.0.0.1:{port}"
        until = time.monotonic() + 30
        while time.monotonic() < until:
            try:
                httpx.get(f"{address}/health", headers={"Host": "quilts.example"}, verify=False, timeout=5)
                break
            except httpx.TransportError:
                time.sleep(0.05)
        yield address
        process.terminate()


@pytest.mark.attack
def test_a_server_killed_under_load_loses_nothing(
    two: list[Planner], proxied: str, postgres_url: str, tmp_path: Path
) -> None:
    """kill -9 of one, twice: what was acknowledged is there, and no visitor loses more than the request in hand."""
    answers: Counter[int] = Counter()
    troubles: Counter[int] = Counter()
    saved: list[str] = []
    stop = threading.Event()

    def visit(who: int) -> None:
        headers = {"Host": "quilts.example"}
        plan = a_plan(f"Of visitor {who}").model_dump(mode="json")
        with httpx.Client(base_url=proxied, headers=headers, verify=False, timeout=60) as client:
            n = 0
            while not stop.is_set():
                n += 1
                try:
                    if n % 4:
                        answer = client.get(("/look.css", "/shelf", "/health")[n % 3])
                    else:
                        answer = client.post("/api/plans", json={"plan": plan})
                        if answer.status_code == 201:
                            saved.append(answer.json()["id"])
                except httpx.TransportError:
                    troubles[who] += 1
                    continue
                answers[answer.status_code] += 1
                troubles[who] += answer.status_code >= 500

    visitors = [threading.Thread(target=visit, args=(who,)) for who in range(6)]
    for visitor in visitors:
        visitor.start()

    def served(more: int) -> None:
        until, wanted = time.monotonic() + 60, answers[200] + more
        while answers[200] < wanted and time.monotonic() < until:
            time.sleep(0.01)
        assert answers[200] >= wanted

    kills = 0
    for planner in (two[0], two[1]):
        served(40)
        planner.kill()
        kills += 1
        served(40)
        planner.start()
    served(40)
    stop.set()
    for visitor in visitors:
        visitor.join(90)
    store = Store(postgres_url)
    lost = [one for one in saved if not store.load(one).plan.name.startswith("Of visitor")]
    store.close()
    print(f"\n{sum(answers.values())} answers {dict(answers)}, {len(saved)} saves, troubles {dict(troubles)}")
    assert saved
    held("a server killed", not lost)
    for who in range(6):
        held("a server killed", troubles[who] <= kills, (who, troubles))


def test_the_guide_names_settings_and_commands_that_there_are() -> None:
    guide = (ROOT / "server" / "GUILD.md").read_text("utf-8")
    named = {name.lower() for name in re.findall(r"CORNERWISE_([A-Z_]+)", guide)}
    assert named <= set(Settings.model_fields)
    assert {"guild_password", "most_plans", "most_kept_bytes", "proxies", "secret"} <= named
    commands = set(re.findall(r"python3 -m server ([a-z]+)", guide))
    assert commands == {"backup", "restore", "rescue"}
    assert commands <= set(COMMANDS)


def test_the_unit_of_the_guide_is_one(tmp_path: Path) -> None:
    """systemd's own reading of the unit file; the paths in it are those of the guide, which are not here."""
    judge = shutil.which("systemd-analyze")
    if judge is None:
        pytest.skip("systemd-analyze is not installed")
    guide = (ROOT / "server" / "GUILD.md").read_text("utf-8").splitlines()
    begin = next(n for n, line in enumerate(guide) if line == "    [Unit]")
    end = next(n for n in range(begin, len(guide)) if guide[n].startswith("    WantedBy"))
    unit = "\n".join(line.removeprefix("    ") for line in guide[begin : end + 1])
    for old, new in {
        "User=cornerwise": "User=root",
        "/opt/cornerwise/.venv/bin/python": "/usr/bin/python3",
        "WorkingDirectory=/opt/cornerwise": f"WorkingDirectory={ROOT}",
    }.items():
        assert old in unit, old
        unit = unit.replace(old, new)
    file = tmp_path / "cornerwise@8317.service"
    file.write_text(unit + "\n")
    judged = subprocess.run([judge, "verify", str(file)], capture_output=True, text=True, check=False)
    ours = [line for line in judged.stderr.splitlines() if "cornerwise" in line]
    assert not ours, judged.stderr
