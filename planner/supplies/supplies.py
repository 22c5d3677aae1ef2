"""Everything a plan takes, joined: thread, hours, border, binding, backing, batting, shopping list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from planner.plan import SIDES, Plan, SideName, Units
from planner.supplies import shopping
from planner.supplies.backing import Backing, backing
from planner.supplies.basis import Basis, usual
from planner.supplies.batting import Batting, batting, holds
from planner.supplies.binding import Binding, bias_binding, straight_binding
from planner.supplies.border import BorderCloth, border_cloth, border_strips, miter_spare
from planner.supplies.by_thread import (
    ThreadTakes,
    hours_of,
    takes_by_thread,
    thread_of,
)
from planner.supplies.cutting import Cut
from planner.supplies.hours import Hours
from planner.supplies.lines import (
    backing_line,
    batting_line,
    binding_lines,
    border_lines,
    lines_by_thread,
    thread_lines,
)
from planner.supplies.price import Price, price
from planner.supplies.rounding import (
    EIGHTH_YARD_IN,
    TENTH_METRE_IN,
    Purchase,
    before_shrinking,
    purchase,
)
from planner.supplies.thread import Thread
from planner.supplies.work import Work


@dataclass(frozen=True, slots=True)
class Supplies:
    """Everything one plan takes. price is None where no rate was given.

    by_thread: each of several threads, where the stitching was counted.
    """

    work: Work
    basis: Basis
    thread: Thread
    hours: Hours
    border: BorderCloth
    binding: Binding
    backing: Backing
    batting: Batting
    border_buy: Purchase
    binding_buy: Purchase
    backing_buy: Purchase
    open_held: bool
    price: Price | None
    shopping: tuple[shopping.Item, ...]
    by_thread: tuple[ThreadTakes, ...] = ()

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """The cutting list: the longest pieces of each cloth first, as they are cut."""
        return self.border.cuts + self.binding.cuts + self.backing.cuts

    @property
    def needle_in(self) -> tuple[float, ...]:
        """The needle's thread, of each thread where there are several, inches: shown apart and summed as shown."""
        return tuple(one.sewn.needle_in for one in self.by_thread) or (self.thread.needle_in,)

    @property
    def bobbin_in(self) -> tuple[float, ...]:
        """The bobbin's thread, likewise."""
        return tuple(one.sewn.bobbin_in for one in self.by_thread) or (self.thread.bobbin_in,)

    @property
    def stitched_in(self) -> tuple[float, ...]:
        """The needle's way, likewise."""
        return tuple(one.path.length for one in self.by_thread) or (self.work.stitching_in,)


def supplies_of(plan: Plan, work: Work, basis: Basis | None = None) -> Supplies:
    """Everything a plan takes; basis: the habits of its units where none is given.

    Of two unlike sides the longer decides what must be covered. Cloth is cut when it is washed: what it shrinks
    is bought as length, and lost in width. Raises PlanError where a figure cannot be used.
    """
    basis = basis or usual(plan.units)
    wide, high = max(plan.sides_in.top, plan.sides_in.bottom), max(plan.sides_in.left, plan.sides_in.right)
    by_thread = takes_by_thread(work.threads, basis, plan.units, plan)
    sewn = with_each(thread_of(work, basis), by_thread)
    time = hours_of(work, basis, sewn.bobbins, plan.units)
    sides = {side: plan.sides_in.of(side) for side in SIDES}
    widths = {side: plan.border_in.of(side) for side in SIDES}
    cloth_width = basis.washed(basis.cloth_width_in, plan.units)
    spare = basis.miter_extra_in
    if basis.border_corner == "mitered" and basis.border_grain == "across":
        spare = miter_spare(sides, wanted_in=spare, cloth_width_in=cloth_width, units=plan.units)
    strips = border_strips(
        sides, widths, corner=basis.border_corner, seam_in=basis.seam_in, miter_extra_in=spare
    )
    border = border_cloth(
        strips,
        grain=basis.border_grain,
        cloth_width_in=cloth_width,
        seam_in=basis.seam_in,
        units=plan.units,
    )
    if basis.borders == "on":
        border = BorderCloth((), 0, 0, 0.0)
    edge = sum(sides.values())
    bound = (
        bias_binding(edge, strip_in=basis.binding_strip_in, allowance_in=basis.binding_allowance_in)
        if basis.binding_cut == "bias"
        else straight_binding(
            edge,
            strip_in=basis.binding_strip_in,
            allowance_in=basis.binding_allowance_in,
            cloth_width_in=cloth_width,
            join_loss_in=basis.binding_join_in,
        )
    )
    if not plan.binding_allowance_in:  # bound already, or faced
        bound = Binding(0.0, basis.binding_strip_in, 0, 0, 0.0, ())
    back = backing(
        wide,
        high,
        overhang_in=basis.backing_overhang_in,
        cloth_width_in=basis.washed(basis.backing_width_in, plan.units),
        seam_in=basis.backing_seam_in,
        units=plan.units,
    )
    pad = batting(wide, high, overhang_in=basis.batting_overhang_in)
    border_buy, binding_buy, backing_buy = bought = tuple(
        _to_buy(cloth, basis, plan.units) for cloth in (border.cloth_in, bound.cloth_in, back.cloth_in)
    )
    charged = (
        price(
            cloth=basis.cloth_each * _lengths(bought, plan.units),
            rate=basis.rate,
            each=basis.each,
            minutes=time.shown,
            square_inches=_area(sides),
            materials=basis.materials,
            minimum=basis.minimum,
        )
        if basis.each or basis.cloth_each or basis.materials
        else None
    )
    lines = (
        *border_lines(border, border_buy, spare, basis, plan.units),
        *binding_lines(bound, binding_buy, plan, basis),
        backing_line(back, backing_buy, basis, plan.units),
        batting_line(pad, plan.units),
        *(
            lines_by_thread(plan, sewn, by_thread, basis)
            if by_thread
            else thread_lines(sewn, basis, plan.units)
        ),
        shopping.Item("Chalk and a soft brush", "1", "test on a scrap that it brushes or washes out"),
    )
    return Supplies(
        work,
        basis,
        sewn,
        time,
        border,
        bound,
        back,
        pad,
        border_buy,
        binding_buy,
        backing_buy,
        holds(work.open_in, basis.batting_limit_in),
        charged,
        lines,
        by_thread,
    )


def _to_buy(cloth_in: float, basis: Basis, units: Units) -> Purchase:
    if not cloth_in:
        return Purchase(0.0, 0.0, "none")
    return purchase(before_shrinking(cloth_in, basis.shrinkage, basis.shrink_rule), units)


def _lengths(bought: Iterable[Purchase], units: Units) -> Decimal:
    """What is bought of cloth, in yards or metres."""
    steps = sum(
        round(one.bought_in / (EIGHTH_YARD_IN if units == "in" else TENTH_METRE_IN)) for one in bought
    )
    return Decimal(steps) / (8 if units == "in" else 10)


def _area(sides: Mapping[SideName, float]) -> float:
    """Of the quilt, square inches: opposite sides that differ count by their mean."""
    return (sides["top"] + sides["bottom"]) / 2 * (sides["left"] + sides["right"]) / 2


def with_each(whole: Thread, by_thread: Sequence[ThreadTakes]) -> Thread:
    """The thread of the whole, its spools and bobbins whole ones of each thread."""
    if not by_thread:
        return whole
    return replace(
        whole,
        spools=sum(one.sewn.spools for one in by_thread),
        bobbins=sum(one.sewn.bobbins for one in by_thread),
    )
