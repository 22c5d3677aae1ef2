"""Batting: the pack to buy, and whether the quilting holds it.

Packs as commonly sold: honeybegood.com, primitivequiltsandprojects.com (two agree).
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.geometry.arrays import SAME_IN


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack of batting, inches."""

    name: str
    width_in: float
    height_in: float


PACKS = (
    Pack("craft", 34, 45),
    Pack("crib", 45, 60),
    Pack("twin", 72, 90),
    Pack("full", 81, 96),
    Pack("queen", 90, 108),
    Pack("king", 120, 120),
)


@dataclass(frozen=True, slots=True)
class Batting:
    """Batting for one quilt. pack: None where it must come off the roll; turned: laid the other way round."""

    width_in: float
    height_in: float
    pack: Pack | None
    turned: bool


def batting(width_in: float, height_in: float, *, overhang_in: float) -> Batting:
    """The smallest pack that covers the quilt and ``overhang_in`` on every side, either way round."""
    wide, high = width_in + 2 * overhang_in, height_in + 2 * overhang_in
    for pack in sorted(PACKS, key=lambda pack: pack.width_in * pack.height_in):
        if wide <= pack.width_in + SAME_IN and high <= pack.height_in + SAME_IN:
            return Batting(wide, high, pack, turned=False)
        if high <= pack.width_in + SAME_IN and wide <= pack.height_in + SAME_IN:
            return Batting(wide, high, pack, turned=True)
    return Batting(wide, high, None, turned=False)


def holds(largest_open_in: float, limit_in: float) -> bool:
    """Whether no open place is wider than the batting allows (the limit stands on its packet)."""
    return largest_open_in <= limit_in + SAME_IN
