"""Memory goes back: what refused bodies and many threads leave behind is bounded in bytes."""

from __future__ import annotations

import ctypes
import gc
from contextlib import suppress

LEFT_BYTES = 8_000_000  # of bodies, between two looks for what they left behind: a look takes up to 70 ms
ARENAS = 2  # one for the event loop, one for the threads beside it: they take turns anyway
_ARENA_MAX = -8  # glibc's name for it (malloc.h: M_ARENA_MAX)


class Bodies:
    """Counts what is sent in, and has the collector look in time.

    An error that was raised while a body was read holds on to it in a cycle. The collector goes by how many
    objects there are, and a few hundred bodies of 250 kB are none to speak of.
    """

    def __init__(self) -> None:
        self._left = 0

    def read(self, size: int) -> None:
        """One more, of so many bytes."""
        self._left += size
        if self._left > LEFT_BYTES:
            self._left = 0
            gc.collect()


def few_arenas() -> None:
    """Have all threads of this process take their memory from few places, where the system's allocator can.

    glibc gives nearly each thread a heap of its own (arena, eight for a core), and what was free in one is of no
    use to the others: whoever keeps forty threads busy makes each as large as its largest moment.
    """
    with suppress(OSError, AttributeError):  # another allocator
        ctypes.CDLL(None).mallopt(_ARENA_MAX, ARENAS)
