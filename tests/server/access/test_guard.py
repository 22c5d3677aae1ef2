"""What somebody who means harm may send: every time a 4xx, and nothing on the shelf changed."""

from __future__ import annotations

import asyncio
import contextlib
import io
import json
import re
import socket
import time
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from server.app import create_app
from server.settings import Settings
from server.store.backup import backup
from server.store.keys import new_key
from server.store.links import pack
from server.store.planfile import write_plan_file
from server.store.versions import Saved, Store
from tests.server.samples import a_plan
from tests.server.serving import NO_RATES, Planner

Send = Callable[..., httpx.Response]
PAGE = {"accept": "text/html"}
NASTY = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>"


class Guild:
    """A guild's planner in this process, and a stranger who sends it things."""

    def __init__(self, folder: Path, **settings: Any) -> None:
        wide = {"looks_a_minute": 10**6, "changes_a_minute": 10**6, "tries_a_minute": 10**6}
        self.settings = Settings(data_folder=folder, guild=True, **{**wide, **settings})
        self.store = Store(self.settings.store_url)
        self.app = create_app(self.settings, self.store)
        self.folder = folder

    def send(self, method: str, path: str, *, client: str = "203.0.113.9", **more: Any) -> httpx.Response:
        async def once() -> httpx.Response:
            transport = httpx.ASGITransport(self.app, raise_app_exceptions=False, client=(client, 40000))
            async with httpx.AsyncClient(transport=transport, base_url="http://quilts.example") as browser:
                return await browser.request(method, path, **more)

        return asyncio.run(once())

    def all_rows(self) -> dict[str, bytes]:
        file = self.folder / "judge.zip"
        backup(self.settings.store_url, file)
        with zipfile.ZipFile(file) as archive:
            rows = {name: archive.read(name) for name in archive.namelist()}
        file.unlink()
        return rows


@pytest.fixture
def guild(tmp_path: Path) -> Iterator[Guild]:
    made = Guild(tmp_path)
    yield made
    made.store.close()


@pytest.fixture
def saved(guild: Guild) -> Saved:
    return guild.store.create(a_plan("Hers", tags=("gift",)))


PLAN = a_plan("Theirs").model_dump(mode="json")
FORM = {f"sides_in.{side}": "80" for side in ("top", "right", "bottom", "left")} | {"border": "6"}


def changes(plan_id: str) -> list[tuple[str, str, dict[str, Any]]]:
    """Every request that changes a plan."""
    api, page = f"/api/plans/{plan_id}", f"/plans/{plan_id}"
    return [
        ("PUT", api, {"json": {"plan": PLAN, "base_version": 1}}),
        ("DELETE", api, {}),
        ("POST", f"{api}/undelete", {}),
        ("POST", f"{api}/restore", {"json": {"version": 1}}),
        ("POST", f"{api}/links", {"json": {"may": "edit"}}),
        ("POST", f"{api}/keys", {}),
        ("POST", f"{page}/restore", {"data": {"version": "1"}}),
        ("POST", f"{page}/links", {"data": {"may": "edit"}}),
        ("POST", f"{page}/keys", {}),
        ("POST", f"{page}/tags", {"data": {"tags": "stolen"}}),
        ("POST", f"{page}/delete", {}),
        ("POST", f"{page}/undelete", {}),
    ]


def test_the_list_above_is_every_changing_address(guild: Guild) -> None:
    """A new address that changes a plan must stand in the list, or be known to make only new plans."""
    makes_new = {"/api/plans", "/plans", "/shelf/bring", "/api/plans/{plan_id}/copy", "/plans/{plan_id}/copy"}
    solves_only = {"/api/proposals", "/api/layout", "/api/compare", "/enter"}
    listed = {(method, path.replace("ID", "{plan_id}")) for method, path, _ in changes("ID")}
    for route in guild.app.state.routes:
        for method in route.methods - {"GET", "HEAD"}:
            assert route.path in makes_new | solves_only or (method, route.path) in listed, route.path


def test_only_the_edit_key_changes_anything(guild: Guild, saved: Saved) -> None:
    other = guild.store.create(a_plan("Other"))
    before = guild.all_rows()
    wrong = {"none": None, "empty": "", "view": saved.view_key, "another plan's": other.edit_key}
    wrong |= {
        "made up": new_key(),
        "cut": str(saved.edit_key)[:-1],
        "long": "A" * 5000,
        "letters": "é' OR 1=1--",
    }
    for what, key in wrong.items():
        headers = {} if key is None else {"Plan-Key": key.encode()}
        for method, path, body in changes(saved.id):
            answer = guild.send(method, path, headers=headers, **body)
            assert answer.status_code in ({403} if what == "view" else {404}), (
                what,
                method,
                path,
                answer.text,
            )
            assert str(saved.edit_key) not in answer.text
    assert guild.all_rows() == before


