"""What a stranger may send to the door: every time a 4xx, and nothing on the shelf changed."""

from __future__ import annotations

import contextlib
import json
import socket
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from starlette.datastructures import URL
from starlette.requests import Request

from server.store.versions import Saved, Store
from tests.server.attack import FORM, PLAN, Guild, changes, held
from tests.server.samples import a_plan
from tests.server.serving import NO_RATES, Planner


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


@pytest.mark.attack
@pytest.mark.parametrize("host", ["quilts.example/static/?", "quilts.example/enter#", "x/a/plan.json?key=1&"])
def test_a_forged_host_opens_no_door(tmp_path: Path, host: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the framework makes of it: an address of Host and path, as older releases put it together."""

    def forged(request: Request) -> URL:
        return URL(f"http://{request.headers['host']}{request.scope['path']}")

    monkeypatch.setattr(Request, "url", property(forged))
    guild = Guild(tmp_path, guild_password="pins and needles")
    try:
        for path in ("/shelf", "/", "/api/plans", "/shelf.zip"):
            held(
                "a guild's password",
                guild.send("GET", path, headers={"Host": host}).status_code in (303, 401, 421),
            )
    finally:
        guild.store.close()


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
