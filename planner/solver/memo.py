"""What was solved is kept for a while; and it can be put here by whoever solved it somewhere else."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from typing import Generic, TypeVar

Answer = TypeVar("Answer")


class Memo(Generic[Answer]):
    """The last so many answers of a function of a text. An error is not kept."""

    def __init__(self, solve: Callable[[str], Answer], most: int) -> None:
        self.solve = solve
        self._most = most
        self._answers: OrderedDict[str, Answer] = OrderedDict()

    def __call__(self, question: str) -> Answer:
        answer = self._answers.get(question)
        if answer is None:
            answer = self.solve(question)
        self.put(question, answer)
        return answer

    def __contains__(self, question: str) -> bool:
        return question in self._answers

    def put(self, question: str, answer: Answer) -> None:
        """Keep an answer; the one asked for longest ago goes when there is no more room."""
        self._answers[question] = answer
        try:
            self._answers.move_to_end(question)
            while len(self._answers) > self._most:
                self._answers.popitem(last=False)
        except KeyError:  # another thread has let go of it at the same moment
            pass

    def clear(self) -> None:
        """Forget everything."""
        self._answers.clear()
