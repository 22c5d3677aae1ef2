"""Meetings: what fills the middle of a side between two mirrored runs. One file each, and their list.

A new one is one new file with its record, and one line here.
"""

from __future__ import annotations

from planner.border.meetings.butted import BUTTED
from planner.border.meetings.full_circle import FULL_CIRCLE
from planner.border.meetings.lattice import LATTICE
from planner.border.meetings.little_spines import LITTLE_SPINES
from planner.border.meetings.record import Takes
from planner.border.meetings.wreath import WREATH
from planner.border.run import TURNING, HalfMiddle
from planner.kinds import by_kind

MEETINGS = by_kind(BUTTED, FULL_CIRCLE, LITTLE_SPINES, WREATH, LATTICE)


def half_of(meeting: str | None) -> HalfMiddle:
    """What a meeting takes of a run; None: a run that turns on meets nothing."""
    return MEETINGS[meeting].half if meeting else TURNING


def takes_of(meeting: str | None) -> Takes:
    """How the middle of a meeting comes about."""
    return MEETINGS[meeting].takes if meeting else "nothing"
