"""A price for those who quilt for others: by the hour or by the square inch. No currency is assumed."""

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
    rate: Rate,
    each: Decimal,
    minutes: Span,
    square_inches: float,
    materials: Decimal,
    minimum: Decimal,
) -> Price:
    """Work and materials, never below the minimum. ``each``: for an hour or a square inch of the quilt."""
    if rate == "hour":
        low, high = (_money(each * Decimal(m) / 60) for m in (minutes.quick, minutes.slow))
        work = PriceLine("Quilting, by the hour", low, high)
    else:
        flat = _money(each * Decimal(square_inches))
        work = PriceLine("Quilting, by the square inch", flat, flat)
    lines = (work, PriceLine("Materials", _money(materials), _money(materials)))
    low = sum((line.low for line in lines), Decimal(0))
    high = sum((line.high for line in lines), Decimal(0))
    least = _money(minimum)
    return Price(lines, max(low, least), max(high, least), low < least)


def _money(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)
