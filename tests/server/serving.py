"""A real planner in its own processes, started as a guild starts it, to be loaded and killed."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import httpx

from tests.server.samples import free_port

ROOT = Path(__file__).resolve().parents[2]
NO_RATES = {
    "CORNERWISE_LOOKS_A_MINUTE": "100000000",
    "CORNERWISE_CHANGES_A_MINUTE": "100000000",
    "CORNERWISE_TRIES_A_MINUTE": "100000000",
}


class Planner:
    """`python -m server --guild` on a free port of loopback."""

    def __init__(
        self, database_url: str, log: Path, workers: int = 1, settings: dict[str, str] | None = None
    ) -> None:
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self.environment = os.environ | {"CORNERWISE_DATABASE_URL": database_url} | (settings or {})
        self.workers = workers
        self.log = log
        self.before: Callable[[], None] | None = None  # run in the new process, before it becomes the planner
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        command = [sys.executable, "-m", "server", "--guild", "--port", str(self.port)]
        if self.workers > 1:
            command = self._several()
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                command,
                cwd=ROOT,
                env=self.environment,
                stdout=log,
                stderr=log,
                start_new_session=True,
                preexec_fn=self.before,
            )
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            if self.process.poll() is not None:
                break
            try:
                if httpx.get(f"{self.url}/health", timeout=5).status_code == 200:
                    return
            except httpx.TransportError:
                time.sleep(0.03)
        self.kill()
        raise AssertionError("the planner did not start:\n" + self.log.read_text()[-3000:])

    def kill(self) -> None:
        """kill -9 of the process and every worker it started (they are one group, made by start)."""
        if self.process is not None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
            self.process = None

    def _several(self) -> list[str]:
        """Several processes on one port, as uvicorn keeps them."""
        command = [sys.executable, "-m", "uvicorn", "--factory", "server.app:guild_app"]
        command += ["--host", "127.0.0.1", "--port", str(self.port), "--workers", str(self.workers)]
        command += ["--no-access-log", "--no-server-header", "--no-proxy-headers"]
        # A busy worker is not a dead one, and a kept connection is not closed under a waiting client.
        command += ["--timeout-worker-healthcheck", "60", "--timeout-keep-alive", "75"]
        return command