def test_the_edit_key_does_change(guild: Guild, saved: Saved) -> None:
    """The judge can see: with the right key the same requests go through."""
    before = guild.all_rows()
    method, path, body = changes(saved.id)[0]
    answer = guild.send(method, path, headers={"Plan-Key": str(saved.edit_key)}, **body)
    assert answer.status_code == 200
    assert guild.all_rows() != before


def test_without_a_key_nothing_is_seen(guild: Guild, saved: Saved) -> None:
    looks = [
        "",
        "/share",
        "/versions",
        "/compare?one=1&other=1",
        "/plan.json",
        "/picture.svg",
        "/chalk",
        "/pattern.svg",
    ]
    for path in [f"/plans/{saved.id}{look}" for look in looks] + [f"/api/plans/{saved.id}"]:
        answer = guild.send("GET", path, headers=PAGE)
        assert answer.status_code == 404, path
        assert "Hers" not in answer.text
    assert "Hers" not in guild.send("GET", "/shelf").text
    assert guild.send("GET", "/api/plans").json()["total"] == 0
    assert guild.send("GET", "/shelf.zip").content.count(b"plans/") == 0
    answer = guild.send("GET", f"/plans/{saved.id}?key={saved.view_key}")
    assert (answer.status_code, answer.headers["location"]) == (303, f"/plans/{saved.id}")


def test_only_who_sits_at_the_machine_is_the_owner(tmp_path: Path) -> None:
    home = create_app(Settings(data_folder=tmp_path))

    def sent(method: str, path: str, client: str, headers: dict[str, str], **more: Any) -> httpx.Response:
        async def once() -> httpx.Response:
            transport = httpx.ASGITransport(home, client=(client, 40000))
            async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1:8317") as browser:
                return await browser.request(method, path, headers=headers, **more)

        return asyncio.run(once())

    plan_id = sent("POST", "/api/plans", "127.0.0.1", {}, json={"plan": PLAN}).json()["id"]
    forwarded: list[tuple[str, dict[str, str], int]] = [
        ("192.168.1.7", {"Host": "192.168.1.5:8317"}, 403),
        ("192.168.1.7", {"Host": "127.0.0.1"}, 403),
        ("127.0.0.1", {"X-Forwarded-For": "127.0.0.1"}, 403),
        ("127.0.0.1", {"Via": "1.1 proxy"}, 403),
        ("127.0.0.1", {"Host": "192.168.1.5"}, 403),
        ("192.168.1.7", {"Host": "192.168.1.5", "Cookie": "cornerwise_house="}, 403),
        ("127.0.0.1", {"Host": "rebound.example"}, 421),
        ("127.0.0.1", {}, 204),  # she herself
    ]
    for client, headers, status in forwarded:
        answer = sent("DELETE", f"/api/plans/{plan_id}", client, headers)
        assert answer.status_code == status, (client, headers)
    assert sent("GET", "/house?key=", "192.168.1.7", {}).status_code == 403
    invited = sent("GET", f"/house?key={home.state.house_key}", "192.168.1.7", {})
    cookie = invited.headers["set-cookie"].split(";")[0]
    answer = sent("POST", f"/api/plans/{plan_id}/undelete", "192.168.1.7", {"Cookie": cookie})
    assert answer.status_code == 204


@pytest.mark.parametrize(
    "plan_id",
    ["../../etc/passwd", "..%2f..%2fetc%2fpasswd", "%00", "a" * 5000, "%0d%0aSet-Cookie:%20a=b", "' OR '1'='1",
     "aaaaaaaaaaaaaaaaaaaa", "AAAAAAAAAAAAAAAAAAAA", "…", "%ff", "-1", "null"],
)  # fmt: skip
def test_ids_that_lead_elsewhere(guild: Guild, plan_id: str) -> None:
    before = guild.all_rows()
    for path in (
        f"/plans/{plan_id}",
        f"/api/plans/{plan_id}",
        f"/plans/{plan_id}/plan.json",
        f"/static/{plan_id}",
    ):
        answer = guild.send("GET", path)
        assert 400 <= answer.status_code < 500, path
        assert "root:" not in answer.text
        assert "a" not in answer.cookies
    for method, path, body in changes(plan_id):
        assert 400 <= guild.send(method, path, **body).status_code < 500
    assert guild.all_rows() == before


