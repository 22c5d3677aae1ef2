"""A guild's planner in this process, a stranger who sends it things, and how many of her tries got through."""

from __future__ import annotations

import asyncio
import zipfile
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx

from server.app import create_app
from server.settings import Settings
from server.store.backup import backup
from server.store.versions import Store
from tests.server.samples import a_plan

Send = Callable[..., httpx.Response]
PAGE = {"accept": "text/html"}
NASTY = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>"
PLAN = a_plan("Theirs").model_dump(mode="json")
FORM = {f"sides_in.{side}": "80" for side in ("top", "right", "bottom", "left")} | {"border": "6"}

TRIED: Counter[str] = Counter()  # what was attacked -> tries
THROUGH: Counter[str] = Counter()  # of them got through


def held(what: str, holds: bool, words: object = "") -> None:
    """Count a try at `what`, and fail when it got through."""
    TRIED[what] += 1
    THROUGH[what] += not holds
    assert holds, (what, words)


class Guild:
    """A guild's planner in this process, and a stranger who sends it things."""

    def __init__(self, folder: Path, **settings: Any) -> None:
        wide = {"looks_a_minute": 10**6, "changes_a_minute": 10**6, "tries_a_minute": 10**6}
        self.settings = Settings(data_folder=folder, guild=True, **{**wide, **settings})
        self.store = Store.of(self.settings)
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


def changes(plan_id: str) -> list[tuple[str, str, dict[str, Any]]]:
    """Every request that changes a plan."""
    api, page = f"/api/plans/{plan_id}", f"/plans/{plan_id}"
    return [
        ("PUT", api, {"json": {"plan": PLAN, "base_version": 1}}),
        ("DELETE", api, {}),
        ("POST", f"{api}/undelete", {}),
        ("POST", f"{api}/restore", {"json": {"version": 1}}),
        ("POST", f"{api}/links", {"json": {"may": "edit"}}),
        ("DELETE", f"{api}/links/LINK", {}),
        ("POST", f"{api}/keys", {}),
        ("POST", f"{page}/restore", {"data": {"version": "1"}}),
        ("POST", f"{page}/links", {"data": {"may": "edit"}}),
        ("POST", f"{page}/links/stop", {"data": {"link": "0" * 64}}),
        ("POST", f"{page}/keys", {}),
        ("POST", f"{page}/tags", {"data": {"tags": "stolen"}}),
        ("POST", f"{page}/delete", {}),
        ("POST", f"{page}/undelete", {}),
    ]
