"""What all tests share: the long mode, and how Debian's browser is started."""

from __future__ import annotations

import os
import shutil
from typing import Any

import pytest
from hypothesis import settings

# A busy machine is no fault of the code: nothing is timed in the tests.
settings.register_profile("house", deadline=None)
settings.load_profile("house")

CHROMIUM = shutil.which("chromium")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="also run what takes minutes")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for item in items:
        if "long" in item.keywords and not config.getoption("--long"):
            item.add_marker(pytest.mark.skip(reason="long mode only (--long)"))
        if "browser" in item.keywords and CHROMIUM is None:
            item.add_marker(pytest.mark.skip(reason="no chromium here: apt-get install chromium"))


@pytest.fixture(scope="session")
def browser_type_launch_args() -> dict[str, Any]:
    """Debian's chromium, quiet: no sandbox where it could not start (as root), no calls home."""
    flags = ["--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
    flags += ["--disable-component-update", "--disable-sync"]
    if os.geteuid() == 0:
        flags.append("--no-sandbox")
    return {"executable_path": CHROMIUM, "args": flags}
