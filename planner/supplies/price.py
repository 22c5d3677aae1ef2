"""What it costs: cloth by its length, other materials, and the work of those who quilt for others, by the hour or
by the square inch. No currency is assumed.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from planner.supplies.hours import Span

Rate = Literal["hour", "square_inch"]
CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class PriceLine:
    """One line of the sheet: from low to high, the same twice when it is one figure."""

    what: str
    low: Decimal
    high: Decimal


@dataclass(frozen=True, slots=True)
class Price:
    """The sheet. minimum_applied: whether the least price replaced the low or the high total."""

    lines: tuple[PriceLine, ...]
    low: Decimal
    high: Decimal
    minimum_applied: bool


def price(
    *,
    cloth: Decimal,
    rate: Rate,
    each: Decimal,
    minutes: Span,
    square_inches: float,
    materials: Decimal,
    minimum: Decimal,
) -> Price:
    """Cloth, materials and work, never below the minimum. ``each``: for an hour or a square inch of the quilt.

    What is nought has no line.
    """
    if rate == "hour":
        low, high = (_money(each * Decimal(m) / 60) for m in (minutes.quick, minutes.slow))
        work = PriceLine("Quilting, by the hour", low, high)
    else:
        flat = _money(each * Decimal(square_inches))
        work = PriceLine("Quilting, by the square inch", flat, flat)
    bought = [
        PriceLine(what, _money(amount), _money(amount))
        for what, amount in (("Cloth", cloth), ("Other materials", materials))
    ]
    lines = tuple(line for line in (*bought, work) if line.high)
    low = sum((line.low for line in lines), Decimal(0))
    high = sum((line.high for line in lines), Decimal(0))
    least = _money(minimum)
    return Price(lines, max(low, least), max(high, least), low < least)


def money_words(amount: Decimal, sign: str) -> str:
    """``€120.00``, ``120.00 kr``: a sign stands before the figure, letters behind it."""
    return f"{amount} {sign}" if sign[:1].isalpha() else f"{sign}{amount}"


def _money(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)
