"""What the figures rest on that is not in the plan: every default in one place, all hers to change.

Who measures in inches and who measures in centimetres have habits of their own: other widths of cloth, other
seams, and every figure a whole one on her own ruler. Where each default comes from stands beside its question in
:mod:`planner.supplies.figures`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from planner.lengths import mark_at_most
from planner.plan import Units
from planner.supplies.border import Corner, Grain
from planner.supplies.price import Rate
from planner.supplies.rounding import ShrinkRule, after_shrinking
from planner.supplies.thread import BobbinClass
from planner.supplies.yarn import System


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """Lengths in inches, parts as 0.15 for 15 %, speeds in inches a second, money in no currency."""

    # thread
    stitches_per_inch: float = 10.0
    thickness_in: float = 1 / 16
    needle_number: float = 27.0
    needle_system: System = "tex"
    bobbin_number: float = 18.0
    bobbin_system: System = "tex"
    bobbin: BobbinClass = "M"
    bobbins: Literal["wound", "bought"] = "wound"
    bulk_g_cm3: float = 0.8
    winding: float = 0.6
    tail_in: float = 6.0
    waste: float = 0.15
    spool_in: float = 3000 * 36.0

    # time
    stitches_per_minute: float = 1000.0
    hand_quick_in: float = 1.25
    hand_slow_in: float = 0.5
    timed_in: float = 0.0
    timed_minutes: float = 0.0
    start_minutes: float = 2.0
    carry_minutes: float = 0.25
    bobbin_minutes: float = 3.0
    circle_minutes: float = 0.5
    guide_minutes: float = 2.0
    marking_in: float = 1.0

    # cloth
    borders: Literal["unsaid", "cut", "on"] = "unsaid"
    cloth_width_in: float = 40.0
    border_corner: Corner = "mitered"
    border_grain: Grain = "across"
    seam_in: float = 0.25
    miter_extra_in: float = 2.0
    binding_cut: Literal["straight", "bias"] = "straight"
    binding_strip_in: float = 2.5
    trimmed_in: float = 0.0
    binding_allowance_in: float = 12.0
    binding_join_in: float = 2.5
    backing_width_in: float = 40.0
    backing_overhang_in: float = 4.0
    backing_seam_in: float = 0.5
    shrinkage: float = 0.05
    shrink_rule: ShrinkRule = "add"

    # batting
    batting_overhang_in: float = 3.0
    batting_limit_in: float = 8.0

    # price
    currency: str = ""
    cloth_each: Decimal = Decimal(0)
    rate: Rate = "hour"
    each: Decimal = Decimal(0)
    materials: Decimal = Decimal(0)
    minimum: Decimal = Decimal(0)

    def washed(self, width_in: float, units: Units) -> float:
        """What is left of a width of cloth, to the last mark of her ruler: no piece is cut longer than that."""
        return mark_at_most(after_shrinking(width_in, self.shrinkage, self.shrink_rule), units)


DEFAULTS = Basis()

_MM, _CM = 1 / 25.4, 1 / 2.54
METRIC = replace(
    DEFAULTS,
    thickness_in=1.5 * _MM,
    tail_in=15 * _CM,
    spool_in=2500 * 100 * _CM,
    hand_quick_in=3.0 * _CM,
    hand_slow_in=1.2 * _CM,
    marking_in=2.5 * _CM,
    cloth_width_in=105 * _CM,
    seam_in=7.5 * _MM,
    miter_extra_in=5 * _CM,
    binding_strip_in=6.5 * _CM,
    binding_allowance_in=30 * _CM,
    binding_join_in=6.5 * _CM,
    backing_width_in=105 * _CM,
    backing_overhang_in=10 * _CM,
    backing_seam_in=12 * _MM,
    batting_overhang_in=8 * _CM,
    batting_limit_in=20 * _CM,
)


def usual(units: Units) -> Basis:
    """The habits of those who measure in these units."""
    return DEFAULTS if units == "in" else METRIC
