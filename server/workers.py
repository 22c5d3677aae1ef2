"""Grows a fill in a process of its own: it takes a second or two, and typing must not wait for it.

``python -m server.workers``: a packed plan with a choice on standard input, its fill as an SVG on standard output.
"""

from __future__ import annotations

import asyncio
import gc
import os
import sys
from collections import OrderedDict

from fastapi import Request

from planner.border.layout import Layout
from planner.fills import fill
from planner.pictures.picture import fill_alone
from planner.solver import choose
from server.bootstrap import ROOT
from server.store.links import unpack

AT_ONCE = 2
KEPT = 64
LOOK_AGAIN_S = 0.25  # how soon it is noticed that nobody waits any longer


class Workers:
    """The fills lately grown, and those that grow. One for an application."""

    def __init__(self) -> None:
        self._grown: OrderedDict[str, str] = OrderedDict()
        self._places = asyncio.Semaphore(AT_ONCE)

    async def picture(self, packed: str, request: Request) -> str | None:
        """The fill of a packed plan as an SVG; None when the visitor has gone meanwhile.

        Raises PlanError when the plan is damaged or nothing lands.
        """
        if packed not in self._grown:
            await asyncio.to_thread(laid_out, packed)
            async with self._places:
                if await request.is_disconnected():
                    return None
                svg = await _grow(packed, request)
            if not svg:
                return None
            self._grown[packed] = svg
            if len(self._grown) > KEPT:
                self._grown.popitem(last=False)
        return self._grown[packed]


def laid_out(packed: str) -> Layout:
    """The layout of a packed plan. Raises PlanError."""
    return choose(unpack(packed)).layout


async def _grow(packed: str, request: Request) -> str:
    process = await asyncio.create_subprocess_exec(
        sys.executable,
        "-m",
        "server.workers",
        cwd=ROOT,
        stdin=asyncio.subprocess.PIPE,
        stdout=asyncio.subprocess.PIPE,
    )
    answer = asyncio.create_task(process.communicate(packed.encode()))
    while not answer.done():
        await asyncio.wait({answer}, timeout=LOOK_AGAIN_S)
        if not answer.done() and await request.is_disconnected():
            process.kill()
    return (await answer)[0].decode() if process.returncode == 0 else ""


if __name__ == "__main__":
    os.nice(5)
    gc.disable()  # it ends when the fill is grown: collecting would only take time
    layout = laid_out(sys.stdin.read())
    sys.stdout.write(fill_alone(fill(layout), layout))
