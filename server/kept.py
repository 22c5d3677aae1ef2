"""What was drawn lately and may be asked for again, by what it was drawn from."""

from __future__ import annotations

import threading
from collections import OrderedDict


class Kept:
    """So many bytes of results; what was asked for longest ago goes first."""

    def __init__(self, most_bytes: int) -> None:
        self.most_bytes = most_bytes
        self._size = 0
        self._results: OrderedDict[str, bytes] = OrderedDict()
        self._lock = threading.Lock()

    async def get(self, key: str) -> bytes | None:
        """What is kept under a key, None for nothing."""
        with self._lock:
            if key in self._results:
                self._results.move_to_end(key)
            return self._results.get(key)

    async def put(self, key: str, result: bytes) -> None:
        """Keep something under a key; while that is too much, what was asked for longest ago goes."""
        with self._lock:
            self._size += len(result) - len(self._results.pop(key, b""))
            self._results[key] = result
            while self._size > self.most_bytes and self._results:
                self._size -= len(self._results.popitem(last=False)[1])
