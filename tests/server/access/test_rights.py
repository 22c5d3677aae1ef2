"""Who may do what: without the right key nothing is seen and nothing changes."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import httpx
import pytest

from planner.demo import demo_plan
from server.app import create_app
from server.settings import Settings
from server.store.keys import new_key
from server.store.versions import Saved
from tests.server.attack import PAGE, PLAN, Guild, changes, held
from tests.server.samples import a_plan


def test_the_list_above_is_every_changing_address(guild: Guild) -> None:
    """A new address that changes a plan must stand in the list, or be known to make only new plans."""
    makes_new = {"/api/plans", "/plans", "/shelf/bring", "/api/plans/{plan_id}/copy", "/plans/{plan_id}/copy"}
    solves_only = {"/api/proposals", "/api/layout", "/api/compare", "/enter", "/name"}
    goes_on_in_the_address = {"/plans/{plan_id}/drift"}  # for whoever may not save
    makes_new |= goes_on_in_the_address
    listed = {
        (method, path.replace("ID", "{plan_id}").replace("LINK", "{link_id}"))
        for method, path, _ in changes("ID")
    }
    for route in guild.app.state.routes:
        for method in route.methods - {"GET", "HEAD"}:
            assert route.path in makes_new | solves_only or (method, route.path) in listed, route.path


def test_a_run_spread_anew_by_who_may_only_look_is_not_saved(guild: Guild) -> None:
    saved = guild.store.create(demo_plan())
    before = guild.all_rows()
    form = {"side": "top", "curl": "2", "by": "1/16"}
    for key, status in ((saved.view_key, {303}), (None, {404})):
        headers = {"Plan-Key": key.encode()} if key else {}
        answer = guild.send("POST", f"/plans/{saved.id}/drift", headers=headers, data=form)
        assert answer.status_code in status, answer.text
        assert answer.headers.get("location", "/plans/c").startswith("/plans/c"), "in the address"
    assert guild.all_rows() == before


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
    home = create_app(Settings(data_folder=tmp_path), names=frozenset({"192.168.1.5"}))

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


@pytest.mark.attack
def test_an_edit_key_changes_the_plan_and_no_more(guild: Guild, saved: Saved) -> None:
    """It cannot bin the plan, hand out links, or stop them: its maker is never locked out."""
    key = {"Plan-Key": str(saved.edit_key)}
    before = guild.all_rows()
    for method, path, body in changes(saved.id):
        if path.endswith(("/links", "/keys", "/delete", "/undelete")) or method == "DELETE":
            answer = guild.send(method, path, headers=key, **body)
            held("edit keys", answer.status_code == 403, (method, path, answer.status_code))
    assert guild.all_rows() == before
    for method, path, body in changes(saved.id):
        if path.endswith(("/restore", "/tags")) or method == "PUT":
            assert guild.send(method, path, headers=key, **body).status_code < 400
    own = {"Plan-Key": str(saved.own_key)}
    renewed = guild.send("POST", f"/api/plans/{saved.id}/keys", headers=own).json()
    assert guild.send("GET", f"/api/plans/{saved.id}", headers=key).status_code == 404
    own = {"Plan-Key": renewed["own_key"]}
    assert guild.send("DELETE", f"/api/plans/{saved.id}", headers=own).status_code == 204
    assert guild.send("POST", f"/api/plans/{saved.id}/undelete", headers=own).status_code == 204


@pytest.mark.attack
def test_a_link_never_hands_out_the_plan_itself(guild: Guild, saved: Saved) -> None:
    own = {"Plan-Key": str(saved.own_key)}
    answer = guild.send("POST", f"/api/plans/{saved.id}/links", headers=own, json={"may": "own"})
    held("edit keys", answer.status_code == 422)
