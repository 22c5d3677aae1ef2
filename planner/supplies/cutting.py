"""Strips from a width of cloth: laid without joins where they fit, joined end to end where they do not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.errors import PlanError
from planner.geometry.arrays import SAME_IN
from planner.lengths import format_length
from planner.plan import Units
from planner.supplies.rounding import whole_joined


@dataclass(frozen=True, slots=True)
class Cut:
    """One line of a cutting list: how many pieces, how long and how wide (inches), and what for."""

    what: str
    count: int
    length_in: float
    width_in: float
    note: str = ""


@dataclass(frozen=True, slots=True)
class Strips:
    """Strips cut across the width of the cloth: how many, joins between them, cloth they take (inches)."""

    count: int
    joins: int
    cloth_in: float


def strips_across(
    lengths_in: Sequence[float], strip_in: float, cloth_width_in: float, join_loss_in: float, units: Units
) -> Strips:
    """Strips of ``strip_in``, cut from selvage to selvage, that give all the lengths.

    If every length fits in the width, none is joined; else all are joined into one and cut from it, with
    ``join_loss_in`` lost at each join. Raises PlanError, worded in ``units``, where a join takes it all.
    """
    _check(join_loss_in, cloth_width_in, units)
    if all(length <= cloth_width_in + SAME_IN for length in lengths_in):
        count = len(_shelves([(length, strip_in) for length in lengths_in], cloth_width_in))
        return Strips(count, 0, count * strip_in)
    count = whole_joined(sum(lengths_in), cloth_width_in, join_loss_in)
    return Strips(count, count - 1, count * strip_in)


def strips_along(pieces_in: Sequence[tuple[float, float]], cloth_width_in: float, units: Units) -> float:
    """Cloth for pieces (length, width) cut along the selvage, side by side and never joined; inches."""
    for _, width in pieces_in:
        if width > cloth_width_in + SAME_IN:
            raise PlanError(
                f"A strip {format_length(width, units)} wide cannot be cut along cloth that is "
                f"{format_length(cloth_width_in, units)} wide.",
                field="cloth_width_in",
                cure="Cut the border across the cloth, or use wider cloth.",
            )
    by_length = sorted(pieces_in, reverse=True)
    shelves = _shelves([(width, length) for length, width in by_length], cloth_width_in)
    return sum(max(length for _, length in shelf) for shelf in shelves)


def _shelves(pieces: list[tuple[float, float]], room_in: float) -> list[list[tuple[float, float]]]:
    """Pieces (size, other) put on shelves of ``room_in`` by size, each on the first shelf with room."""
    shelves: list[list[tuple[float, float]]] = []
    for piece in pieces:
        for shelf in shelves:
            if sum(size for size, _ in shelf) + piece[0] <= room_in + SAME_IN:
                shelf.append(piece)
                break
        else:
            shelves.append([piece])
    return shelves


def _check(join_loss_in: float, cloth_width_in: float, units: Units) -> None:
    if join_loss_in >= cloth_width_in:
        raise PlanError(
            f"A join that loses {format_length(join_loss_in, units)} leaves nothing of cloth "
            f"{format_length(cloth_width_in, units)} wide.",
            field="cloth_width_in",
            cure=f"Measure the usable width of the cloth: most quilting cotton gives {format_length(40, units)}.",
        )
