"""Thread sizes: every way a spool may be numbered, to tex and back.

Numberings are of two kinds. Mass per length (tex, dtex, denier): a larger number is a thicker thread. Length
per mass (Nm, Ne, wt and the tickets): a larger number is a finer one. Sources: Coats Bulletin 05 "Thread
Numbering"; ASTM D2260-03(2013) Table 1; metric and cotton ticket as three times the resultant count,
onlineclothingstudy.com 2013/01.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Literal

from planner.errors import PlanError

System = Literal["tex", "dtex", "denier", "Nm", "Ne", "wt", "metric_ticket", "cotton_ticket"]

# 453.59237 g to the pound, 840 yd of 0.9144 m to the hank: tex · Ne
COTTON = 453.59237 / (840 * 0.9144) * 1000


@dataclass(frozen=True, slots=True)
class Numbering:
    """One way of numbering. by_mass: tex = number · constant; otherwise tex = constant / number."""

    label: str
    by_mass: bool
    constant: float
    plied: bool
    note: str


NUMBERINGS: dict[System, Numbering] = {
    "tex": Numbering("tex", True, 1.0, True, "grams in 1,000 m"),
    "dtex": Numbering("dtex", True, 0.1, True, "grams in 10,000 m"),
    "denier": Numbering("denier", True, 1 / 9, True, "grams in 9,000 m"),
    "Nm": Numbering("Nm", False, 1000.0, True, "metres in a gram"),
    "Ne": Numbering("Ne (cotton count)", False, COTTON, True, "hanks of 840 yd in a pound"),
    "wt": Numbering(
        "weight (wt)", False, 1000.0, False, "kilometres in a kilogram; labels do not always follow it"
    ),
    "metric_ticket": Numbering("ticket (metric)", False, 3000.0, False, "three times the finished Nm"),
    "cotton_ticket": Numbering("ticket (cotton)", False, 3 * COTTON, False, "three times the finished Ne"),
}


def to_tex(number: float, system: System, plies: int = 1) -> float:
    """The finished thread's tex. plies: for "80/2" give 80 and 2; only for the numberings of a single yarn.

    Raises PlanError for a number or plies that no thread has.
    """
    numbering = NUMBERINGS[system]
    if not (isfinite(number) and 0 < number <= 1e6):
        raise PlanError(
            f"No thread is numbered {number:g} {numbering.label}.",
            field="thread",
            cure="Read the number off the spool: quilting thread is near 27 tex.",
        )
    if plies < 1 or (plies > 1 and not numbering.plied):
        raise PlanError(
            f"A number in {numbering.label} is of the finished thread: it has no plies to count.",
            field="plies",
            cure="Give 1 for the plies.",
        )
    return plies * (number * numbering.constant if numbering.by_mass else numbering.constant / number)


def from_tex(tex: float, system: System) -> float:
    """The number of a finished thread of this tex in another numbering."""
    numbering = NUMBERINGS[system]
    return tex / numbering.constant if numbering.by_mass else numbering.constant / tex
