"""Why one would take a proposal: what is true of it against the others on the table, or nothing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from planner.geometry.arrays import ROUNDING
from planner.solver.proposal import Proposal

_ALIKE = {"length": 1 / 64, "share": 0.002}  # figures nearer to each other than that are alike to her

Figure = Callable[[Proposal], float]
# What is praised, least first; the words finish "It ... of all here."
PRAISES: tuple[tuple[str, str, Figure], ...] = (
    ("length", "needs the least ease", lambda p: p.largest_ease),
    ("length", "asks for the shortest shapes", lambda p: max(p.reach, p.reach_ends)),
    ("share", "has the most even steps", lambda p: p.mismatch),
    (
        "length",
        "forgives the most when a side was measured wrong",
        lambda p: -min(p.one_side.short, p.one_side.long),
    ),
)


def praised(proposals: list[Proposal]) -> list[Proposal]:
    """The proposals, each with why one would take it where it is best in something; a tie is no praise."""
    words: list[list[str]] = [[] for _ in proposals]
    for kind, praise, figure in PRAISES:
        figures = [figure(p) for p in proposals]
        least = min(figures, default=0.0)
        best = [i for i, value in enumerate(figures) if value <= least + ROUNDING]
        near = sum(value <= least + _ALIKE[kind] for value in figures)
        if near == len(best) < max(2, len(proposals) / 2):
            for i in best:
                words[i].append(praise)
    return [
        replace(p, why=f"It {' and '.join(w)} of all here." if w else "")
        for p, w in zip(proposals, words, strict=True)
    ]
