"""Connections: so many in all and from one address, and so long for the head of a request.

Behind a proxy this is the proxy's part; a planner alone on a home network has only this.
"""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

from server.access.names import is_loopback, network
from server.settings import Settings


class Bounded(H11Protocol):
    """One connection. Where there is no room for another, whoever has kept one longest without asking goes."""

    settings: Settings
    _since = 0.0
    _late: asyncio.TimerHandle | None = None

    def connection_made(self, transport: Any) -> None:
        """Let it in, and somebody else go where there is no room for both."""
        super().connection_made(transport)
        self._since = self.loop.time()
        self._expect()
        others = [one for one in self.connections if one is not self and isinstance(one, Bounded)]
        mine = [one for one in others if one.visitor == self.visitor]
        if not is_loopback(self.visitor) and len(mine) >= self.settings.most_connections_of_one:
            _longest([*mine, self]).hang_up()
        elif len(others) >= self.settings.most_connections:
            _longest([*others, self]).hang_up()

    def data_received(self, data: bytes) -> None:
        """More of a request, whose head must be whole in time."""
        super().data_received(data)
        if self.asking:
            self._settle()
        elif self._late is None:
            self._expect()

    def connection_lost(self, exc: Exception | None) -> None:
        """It is over."""
        self._settle()
        super().connection_lost(exc)

    @property
    def visitor(self) -> str:
        """The network it comes from."""
        return network(self.client[0]) if self.client else ""

    @property
    def asking(self) -> bool:
        """The head of a request is here, and its answer not yet out."""
        return self.cycle is not None and not self.cycle.response_complete

    def patience(self) -> tuple[bool, bool, float]:
        """Who is to go first: who asks nothing, then who does not take the answer, the oldest of them."""
        return self.asking, not self.flow.write_paused, self._since

    def hang_up(self) -> None:
        """End it at once."""
        self.transport.abort()
        self.connections.discard(self)

    def _expect(self) -> None:
        self._late = self.loop.call_later(self.settings.slowest_head_s, self.hang_up)

    def _settle(self) -> None:
        if self._late:
            self._late.cancel()
        self._late = None


def bounded(settings: Settings) -> type[Bounded]:
    """The protocol with these limits, for uvicorn's configuration."""
    return type("Bounded", (Bounded,), {"settings": settings})


def _longest(some: list[Bounded]) -> Bounded:
    return min(some, key=Bounded.patience)
