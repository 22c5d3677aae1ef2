"""Lengths as a form holds them: one or a list of them, and what she wrote before the units were switched.

A switch puts every length to the nearest mark of the other ruler and keeps her own words beside it, under the
field's name with ``before.`` set before it and her unit after it ("90 1/8|in"). While a field still shows that
mark, its length is exactly the one she wrote; switched back, she finds her words again.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from typing import get_args

from planner.errors import PlanError
from planner.lengths import format_length, parse_length
from planner.plan import Units

BEFORE = "before."


def units_named(word: str) -> Units:
    """The units of a form's word; inches where it is none."""
    return next((units for units in get_args(Units) if units == word), "in")


def tin_pieces(text: str) -> list[str]:
    """The single diameters of a list as she writes it: semicolons, new lines, commas, "and" between them.

    A comma right before a digit may be a decimal comma (2,5), so a comma parts two diameters only before a
    space, or where a piece holds more than one. "2 and 1/2" is one diameter.
    """
    pieces = re.split(r"[;\n]+|,\s+|(?<!\s)\s+and\s+(?!\d+/\d)", text)  # each space is looked at once
    parted = (piece.split(",") if piece.count(",") > 1 else [piece] for piece in pieces)
    return [piece.strip() for some in parted for piece in some if piece.strip()]


def lengths_in(name: str, text: str, units: Units) -> list[float]:
    """The lengths of a field, inches: one, or for the tin as many as there are. Raises PlanError."""
    return [parse_length(piece, units) for piece in (tin_pieces(text) if name == "tin_in" else [text])]


def before_switch(name: str, texts: Mapping[str, str], units: Units) -> tuple[str, Units] | None:
    """What she wrote in a field before the units were switched; None where she has changed it since."""
    words, _, unit = texts.get(BEFORE + name, "").rpartition("|")
    theirs = units_named(unit)
    if not words or theirs == units:
        return None
    with suppress(PlanError):
        marks = in_marks(lengths_in(name, words, theirs), units)
        if lengths_in(name, texts.get(name, ""), units) == lengths_in(name, marks, units):
            return words, theirs
    return None


def in_marks(lengths_in: list[float], units: Units) -> str:
    """Lengths as on her ruler, each to the nearest mark."""
    return "; ".join(format_length(length, units) for length in lengths_in)


def printed(name: str, lengths: list[float], units: Units) -> dict[str, str]:
    """A field for lengths (inches) that she did not type, so that reading it back is exact.

    Where a metric ruler has no mark for them, the nearest is shown and the inches stand beside it.
    """
    texts = [format_length(length, units) for length in lengths]
    off = any(parse_length(text, units) != length for text, length in zip(texts, lengths, strict=True))
    if off and units == "in":
        texts = [
            text if parse_length(text, "in") == length else f"{length!r} in"
            for text, length in zip(texts, lengths, strict=True)
        ]
    beside = printed(name, lengths, "in")[name] + "|in" if off and units != "in" else ""
    return {name: "; ".join(texts)} | ({BEFORE + name: beside} if beside else {})


def switched(name: str, texts: Mapping[str, str], were: Units, units: Units) -> dict[str, str]:
    """A field and what stands beside it after a switch of units; what cannot be read stays as it is."""
    text = texts.get(name, "")
    words, theirs = before_switch(name, texts, were) or (text, were)
    if theirs == units:
        return {name: words, BEFORE + name: ""}
    with suppress(PlanError):
        if words:
            return {
                name: in_marks(lengths_in(name, words, theirs), units),
                BEFORE + name: f"{words}|{theirs}",
            }
    return {name: text, BEFORE + name: ""}
