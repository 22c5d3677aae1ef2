"""Slow and many: half-sent requests do not keep others out."""

from __future__ import annotations

import os
import resource
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from tests.server.attack import held
from tests.server.samples import free_port
from tests.server.serving import ROOT

HALF = b"GET /health HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: "


@pytest.fixture(params=["home", "guild"])
def port(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[int]:
    """A planner as it is started, with the descriptors that a desktop gives it."""
    port = free_port()
    limits = {"CORNERWISE_SLOWEST_HEAD_S": "1.5", "CORNERWISE_MOST_CONNECTIONS": "200"}
    environment = os.environ | limits | {"CORNERWISE_DATA_FOLDER": str(tmp_path)}
    guild = ["--guild"] if request.param == "guild" else []
    with (tmp_path / "log").open("wb") as log:
        process = subprocess.Popen(
            [sys.executable, "-m", "server", "--port", str(port), *guild],
            cwd=ROOT, env=environment, stdout=log, stderr=log,
            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_NOFILE, (256, 4096)),
        )  # fmt: skip
    until = time.monotonic() + 60
    while time.monotonic() < until:
        try:
            httpx.get(f"http://127.0.0.1:{port}/health", timeout=5)
            break
        except httpx.TransportError:
            time.sleep(0.05)
    yield port
    process.terminate()
    process.wait(30)
    assert "Traceback" not in (tmp_path / "log").read_text()


@pytest.mark.attack
def test_half_sent_heads_keep_nobody_out(port: int) -> None:
    wires = []
    for _ in range(400):
        try:
            wire = socket.create_connection(("127.0.0.1", port), timeout=2)
            wire.sendall(HALF)
            wires.append(wire)
        except OSError:
            break
    began = time.monotonic()
    try:
        answered = [httpx.get(f"http://127.0.0.1:{port}/health", timeout=10).status_code for _ in range(5)]
    except httpx.TransportError as trouble:
        answered = [str(trouble)]  # type: ignore[list-item]
    held("connections", answered == [200] * 5, answered)
    time.sleep(max(0.0, 3 - (time.monotonic() - began)))
    still = 0
    for wire in wires:
        wire.settimeout(0.2)
        try:
            still += wire.recv(1) != b""
        except TimeoutError:
            still += 1
        except OSError:
            pass
        wire.close()
    held("connections", still == 0, f"{still} of {len(wires)} half-sent heads still kept after the limit")


@pytest.mark.attack
def test_a_head_that_drips_is_cut_off(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=10) as wire:
        wire.sendall(HALF)
        cut = False
        for _ in range(20):
            time.sleep(0.2)
            try:
                wire.sendall(b"x")
            except OSError:
                cut = True
                break
        held("connections", cut, "a head that drips")
