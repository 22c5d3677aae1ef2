"""Real servers on loopback, a browser before them, and a watch on everything that must not happen."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
import uvicorn
from playwright.sync_api import Browser, Page, expect

from server.app import create_app
from server.settings import Settings
from server.store.versions import Store
from tests.browser.hands import SIZES, Watch

expect.set_options(timeout=30_000)  # a busy machine is no fault of the page


@contextmanager
def serving(settings: Settings) -> Iterator[str]:
    """A planner on a port of its own; its address."""
    listener = socket.socket()
    listener.bind(("127.0.0.1", 0))
    app = create_app(settings, Store(settings.store_url))
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield f"http://127.0.0.1:{listener.getsockname()[1]}"
    server.should_exit = True
    thread.join(10)


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where the planner is served for this test run."""
    with serving(Settings(data_folder=tmp_path_factory.mktemp("data"), longest_work_s=300)) as here:
        yield here


@pytest.fixture(scope="session")
def guild(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A guild's planner, where keys decide who may do what."""
    folder = tmp_path_factory.mktemp("guild")
    with serving(
        Settings(data_folder=folder, guild=True, changes_a_minute=10**6, longest_work_s=300)
    ) as here:
        yield here


@pytest.fixture
def watched(page: Page, address: str, guild: str) -> Iterator[Page]:
    """A page that may not complain in its console, nor ask anyone but the planner."""
    watch = Watch(page, address, guild)
    yield page
    assert watch.complaints == []


@pytest.fixture(params=SIZES)
def sized(request: pytest.FixtureRequest, watched: Page) -> Page:
    """A watched page at each of the three screen sizes."""
    width, height = SIZES[request.param]
    watched.set_viewport_size({"width": width, "height": height})
    return watched


@pytest.fixture
def scriptless(browser: Browser, address: str) -> Iterator[Page]:
    """A watched page of a browser that runs no scripts."""
    context = browser.new_context(java_script_enabled=False, viewport={"width": 1180, "height": 820})
    page = context.new_page()
    watch = Watch(page, address)
    yield page
    context.close()
    assert watch.complaints == []


@pytest.fixture(params=SIZES)
def touched(request: pytest.FixtureRequest, browser: Browser, address: str) -> Iterator[Page]:
    """A watched page under a finger, at each of the three screen sizes."""
    width, height = SIZES[request.param]
    window = browser.new_context(viewport={"width": width, "height": height}, has_touch=True)
    page = window.new_page()
    watch = Watch(page, address)
    yield page
    window.close()
    assert watch.complaints == []
