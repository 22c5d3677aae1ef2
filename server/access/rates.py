"""How often a client may ask."""

from __future__ import annotations

import time
from collections import OrderedDict
from dataclasses import dataclass, field

from server.access.names import network


@dataclass
class Rates:
    """Tokens a minute for each client, in this process; the clients seen longest ago are forgotten."""

    most_clients: int = 10_000
    left: OrderedDict[tuple[str, str], tuple[float, float]] = field(default_factory=OrderedDict)

    def take(self, what: str, client: str, a_minute: int) -> int:
        """Take one: 0, or the seconds until there is one to take. A minute's worth may come at once."""
        key, now = (what, network(client)), time.monotonic()
        tokens, then = self.left.pop(key, (float(a_minute), now))
        tokens = min(a_minute, tokens + (now - then) * a_minute / 60)
        enough = tokens >= 1
        self.left[key] = (tokens - 1 if enough else tokens, now)
        while len(self.left) > self.most_clients:
            self.left.popitem(last=False)
        return 0 if enough else max(1, round((1 - tokens) * 60 / a_minute))