def test_script_in_names_is_only_ever_text(guild: Guild) -> None:
    made = guild.store.create(a_plan(NASTY, tags=(NASTY[:40],), typed={"sides_in.top": NASTY[:40]}))
    guild.store.save(made.id, a_plan(NASTY + "2"), 1)
    key = {"Plan-Key": str(made.edit_key)}
    looks = ["", "/share", "/versions", "/compare?one=1&other=2", "/chalk"]
    pages = [guild.send("GET", f"/plans/{made.id}{look}", headers=key | PAGE) for look in looks]
    ring = guild.send("POST", "/api/plans", json={"plan": PLAN | {"name": NASTY, "tags": [NASTY[:40]]}})
    cookie = {"Cookie": ring.headers["set-cookie"].split(";")[0]}
    pages += [guild.send("GET", f"/shelf?query={NASTY[:9]}&tag=", headers=cookie)]
    pages += [guild.send("GET", "/shelf", params={"query": NASTY, "tag": NASTY[:40]}, headers=cookie)]
    pages += [
        guild.send("GET", "/enter", params={"to": NASTY}),
        guild.send("GET", "/open", params={"plan": NASTY}, headers=PAGE),
    ]
    pages += [guild.send("GET", "/open", params={"plan": pack(a_plan(NASTY))})]
    pages += [
        guild.send("GET", f"/plans/{made.id}/picture.svg?view={view}", headers=key)
        for view in ("small", "whole")
    ]
    for page in pages:
        assert page.status_code in {200, 422}, page.url
        assert "<script>alert" not in page.text, page.url
        assert not re.search(r"<[^>]*\sonerror=[^>]*>", re.sub(r'"[^"]*"', '""', page.text)), page.url
        assert "'unsafe" not in page.headers["content-security-policy"]


def test_names_inject_no_header(guild: Guild) -> None:
    for name in ("a\r\nSet-Cookie: owned=1", 'a"; filename="evil.exe', "縁取り\x00", "../../x", "\u2028"):
        made = guild.store.create(a_plan(name))
        answer = guild.send("GET", f"/plans/{made.id}/plan.json", headers={"Plan-Key": str(made.view_key)})
        assert answer.status_code == 200
        assert "owned" not in answer.cookies
        disposition = answer.headers["content-disposition"]
        assert disposition.startswith('attachment; filename="')
        assert not any(c in disposition for c in "\r\n\x00")
        assert disposition.count('"') == 2
        assert "/" not in disposition
        assert json.loads(answer.content)["plan"]["name"] == name


def test_deep_large_and_broken_bodies(guild: Guild, saved: Saved) -> None:
    before = guild.all_rows()
    key = {"Plan-Key": str(saved.edit_key), "Content-Type": "application/json"}
    deep = b'{"plan":' + b"[" * 100_000 + b"]" * 100_000 + b"}"
    wide = b'{"plan":{"tags":[' + b'"a",' * 400_000 + b'"a"]}}'
    for body, status in (
        (deep, 400), (wide, 413), (b"{", 400), (b"\xff\xfe", 400), (b"", 422), (b"null", 422), (b"[1]", 422),
        (b'{"plan":{},"base_version":1}', 422), (b'{"plan":null,"base_version":1e999}', 422),
        (json.dumps({"plan": PLAN, "base_version": 2**70}).encode(), 422),
        (json.dumps({"plan": PLAN | {"name": "x" * 9000}, "base_version": 1}).encode(), 422),
        (json.dumps({"plan": PLAN | {"__proto__": {}}, "base_version": 1}).encode(), 422),
        (b'{"plan":' + json.dumps(PLAN).encode()[:-1] + b',"name":"\\ud800"},"base_version":1}', 400),
    ):  # fmt: skip
        answer = guild.send("PUT", f"/api/plans/{saved.id}", content=body, headers=key)
        assert 400 <= answer.status_code < 500, (body[:60], answer.status_code)
        if answer.status_code != status:
            assert {answer.status_code, status} <= {400, 422}, (body[:60], answer.status_code)
    for content_type in (
        "text/plain",
        "application/x-www-form-urlencoded",
        "multipart/form-data; boundary=x",
        "",
    ):
        headers = key | {"Content-Type": content_type}
        answer = guild.send("PUT", f"/api/plans/{saved.id}", content=b"--x\r\n" * 50_000, headers=headers)
        assert 400 <= answer.status_code < 500
    many = "&".join(f"f{n}=1" for n in range(20_000))
    form = {"Content-Type": "application/x-www-form-urlencoded"}
    assert 400 <= guild.send("POST", "/plans", content=many, headers=form).status_code < 500
    assert guild.all_rows() == before


