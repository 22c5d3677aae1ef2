"""What all tests share: the long mode, the application in memory, how Debian's browser is started."""

from __future__ import annotations

import asyncio
import os
import shutil
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
import pytest
from hypothesis import settings

from planner.demo import demo_plan
from server.app import create_app
from server.settings import Settings
from tests.__main__ import tools

Ask = Callable[..., httpx.Response]

# A busy machine is no fault of the code: nothing is timed in the tests. Where a change is judged (.ci/run), every
# run draws the same examples; at home each draws new ones.
settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("house")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="also run what takes minutes")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    # The browser's driver leaves an event loop running, in which no other test could start its own.
    items.sort(key=lambda item: "browser" in item.keywords or "tests/browser" in item.nodeid)
    there = tools()
    missing = " ".join(package for package in ("chromium", "libatomic1") if not there[package])
    for item in items:
        if "long" in item.keywords and not config.getoption("--long"):
            item.add_marker(pytest.mark.skip(reason="long mode only (--long)"))
        if "browser" in item.keywords and missing:
            item.add_marker(pytest.mark.skip(reason=f"no browser here: apt-get install {missing}"))


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    """Debian's chromium, quiet: no sandbox where it could not start (as root), no calls home."""
    flags = ["--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
    flags += ["--disable-component-update", "--disable-sync"]
    if os.geteuid() == 0:
        flags.append("--no-sandbox")
    return {"executable_path": shutil.which("chromium"), "args": flags}


@pytest.fixture(scope="session")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Ask:
    """ask(method, path, **httpx arguments) -> response; an error in the server is a 500, not an exception."""
    thread = ThreadPoolExecutor(1)
    app = create_app(Settings(data_folder=tmp_path_factory.mktemp("data"), longest_work_s=300))

    def ask(method: str, path: str, **arguments: Any) -> httpx.Response:
        async def one() -> httpx.Response:
            transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1") as client:
                return await client.request(method, path, **arguments)

        return thread.submit(asyncio.run, one()).result()  # the browser tests keep a loop in this one

    return ask


@pytest.fixture
def demo() -> dict[str, Any]:
    """The demo plan as JSON, to be spoiled by a test."""
    return demo_plan().model_dump(mode="json")
