"""What was solved is kept for a while; and it can be put here by whoever solved it somewhere else."""

from __future__ import annotations

import gc
import sys
from collections import OrderedDict
from collections.abc import Callable
from threading import Lock
from typing import Generic, TypeVar

Answer = TypeVar("Answer")


class Memo(Generic[Answer]):
    """The last answers of a function of a text: so many bytes of them, and the very last whatever its size. An
    error is not kept. Of use to many threads at once.
    """

    def __init__(self, solve: Callable[[str], Answer], most_bytes: int) -> None:
        self.solve = solve
        self.most_bytes = most_bytes
        self._answers: OrderedDict[str, tuple[Answer, int]] = OrderedDict()
        self._size = 0
        self._change = Lock()

    def __call__(self, question: str) -> Answer:
        with self._change:
            if question in self._answers:
                self._answers.move_to_end(question)
                return self._answers[question][0]
        answer = self.solve(question)
        self.put(question, answer)
        return answer

    def __contains__(self, question: str) -> bool:
        return question in self._answers

    @property
    def size(self) -> int:
        """Bytes of memory that its answers take."""
        return self._size

    def put(self, question: str, answer: Answer) -> None:
        """Keep an answer; those asked for longest ago go when there is no more room."""
        size = bytes_of(answer)
        with self._change:
            self._size += size - self._answers.pop(question, (None, 0))[1]
            self._answers[question] = answer, size
            while self._size > self.most_bytes and len(self._answers) > 1:
                self._size -= self._answers.popitem(last=False)[1][1]

    def clear(self) -> None:
        """Forget everything."""
        with self._change:
            self._answers.clear()
            self._size = 0


def bytes_of(answer: object) -> int:
    """Memory that something takes with all that it leads to, each counted once; but for classes and functions: they
    stay whoever refers to them."""
    seen, size, queue = set[int](), 0, [answer]
    while queue:
        one = queue.pop()
        if id(one) not in seen and not callable(one):
            seen.add(id(one))
            size += sys.getsizeof(one)
            queue += gc.get_referents(one)
    return size