def test_damaged_links_and_files(guild: Guild) -> None:
    before = guild.all_rows()
    good = pack(a_plan())
    for link in (
        "",
        good[:-1],
        good[:50],
        good + "A",
        good.replace("c1", "c9"),
        "c1.AAAA",
        "x" * 9001,
        "c1." + "A" * 8000,
    ):
        assert guild.send("GET", "/open", params={"plan": link}).status_code == 422
        assert guild.send("POST", "/shelf/bring", data={"link": link}).status_code == 422
    assert (
        guild.send(
            "POST", "/shelf/bring", data={"link": "http://other.example/plans/" + "a" * 20}
        ).status_code
        == 422
    )
    bomb = io.BytesIO()
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("shelf.json", b" " * 40_000_000)
    for raw in (b"", b"{", b"PK\x03\x04", bomb.getvalue(), write_plan_file(a_plan())[:-40], b"\x00" * 1000):
        assert guild.send("POST", "/shelf/bring", files={"file": ("x", raw)}).status_code == 422
    assert guild.all_rows() == before


def test_other_sites_cannot_ask_for_changes(guild: Guild, saved: Saved) -> None:
    before = guild.all_rows()
    key = {"Plan-Key": str(saved.edit_key)}
    for headers in (
        {"Origin": "https://evil.example"}, {"Origin": "null"}, {"Origin": "http://quilts.example.evil.example"},
        {"Sec-Fetch-Site": "cross-site"}, {"Sec-Fetch-Site": "same-site"},
        {"Origin": "http://quilts.example", "Sec-Fetch-Site": "cross-site"},
    ):  # fmt: skip
        for method, path, body in [
            *changes(saved.id),
            ("POST", "/plans", {"data": FORM}),
            ("POST", "/enter", {}),
        ]:
            assert guild.send(method, path, headers=key | headers, **body).status_code == 403
    assert guild.all_rows() == before
    for headers in ({"Origin": "http://quilts.example"}, {"Sec-Fetch-Site": "same-origin"}):
        answer = guild.send(
            "POST", f"/plans/{saved.id}/tags", headers=key | headers, data={"tags": f"t{len(headers)}"}
        )
        assert answer.status_code == 303
    cookie = guild.send("POST", "/plans", data=FORM).headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie


def test_the_door_leads_nowhere_else(tmp_path: Path) -> None:
    guild = Guild(tmp_path, guild_password="thimble")
    for to in (
        "https://evil.example",
        "//evil.example",
        "/\\evil.example",
        "javascript:alert(1)",
        "/a\r\nX: y",
    ):
        answer = guild.send("POST", "/enter", data={"password": "thimble", "to": to})
        assert (answer.status_code, answer.headers["location"]) == (303, "/shelf")


def test_a_guild_password_closes_everything(tmp_path: Path) -> None:
    guild = Guild(tmp_path, guild_password="thimble", tries_a_minute=6)
    made = guild.store.create(a_plan("Hers"))
    before = guild.all_rows()
    key = {"Plan-Key": str(made.edit_key)}
    for path in ("/", "/new", "/shelf", f"/plans/{made.id}", "/openapi.json", "/compare", "/supplies"):
        answer = guild.send("GET", path, headers=key)
        assert answer.status_code == 303
        assert answer.headers["location"].startswith("/enter?to=")
    for method, path, body in changes(made.id):
        assert guild.send(method, path, headers=key, **body).status_code == 401
    for path in ("/health", "/enter", "/static/cornerwise.css"):
        assert guild.send("GET", path).status_code == 200
    file = f"/plans/{made.id}/plan.json"
    assert guild.send("GET", file).status_code == 303
    assert guild.send("GET", f"{file}?key={made.view_key}").status_code == 200  # it opens by its own key
    assert guild.send("GET", f"{file}?key={new_key()}").status_code == 404
    wrong = [
        guild.send("POST", "/enter", data={"password": word})
        for word in ("", "Thimble", "thimble ", "x" * 200)
    ]
    assert [answer.status_code for answer in wrong] == [403] * 4
    assert all("set-cookie" not in answer.headers for answer in wrong)
    answer = guild.send("POST", "/enter", data={"password": "thimble", "to": "/shelf"})
    cookies = "; ".join(line.split(";")[0] for line in answer.headers.get_list("set-cookie"))
    assert guild.send("GET", "/shelf", headers={"Cookie": cookies}).status_code == 200
    ring, pass_ = cookies.split("; ")
    for forged in (
        ring,
        pass_,
        f"cornerwise_ring={new_key()}; {pass_}",
        f"{ring}; cornerwise_guild=" + "0" * 64,
    ):
        assert guild.send("GET", "/shelf", headers={"Cookie": forged}).status_code == 303
    tries = [guild.send("POST", "/enter", data={"password": str(n)}).status_code for n in range(6)]
    assert tries[-1] == 429
    assert (
        guild.send("POST", "/enter", data={"password": "thimble"}, client="203.0.113.10").status_code == 303
    )
    assert guild.all_rows() == before


