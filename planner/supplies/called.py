"""A thread as she calls it, what its label says, and what it stitches, in words."""

from __future__ import annotations

import re

from planner.fills.backgrounds import background_of
from planner.fills.scattered import parts_of
from planner.fills.styles import FILLS
from planner.plan import Plan
from planner.threads import GOES_WITH, PART_WORDS

_ON_LABEL = re.compile(
    r"(\d+(?:[.,\u202f\u00a0]\d{3})*(?:[.,]\d+)?)\s*(yd|yds|yards?|m|metres?|meters?)\b", re.I
)


def thread_name(plan: Plan, number: int) -> str:
    """A thread as she called it, or by its place in the order."""
    return plan.every_thread[number].name or f"thread {number + 1}"


def parts_in_words(plan: Plan, thread: int) -> str:
    """What one thread stitches: 'spine, main shapes'; the first takes all that is given to none."""
    behind = ("background",) if background_of(plan).draw else ()
    drawn, its = ("spine", *parts_of(FILLS[plan.fill.kind], plan.scattered), *behind), plan.stitched_with
    parts = [
        part
        for part in PART_WORDS
        if (its.get(GOES_WITH.get(part, part), 0) if part in drawn and part not in its else its.get(part))
        == thread
    ]
    return ", ".join(PART_WORDS[part] for part in parts)


def length_on(label: str) -> float | None:
    """The length that a spool's label gives ("no 28, 500 yd"; "1.000 m"), in inches; None where it gives none."""
    found = _ON_LABEL.search(label)
    if not found:
        return None
    digits = re.sub(r"[.,\s](?=\d{3}(?!\d))", "", found[1]).replace(",", ".")
    return float(digits) * (36.0 if found[2].lower().startswith("y") else 100 / 2.54) or None
