"""How often a client may ask."""

from __future__ import annotations

import time
from collections import OrderedDict
from dataclasses import dataclass, field

from server.access.names import network
from server.store.shared import Shared


@dataclass
class Rates:
    """Tokens a minute for each client; the clients seen longest ago are forgotten.

    Where servers share a database, one client has the same tokens at all of them; where it does not answer, each
    server counts for itself.
    """

    shared: Shared | None = None
    most_clients: int = 10_000
    left: OrderedDict[tuple[str, str], tuple[float, float]] = field(default_factory=OrderedDict)

    def take(self, what: str, client: str, a_minute: int) -> int:
        """Take one: 0, or the seconds until there is one to take. A minute's worth may come at once."""
        client = network(client)
        together = self.shared.take(what, client, a_minute) if self.shared else None
        return self._own(what, client, a_minute) if together is None else together

    def _own(self, what: str, client: str, a_minute: int) -> int:
        key, now = (what, client), time.monotonic()
        tokens, then = self.left.pop(key, (float(a_minute), now))
        tokens = min(a_minute, tokens + (now - then) * a_minute / 60)
        enough = tokens >= 1
        self.left[key] = (tokens - 1 if enough else tokens, now)
        while len(self.left) > self.most_clients:
            self.left.popitem(last=False)
        return 0 if enough else max(1, round((1 - tokens) * 60 / a_minute))
