"""Meetings: what fills the middle of a side between two mirrored runs. One module a kind.

Each module has ``limits(plan, band)``, its smallest and largest middle, ``middles(plan, band)``, the middles to
try (inches, rising), and ``pieces(chain, band,
choice)``, the spine it adds on the start run's half, in band coordinates.
"""

from __future__ import annotations

from types import ModuleType

from planner.border.meetings import butted, lattice, little_spines, wreath
from planner.plan import MeetingKind

MEETINGS: dict[MeetingKind, ModuleType] = {
    "butted": butted,
    "little_spines": little_spines,
    "wreath": wreath,
    "lattice": lattice,
}
