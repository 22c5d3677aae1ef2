"""The basis from what she typed: a figure left blank keeps its default, one that cannot be used is named."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from typing import Any

from planner.errors import PlanError
from planner.lengths import parse_length
from planner.plan import Units
from planner.supplies.basis import Basis, usual
from planner.supplies.figures import FIGURES, Figure, length_words

LONGEST_SIGN = 4


def read_basis(typed: Mapping[str, str], units: Units) -> tuple[Basis, tuple[PlanError, ...]]:
    """The basis, and one error for each figure that cannot be used (and keeps its default)."""
    given: dict[str, Any] = {}
    errors: list[PlanError] = []
    for name, figure in FIGURES.items():
        text = typed.get(name, "").strip()
        if not text:
            continue
        try:
            given[name] = _read(name, figure, text, units)
        except PlanError as error:
            errors.append(error)
    if bool(given.get("timed_in")) != bool(given.get("timed_minutes")):
        missing = "timed_minutes" if given.get("timed_in") else "timed_in"
        errors.append(
            PlanError(
                "A piece you timed needs both its length and its minutes.",
                field=missing,
                cure="Fill in both, or leave both blank.",
            )
        )
    return replace(usual(units), **given), tuple(errors)


def _read(name: str, figure: Figure, text: str, units: Units) -> Any:
    match figure.kind:
        case "choice":
            return _chosen(name, figure, text)
        case "length":
            value = parse_length(text, units, field=name)
            words = (length_words(figure.low, units), length_words(figure.high, units))
            return _within(name, figure, text, value, words)
        case "percent":
            part = float(_number(name, figure, text.removesuffix("%"))) / 100
            return _within(name, figure, text, part, (f"{100 * figure.low:g} %", f"{100 * figure.high:g} %"))
        case "sign":
            return _sign(name, figure, text)
        case _:
            number = _number(name, figure, text)
            value = _within(name, figure, text, float(number), (f"{figure.low:g}", f"{figure.high:,.0f}"))
            return number if figure.kind == "money" else value


def _chosen(name: str, figure: Figure, text: str) -> str:
    if text not in figure.choices:
        known = ", ".join(figure.choices.values())
        raise PlanError(
            f"{figure.label}: “{text[:40]}” is not known.", field=name, cure=f"Take one of: {known}."
        )
    return text


def _sign(name: str, figure: Figure, text: str) -> str:
    if len(text) > LONGEST_SIGN or any(one.isdigit() for one in text):
        raise PlanError(
            f"{figure.label}: “{text[:40]}” is no sign of money.",
            field=name,
            cure=f"Write up to {LONGEST_SIGN} letters or signs, such as $, £, € or kr.",
        )
    return text


def _number(name: str, figure: Figure, text: str) -> Decimal:
    try:
        number = Decimal(text[:20].strip().replace(",", "."))
    except InvalidOperation:
        number = Decimal("NaN")
    if len(text) > 20 or not number.is_finite():
        raise PlanError(
            f"{figure.label}: “{text[:40]}” cannot be read as a number.",
            field=name,
            cure="Write digits, such as 10 or 2.5.",
        )
    return number


def _within(name: str, figure: Figure, text: str, value: float, words: tuple[str, str]) -> float:
    if not figure.low <= value <= figure.high:
        raise PlanError(
            f"{figure.label}: {text[:40]} is out of reach.",
            field=name,
            cure=f"Give something from {words[0]} to {words[1]}.",
        )
    return value
