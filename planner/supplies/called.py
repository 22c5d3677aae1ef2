"""A thread as she calls it, and what it stitches, in words."""

from __future__ import annotations

from planner.fills.backgrounds import background_of
from planner.fills.scattered import parts_of
from planner.fills.styles import FILLS
from planner.plan import Plan
from planner.threads import GOES_WITH, PART_WORDS


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
