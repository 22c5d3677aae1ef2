"""A guild's password: what it closes, and that its door leads nowhere else."""

from __future__ import annotations

import html
import re
from pathlib import Path
from typing import Any

import httpx
import pytest

from server.store.keys import new_key
from tests.server.attack import PAGE, PLAN, Guild, changes, held
from tests.server.samples import a_plan


def test_the_door_leads_nowhere_else(tmp_path: Path) -> None:
    guild = Guild(tmp_path, guild_password="thimble")
    for to in (
        "https://evil.example",
        "//evil.example",
        "/\\evil.example",
        "javascript:alert(1)",
        "/a\r\nX: y",
    ):
        answer = guild.send("POST", "/enter", params={"to": to}, data={"password": "thimble"})
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
    answer = guild.send("POST", "/enter", data={"password": "thimble"})
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


@pytest.mark.attack
def test_tries_are_counted_for_the_password_too(tmp_path: Path) -> None:
    """From sixty addresses, six tries each: no more than the password's own share gets an answer."""
    guild = Guild(tmp_path, guild_password="thimble", tries_a_minute=6, all_tries_a_minute=30)
    answers = [
        guild.send("POST", "/enter", data={"password": str(n)}, client=f"203.0.113.{n % 60}").status_code
        for n in range(120)
    ]
    held("the password", answers.count(403) <= 32, f"{answers.count(403)} guesses answered")
    held("the password", set(answers) == {403, 429})


@pytest.mark.attack
def test_who_a_proxy_names_is_believed_of_named_proxies_only(tmp_path: Path) -> None:
    def guesses(proxies: str, folder: str) -> int:
        guild = Guild(tmp_path / folder, guild_password="thimble", tries_a_minute=6, proxies=proxies)
        sent = [
            guild.send(
                "POST",
                "/enter",
                data={"password": "x"},
                client="127.0.0.1",
                headers={"X-Forwarded-For": f"10.0.0.{n}"},
            )
            for n in range(20)
        ]
        return [answer.status_code for answer in sent].count(403)

    held("the password", guesses("", "none") == 6, "a forged X-Forwarded-For")
    assert guesses("127.0.0.1", "named") == 20  # the judge can see: a named proxy is believed


def cookies_of(answer: httpx.Response) -> str:
    return "; ".join(line.split(";")[0] for line in answer.headers.get_list("set-cookie"))


@pytest.mark.attack
def test_a_ring_is_renewed_when_the_password_is_said(tmp_path: Path) -> None:
    """A ring that somebody else knows, or put into the browser, opens nothing afterwards; hers holds all."""
    guild = Guild(tmp_path, guild_password="thimble")
    hers = cookies_of(guild.send("POST", "/enter", data={"password": "thimble"}))
    made = guild.send("POST", "/api/plans", headers={"Cookie": hers}, json={"plan": PLAN}).json()
    there = f"/api/plans/{made['id']}"
    assert guild.send("GET", there, headers={"Cookie": hers}).status_code == 200
    fresh = cookies_of(guild.send("POST", "/enter", data={"password": "thimble"}, headers={"Cookie": hers}))
    assert guild.send("GET", there, headers={"Cookie": fresh}).status_code == 200
    held("rings", guild.send("GET", there, headers={"Cookie": hers}).status_code == 404, "a ring from before")


@pytest.mark.attack
def test_behind_tls_cookies_belong_to_this_host_alone(tmp_path: Path) -> None:
    guild = Guild(tmp_path, proxies="127.0.0.1")
    tls = {"X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.9"}

    def send(method: str, path: str, cookie: str = "", **more: Any) -> httpx.Response:
        headers = tls | ({"Cookie": cookie} if cookie else {})
        return guild.send(method, path, client="127.0.0.1", headers=headers, **more)

    made = send("POST", "/api/plans", json={"plan": PLAN})
    cookie = made.headers["set-cookie"]
    for word in ("__Host-cornerwise_ring=", "Secure", "HttpOnly", "Path=/"):
        assert word in cookie
    ring = cookie.split(";")[0]
    there = f"/api/plans/{made.json()['id']}"
    assert send("GET", there, ring).status_code == 200
    planted = ring.removeprefix("__Host-")
    held(
        "rings", send("GET", there, planted).status_code == 404, "a cookie that a neighbour of the domain set"
    )
    moved = send("GET", "/shelf", planted)  # a browser that was here before the name changed keeps its plans
    assert send("GET", there, cookies_of(moved)).status_code == 200
    held("rings", send("GET", there, ring).status_code == 404, "the ring that was moved")


def test_who_tried_too_often_is_asked_again_when_she_may(tmp_path: Path) -> None:
    guild = Guild(tmp_path, guild_password="thimble", tries_a_minute=2)
    page = guild.send("GET", "/enter?to=/new?a=1%262", headers=PAGE).text
    there = html.unescape(re.findall(r'action="([^"]+)"', page)[0])
    for _ in range(3):
        locked = guild.send("POST", there, data={"password": "Thimble"}, headers=PAGE)
    assert (locked.status_code, int(locked.headers["retry-after"]) > 0) == (429, True)
    assert f"Too many passwords were tried. Wait {locked.headers['retry-after']} s" in locked.text
    assert 'type="password"' in locked.text
    assert html.unescape(re.findall(r'action="([^"]+)"', locked.text)[0]) == there
    let_in = guild.send("POST", there, data={"password": "thimble"}, client="203.0.113.10")
    assert let_in.headers["location"] == "/new?a=1&2"
