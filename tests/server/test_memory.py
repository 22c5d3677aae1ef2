"""Memory is bounded in bytes, whatever is sent and however many threads answer."""

from __future__ import annotations

import ctypes
import gc
import subprocess
import sys
import tracemalloc
from pathlib import Path

import pytest

from server.memory import ARENAS, LEFT_BYTES
from tests.server.attack import Guild, held
from tests.server.serving import ROOT

UNENDED = b'{"plan":"' + b'\\"' * 120_000  # an error holds on to it while the collector is not asked
SERVED = """
import asyncio, ctypes, sys, threading
from pathlib import Path
from server.app import create_app
from server.settings import Settings

libc, folder = ctypes.CDLL(None), Path(sys.argv[1])
libc.fopen.restype = ctypes.c_void_p
libc.malloc.restype = ctypes.c_void_p

def heaps():
    file = libc.fopen(str(folder / "heaps").encode(), b"w")
    libc.malloc_info(0, ctypes.c_void_p(file))
    libc.fclose(ctypes.c_void_p(file))
    return (folder / "heaps").read_text().count("<heap nr=")

def busy(turn):
    libc.malloc(1000)
    turn.wait()

async def served():
    app = create_app(Settings(data_folder=folder))
    async with app.router.lifespan_context(app):
        turn = threading.Barrier(12)
        threads = [threading.Thread(target=busy, args=(turn,)) for _ in range(12)]
        for one in threads:
            one.start()
        for one in threads:
            one.join()
        print(heaps())

if __name__ == "__main__":
    asyncio.run(served())
"""


@pytest.mark.attack
def test_what_refused_bodies_leave_behind_is_bounded_in_bytes(guild: Guild) -> None:
    """The collector by itself goes by the number of objects; here it never looks unasked."""
    headers = {"Content-Type": "application/json"}
    guild.send("POST", "/api/plans", content=UNENDED, headers=headers)
    many = 5 * LEFT_BYTES // len(UNENDED)
    gc.collect()
    gc.disable()
    tracemalloc.start()
    try:
        for _ in range(many):
            assert guild.send("POST", "/api/plans", content=UNENDED, headers=headers).status_code == 400
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
        gc.enable()
    held("the planner's memory", most < 4 * LEFT_BYTES, f"{many} bodies left {most / 1e6:.0f} MB")


@pytest.mark.skipif(not hasattr(ctypes.CDLL(None), "malloc_info"), reason="no glibc")
def test_many_threads_share_a_few_heaps(tmp_path: Path) -> None:
    command = [sys.executable, "-W", "ignore", "-c", SERVED, str(tmp_path)]
    found = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    assert int(found.stdout) <= ARENAS
