"""A real server on loopback, a browser before it, and a watch on everything that must not happen."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator

import pytest
import uvicorn
from playwright.sync_api import Page, Request, expect

from server.app import create_app
from server.settings import Settings

expect.set_options(timeout=30_000)  # a busy machine is no fault of the page


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where the planner is served for this test run."""
    listener = socket.socket()
    listener.bind(("127.0.0.1", 0))
    app = create_app(Settings(data_folder=tmp_path_factory.mktemp("data")))
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield f"http://127.0.0.1:{listener.getsockname()[1]}"
    server.should_exit = True
    thread.join(10)


@pytest.fixture
def watched(page: Page, address: str) -> Iterator[Page]:
    """A page that may not complain in its console, nor ask anyone but the planner."""
    complaints: list[str] = []
    page.set_default_timeout(90_000)
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))

    def check(request: Request) -> None:
        if not request.url.startswith((address, "data:", "blob:")):
            complaints.append(f"asked another machine: {request.url}")

    page.on("request", check)
    yield page
    assert complaints == []