def test_too_many_requests_wait(tmp_path: Path) -> None:
    guild = Guild(tmp_path, changes_a_minute=5, looks_a_minute=20)
    answers = [guild.send("POST", "/api/plans", json={"plan": PLAN}) for _ in range(8)]
    assert [answer.status_code for answer in answers] == [201] * 5 + [429] * 3
    assert int(answers[-1].headers["retry-after"]) >= 1
    assert guild.store.search().total == 5
    assert guild.send("POST", "/api/plans", json={"plan": PLAN}, client="203.0.113.77").status_code == 201
    one, other = "2001:db8:1:2::1", "2001:db8:1:2:ffff::9"  # two addresses of one house
    assert [
        guild.send("POST", "/api/plans", json={"plan": PLAN}, client=one).status_code for _ in range(5)
    ] == [201] * 5
    assert guild.send("POST", "/api/plans", json={"plan": PLAN}, client=other).status_code == 429


def test_every_answer_is_closed_to_other_sites(guild: Guild, saved: Saved) -> None:
    for path in (
        "/shelf",
        "/health",
        "/api/plans",
        "/nowhere",
        f"/plans/{saved.id}?key=x",
        "/static/shelf.css",
    ):
        headers = guild.send("GET", path).headers
        assert "default-src 'self'" in headers["content-security-policy"]
        assert "frame-ancestors 'none'" in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"
        assert not any(name.startswith("access-control") for name in headers)


@pytest.fixture
def planner(tmp_path: Path) -> Iterator[Planner]:
    settings = NO_RATES | {"CORNERWISE_SLOWEST_BODY_S": "1.5"}
    made = Planner(f"sqlite:///{tmp_path / 'plans.db'}", tmp_path / "log", settings=settings)
    made.start()
    yield made
    made.kill()


def test_a_real_server_under_slow_and_crooked_requests(planner: Planner, tmp_path: Path) -> None:
    key = Store(f"sqlite:///{tmp_path / 'plans.db'}").create(a_plan()).edit_key

    def raw(words: bytes, then: bytes = b"", pause: float = 0.0) -> bytes:
        with socket.create_connection(("127.0.0.1", planner.port), timeout=20) as wire:
            wire.sendall(words)
            time.sleep(pause)
            if then:
                wire.sendall(then)
            got = b""
            with contextlib.suppress(ConnectionResetError):  # it may hang up on what it has refused
                while chunk := wire.recv(65536):
                    got += chunk
            return got

    head = b"POST /api/plans HTTP/1.1\r\nHost: quilts.example\r\nConnection: close\r\n"
    head += b"Content-Type: application/json\r\n"
    assert raw(head + b"Content-Length: 5000\r\n\r\n{").split()[1] == b"408"  # and then nothing comes
    huge = raw(head + b"Content-Length: 999999999\r\n\r\n")
    assert huge == b"" or huge.split()[1] == b"413"
    for crooked in (
        b"GET / HTTP/1.1\r\n\r\n",
        b"GET /\x00 HTTP/1.1\r\nHost: a\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: a\r\nX: " + b"a" * 200_000 + b"\r\n\r\n",
        head + b"Content-Length: 5\r\nContent-Length: 6\r\n\r\nhello",
        head + b"Content-Length: -1\r\n\r\n",
        head + b"Transfer-Encoding: chunked\r\n\r\nZZ\r\n",
    ):
        answer = raw(crooked)
        assert answer == b"" or 400 <= int(answer.split()[1]) < 500, crooked[:60]
    assert httpx.get(f"{planner.url}/health").status_code == 200
    httpx.get(f"{planner.url}/plans/{'a' * 20}?key={key}")
    until = time.monotonic() + 10  # a request is logged when it is over, which is after its answer has come
    while '"status": 404' not in (log := (tmp_path / "log").read_text()) and time.monotonic() < until:
        time.sleep(0.05)
    assert str(key) not in log
    assert "key=" not in log
    assert "Traceback" not in log
    lines = [json.loads(line) for line in log.splitlines() if line.startswith("{")]
    assert {"time", "client", "method", "path", "status", "ms"} == set(lines[-1])
    assert {line["status"] for line in lines} >= {200, 404, 408, 413}
