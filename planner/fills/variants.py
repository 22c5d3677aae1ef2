"""Variants: a pocket that comes again and again along a run is grown a few times, each a little different.

A hand draws no two curls alike; every curl stamped from one is what a quilter sees first. Neighbours along a run
are different variants; runs mirror each other, so that a side stays a composition.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from planner.fills.shape import Copy

# How many variants there are, and how many leaves may then have grown for a quilt before its gaps are filled: about
# a second of work.
_NUMBERS = ((5, 400), (3, 520), (2, 520))


def variants_of(
    copies: Sequence[Copy], sizes: Sequence[int], work: float
) -> tuple[list[tuple[int, int]], list[Copy]]:
    """Further cells to grow, each as the cell it is like and the number of its variant, and the copies laid anew.

    copies: of cells grown once; sizes: how many shapes, with what belongs to them, grew in each; work: what a shape
    takes, beside a leaf. New cells come after them. There are the fewer variants the more shapes they would add.
    """
    turns = _turns(copies)
    again = {copy.cell for copy, turn in zip(copies, turns, strict=True) if turn}
    more = sum(sizes[cell] for cell in again)
    number = next((n for n, leaves in _NUMBERS if work * (sum(sizes) + (n - 1) * more) <= leaves), 1)
    cells: dict[tuple[int, int], int] = {}
    laid = []
    for copy, turn in zip(copies, turns, strict=True):
        # Curls of one row are every second one: they differ too, if the number is odd, or comes twice in turn.
        variant = (turn if number % 2 else turn // 2) % number
        if variant:
            copy = replace(copy, cell=cells.setdefault((copy.cell, variant), len(sizes) + len(cells)))
        laid.append(copy)
    return list(cells), laid


def _turns(copies: Sequence[Copy]) -> list[int]:
    """How many alike lie nearer to the corner in the run of each copy."""
    along: defaultdict[tuple[object, ...], list[int]] = defaultdict(list)
    names = [(copy.pocket.side, copy.pocket.run, copy.cell) for copy in copies]
    for name, copy in zip(names, copies, strict=True):
        along[name].append(copy.pocket.curl)
    return [sorted(along[name]).index(copy.pocket.curl) for name, copy in zip(names, copies, strict=True)]
