"""What was made lately and may be asked for again, by what it was made from; and who is making what just now."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict

from server.store.shared import Shared


class Kept:
    """So many bytes of results; what was asked for longest ago goes first. Of use to many threads at once.

    shared: where servers of one database keep what is made once for all of them (`made`, `get_or_claim`).
    """

    def __init__(self, most_bytes: int, shared: Shared | None = None) -> None:
        self.most_bytes = most_bytes
        self.shared = shared
        self._size = 0
        self._results: OrderedDict[str, bytes] = OrderedDict()
        self._makers: dict[str, object] = {}
        self._change = threading.Condition()

    def get(self, key: str) -> bytes | None:
        """What is kept under a key, None for nothing."""
        with self._change:
            return self._get(key)

    def put(self, key: str, result: bytes) -> None:
        """Keep something under a key; while that is too much, what was asked for longest ago goes."""
        with self._change:
            self._makers.pop(key, None)
            self._size += len(result) - len(self._results.pop(key, b""))
            self._results[key] = result
            while self._size > self.most_bytes and self._results:
                self._size -= len(self._results.popitem(last=False)[1])
            self._change.notify_all()

    def get_or_claim(self, key: str, maker: object, seconds: float) -> bytes | None:
        """What is kept under a key, or None: then it is for the maker to make.

        While another makes it, this waits for that, so long at most. Raises TimeoutError.
        """
        until = time.monotonic() + seconds
        with self._change:
            while key not in self._results and self._makers.get(key, maker) is not maker:
                if not self._change.wait(until - time.monotonic()):
                    raise TimeoutError
            if key in self._results:
                return self._get(key)
            self._makers[key] = maker
        found = self.shared.get(key) if self.shared else None
        if found is not None:
            self.put(key, found)
        return found

    def made(self, key: str, result: bytes) -> None:
        """Keep what was claimed, here and for the other servers."""
        self.put(key, result)
        if self.shared:
            self.shared.put(key, result)

    def give_up(self, maker: object) -> None:
        """Whatever this maker was to make, another may."""
        with self._change:
            for key in [key for key, other in self._makers.items() if other is maker]:
                del self._makers[key]
            self._change.notify_all()

    def _get(self, key: str) -> bytes | None:
        if key in self._results:
            self._results.move_to_end(key)
        return self._results.get(key)
