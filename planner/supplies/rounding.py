"""Rounding up what must be bought: whole pieces, eighths of a yard, tenths of a metre.

A computed 18.000000000000004 in is 18 in: everything within SAME_IN of a step counts as that step.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Literal

from planner.geometry.arrays import SAME_IN
from planner.plan import Units

EIGHTH_YARD_IN = 4.5
TENTH_METRE_IN = 100 / 25.4

ShrinkRule = Literal["add", "finish"]


@dataclass(frozen=True, slots=True)
class Purchase:
    """A length of cloth: what is needed, and what to ask for at the counter."""

    needed_in: float
    bought_in: float
    words: str


def whole(need_in: float, each_in: float) -> int:
    """How many pieces of ``each_in`` give ``need_in``. One that fits exactly needs no extra one."""
    return max(0, ceil((need_in - SAME_IN) / each_in))


def whole_joined(need_in: float, each_in: float, loss_in: float) -> int:
    """How many strips, joined end to end with ``loss_in`` lost at each join, give ``need_in``."""
    if need_in <= SAME_IN:
        return 0
    return max(1, whole(need_in - loss_in, each_in - loss_in))


def purchase(needed_in: float, units: Units) -> Purchase:
    """Up to the next 1/8 yd (quiltersresources.com, cottonpatchfabrics.com), or the next 10 cm."""
    if units != "in":
        tenths = whole(needed_in, TENTH_METRE_IN)
        return Purchase(needed_in, tenths * TENTH_METRE_IN, f"{tenths / 10:.1f} m")
    eighths = whole(needed_in, EIGHTH_YARD_IN)
    yards, rest = divmod(Fraction(eighths, 8), 1)
    words = " ".join(str(part) for part in (yards, rest) if part) or "0"
    return Purchase(needed_in, eighths * EIGHTH_YARD_IN, f"{words} yd")


def before_shrinking(length_in: float, shrinkage: float, rule: ShrinkRule) -> float:
    """The length to buy so that enough is left. shrinkage: the part lost, 0.05 for 5 %.

    add: times 1 + shrinkage, the usual rule (Beginner's Guide to Quilting, UK, 2020: 1.05 for 5 %).
    finish: divided by 1 - shrinkage, which really finishes at ``length_in``; a little more than add.
    """
    return length_in * (1 + shrinkage) if rule == "add" else length_in / (1 - shrinkage)


def after_shrinking(length_in: float, shrinkage: float, rule: ShrinkRule) -> float:
    """What is left of a length, or of the cloth's width: the rule of :func:`before_shrinking` turned round."""
    return length_in / (1 + shrinkage) if rule == "add" else length_in * (1 - shrinkage)
