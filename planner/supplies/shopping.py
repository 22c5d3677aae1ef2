"""The shopping list: what, how much, and a note. On paper, or as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass

FORMULA_SIGNS = "=+-@＝＋－＠\t\r\n"  # a spreadsheet may run a cell that begins with one of these


@dataclass(frozen=True, slots=True)
class Item:
    """One line of the list."""

    what: str
    how_much: str
    note: str = ""


def to_csv(lines: Iterable[Item]) -> str:
    """Comma-separated values with a heading (RFC 4180). No cell can be taken for a formula."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(("what", "how much", "note"))
    for line in lines:
        writer.writerow([harmless(cell) for cell in (line.what, line.how_much, line.note)])
    return out.getvalue()


def harmless(cell: str) -> str:
    """A leading apostrophe where a spreadsheet would take the cell for a formula."""
    begins = cell.lstrip(" \u00a0\ufeff")[:1]
    risky = bool(begins) and begins in FORMULA_SIGNS
    return "'" + cell if risky or cell[:1] in tuple(FORMULA_SIGNS) else cell
