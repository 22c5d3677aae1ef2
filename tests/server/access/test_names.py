"""Host names are read strictly: what does not parse, or is none of ours, is turned away before anything else."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import httpx
import pytest

from server.app import create_app
from server.settings import Settings
from tests.server.attack import PLAN, held

STRANGE = [
    b"evil{x.example", b"evil.example:99999", b"", b"evil@127.0.0.1", b"127.0.0.1@evil.example", b"evil.example",
    b"127.0.0.1:8317:1", b"[::1", b"::1", b"127.0.0.1 evil", b"127.0.0.1/evil", b"127.0.0.1#evil", b"127.0.0.1:x",
    b"127.0.0.1.evil.example", b"localhost.evil.example", b"evil.local", b"\xff127.0.0.1", b"[evil]", b"0x7f000001",
    b"127.0.0.1\\evil", b"127.0.0.1?evil", b"evil{x.example:8317", b"[::1]evil", b"%31",
    b"_.example", b".localhost",
]  # fmt: skip


def sent(app: Any, hosts: list[bytes], method: str = "POST", path: str = "/api/plans") -> httpx.Response:
    """What the owner's own browser sends, with these Host headers."""

    async def once() -> httpx.Response:
        transport = httpx.ASGITransport(app, client=("127.0.0.1", 40000))
        async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1:8317") as browser:
            request = browser.build_request(method, path, json={"plan": PLAN})
            others = [(name, value) for name, value in request.headers.raw if name.lower() != b"host"]
            request.headers = httpx.Headers([*((b"Host", host) for host in hosts), *others])
            return await browser.send(request)

    return asyncio.run(once())


@pytest.mark.attack
@pytest.mark.parametrize("guild", [False, True])
def test_a_name_that_is_not_ours_gets_nowhere(tmp_path: Path, guild: bool) -> None:
    app = create_app(Settings(data_folder=tmp_path, guild=guild, names="quilts.example" if guild else ""))
    for hosts in [[host] for host in STRANGE] + [[], [b"127.0.0.1", b"evil.example"]]:
        answer = sent(app, hosts)
        held("host names", answer.status_code == 421, (hosts, answer.status_code))


def test_our_own_names_are_answered(tmp_path: Path) -> None:
    app = create_app(Settings(data_folder=tmp_path), names=frozenset({"192.168.1.5", "loft.local"}))
    for host in (b"127.0.0.1:8317", b"localhost", b"LOCALHOST:1", b"[::1]:8317", b"127.0.0.2"):
        assert sent(app, [host]).status_code == 201, host
    for host in (b"192.168.1.5:8317", b"loft.local:8317", b"Loft.local"):
        assert sent(app, [host], "GET", "/shelf").status_code == 200, host
    assert sent(app, [b"other.local"], "GET", "/shelf").status_code == 421


@pytest.mark.attack
def test_another_page_cannot_make_a_browser_ask_for_drawings(tmp_path: Path) -> None:
    app = create_app(Settings(data_folder=tmp_path))

    def asked(path: str, **fetch: str) -> int:
        async def once() -> int:
            transport = httpx.ASGITransport(app, client=("127.0.0.1", 40000))
            async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1:8317") as browser:
                headers = {f"Sec-Fetch-{name}": value for name, value in fetch.items()}
                return (await browser.get(path, headers=headers)).status_code

        return asyncio.run(once())

    for path in (
        "/fill.svg?plan=c1.x",
        "/playback",
        "/picture.svg",
        "/supplies?counted=on",
        "/compare",
        "/",
        "/chalk",
    ):
        for site in ("cross-site", "same-site"):
            for mode, dest in (
                ("no-cors", "image"),
                ("no-cors", "script"),
                ("cors", "empty"),
                ("navigate", "iframe"),
            ):
                status = asked(path, Site=site, Mode=mode, Dest=dest)
                held("costly looks", status == 403, (path, site, mode, dest, status))
    assert asked("/shelf", Site="cross-site", Mode="navigate", Dest="document") == 200  # a link in a letter
    assert asked("/look.css", Site="same-origin", Mode="no-cors", Dest="style") == 200
