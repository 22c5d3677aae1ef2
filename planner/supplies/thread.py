"""Thread from the length of the stitching: needle and bobbin apart, bobbins to wind, spools to buy.

Two published rules say how much thread a lockstitch takes. The plain one: 2.5 in of thread for each inch of
seam, half of it in the bobbin (Coats Standard Stitch Type Classification). The measured one: 2 + 2·T·S, with
T the thickness under the foot and S the stitches an inch (textilecalculations.com; A. K. Das, 2015). The
plain one was made for two layers of cloth, where T·S is about 1/4. A quilt is thicker: the larger of the two
is used, because running out costs more than a rest on the spool.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import ceil, floor, pi
from typing import Literal

from planner.geometry.arrays import ROUNDING
from planner.plan import Units

Rule = Literal["ratio", "thickness"]
BobbinClass = Literal["L", "15", "M"]

SEAM_RATIO = 2.5  # Coats Standard Stitch Type Classification, stitch type 301
HUB_MM = 8.0  # from memory, no source


@dataclass(frozen=True, slots=True)
class Bobbin:
    """Nominal size of a bobbin class, mm: sewingpartsonline.com 2023."""

    label: str
    diameter_mm: float
    width_mm: float

    @property
    def volume_cm3(self) -> float:
        """What lies between hub and rim."""
        return pi / 4 * (self.diameter_mm**2 - HUB_MM**2) * self.width_mm / 1000


BOBBINS: dict[BobbinClass, Bobbin] = {
    "L": Bobbin("class L", 20.3, 8.9),
    "15": Bobbin("class 15", 20.3, 11.7),
    "M": Bobbin("class M", 24.9, 10.7),
}


@dataclass(frozen=True, slots=True)
class Thread:
    """Thread for one plan. per_inch: both rules, inches of thread for an inch of stitching, both threads.

    used: the rule the lengths follow; why: in one sentence. spools: of the needle's thread; bobbin_spools: of the
    bobbin's, where it is another thread and wound by herself.
    """

    per_inch: dict[Rule, float]
    used: Rule
    why: str
    needle_in: float
    bobbin_in: float
    bobbin_holds_in: float
    bobbins: int
    spools: int
    bobbin_spools: int
    bobbins_bought: bool


def ratio_rule() -> float:
    """Inches of thread for an inch of seam by the published ratio 1 : 2.5."""
    return SEAM_RATIO


def thickness_rule(thickness_in: float, stitches_per_inch: float) -> float:
    """Inches of thread for an inch of seam, 2 + 2·T·S; T is the thickness pressed under the foot, inches."""
    return 2 + 2 * thickness_in * stitches_per_inch


def needle_thread(thickness_in: float, stitches_per_inch: float) -> float:
    """Inches of the needle's thread for an inch of seam: half of what the larger of the two rules asks for."""
    return max(ratio_rule(), thickness_rule(thickness_in, stitches_per_inch)) / 2


def bobbin_holds(kind: BobbinClass, tex: float, bulk_g_cm3: float, winding: float) -> float:
    """Inches of thread on a full bobbin: volume · bulk density / tex.

    bulk_g_cm3: grams of thread in a cubic centimetre of winding; winding: how full, 1 for pre-wound.
    """
    metres = 1000 * BOBBINS[kind].volume_cm3 * bulk_g_cm3 / tex
    return metres * 1000 / 25.4 * winding


def thread(
    *,
    stitching_in: float,
    starts: int,
    stitches_per_inch: float,
    thickness_in: float,
    tail_in: float,
    waste: float,
    bobbin: BobbinClass,
    bobbin_tex: float,
    bulk_g_cm3: float,
    winding: float,
    bobbins_bought: bool,
    same_thread: bool,
    spool_in: float,
) -> Thread:
    """Thread for stitching_in of lockstitch, retraced lengths included, in ``starts`` pieces.

    tail_in: left at each end of each thread to knot and bury. waste: the part added, 0.15 for 15 %.
    spool_in: what one spool or cone holds. same_thread: bobbins that are not bought are wound from the needle's
    spools; else from spools of their own.
    """
    per_inch: dict[Rule, float] = {
        "ratio": ratio_rule(),
        "thickness": thickness_rule(thickness_in, stitches_per_inch),
    }
    used: Rule = "thickness" if per_inch["thickness"] > per_inch["ratio"] else "ratio"
    why = {
        "thickness": "The quilt is thicker than the seams that 2.5 was made for, so its thickness counts.",
        "ratio": "At this thickness and stitch length the ratio 2.5 gives more, and is the safer one.",
    }[used]
    each = (stitching_in * per_inch[used] / 2 + 2 * tail_in * starts) * (1 + waste)
    holds = bobbin_holds(bobbin, bobbin_tex, bulk_g_cm3, winding)
    from_same = same_thread and not bobbins_bought
    from_own = not same_thread and not bobbins_bought
    return Thread(
        per_inch,
        used,
        why,
        each,
        each,
        holds,
        count(each, holds),
        count(2 * each if from_same else each, spool_in),
        count(each if from_own else 0.0, spool_in),
        bobbins_bought,
    )


def count(length_in: float, each_in: float) -> int:
    """How many bobbins or spools of so much give a length."""
    return max(0, ceil(length_in / each_in - ROUNDING))


def thread_words(length_in: float, units: Units) -> str:
    """A length of thread to read, rounded up: to whole yards or metres, from 100 of them to tens ("450 yd")."""
    return thread_sum_words((length_in,), units)


def thread_sum_words(lengths_in: Iterable[float], units: Units) -> str:
    """Lengths of thread together: the sum of what is shown of each."""
    return _sum_words(lengths_in, units, _told)


def stitched_words(lengths_in: Iterable[float], units: Units) -> str:
    """Stitching that was counted, together: whole yards or metres of each, as near to its path as those tell."""
    return _sum_words(lengths_in, units, _whole)


def _sum_words(lengths_in: Iterable[float], units: Units, shown: Callable[[float], int]) -> str:
    unit_in = 36.0 if units == "in" else 100 / 2.54
    return f"{sum(shown(length / unit_in) for length in lengths_in):,} {'yd' if units == 'in' else 'm'}"


def _whole(length: float) -> int:
    return ceil(length - ROUNDING)


def _told(length: float) -> int:
    whole = _whole(length)
    return whole if whole < 100 else -(-whole // 10) * 10


def capacity_words(length_in: float, units: Units) -> str:
    """A length that something holds, never more than it does: "136 yd"."""
    return (
        f"{floor(length_in / 36 + ROUNDING):,} yd"
        if units == "in"
        else f"{floor(length_in * 0.0254 + ROUNDING):,} m"
    )
