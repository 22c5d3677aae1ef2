"""Everything a plan takes, joined: thread, hours, border, binding, backing, batting, shopping list."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from math import ceil, floor

from planner.geometry.arrays import ROUNDING
from planner.lengths import format_length, mark_at_most
from planner.plan import SIDES, Plan, SideName, Units
from planner.supplies import shopping, yarn
from planner.supplies.backing import Backing, backing
from planner.supplies.basis import Basis, usual
from planner.supplies.batting import Batting, batting, holds
from planner.supplies.binding import Binding, bias_binding, shown_words, straight_binding
from planner.supplies.border import BorderCloth, border_cloth, border_strips, miter_spare
from planner.supplies.by_thread import (
    ThreadTakes,
    both_tex,
    hours_of,
    own_bobbins,
    takes_by_thread,
    thread_of,
)
from planner.supplies.called import thread_name
from planner.supplies.cutting import Cut
from planner.supplies.hours import Hours
from planner.supplies.price import Price, price
from planner.supplies.rounding import (
    EIGHTH_YARD_IN,
    TENTH_METRE_IN,
    Purchase,
    after_shrinking,
    before_shrinking,
    purchase,
)
from planner.supplies.thread import BOBBINS, Thread
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
    by_thread = takes_by_thread(work.threads, basis, plan.units)
    sewn = with_each(thread_of(work, basis), by_thread)
    time = hours_of(work, basis, sewn.bobbins, plan.units)
    sides = {side: plan.sides_in.of(side) for side in SIDES}
    widths = {side: plan.border_in.of(side) for side in SIDES}
    cloth_width = _washed(basis.cloth_width_in, basis, plan.units)
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
        cloth_width_in=_washed(basis.backing_width_in, basis, plan.units),
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
        *_border_lines(border, border_buy, spare, basis, plan.units),
        *_binding_lines(bound, binding_buy, plan, basis),
        shopping.Item("Backing cloth", backing_buy.words, _backing_note(back, basis, plan.units)),
        _batting_line(pad, plan.units),
        *(
            _lines_by_thread(plan, sewn, by_thread, basis)
            if by_thread
            else _thread_lines(sewn, basis, plan.units)
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


def _washed(width_in: float, basis: Basis, units: Units) -> float:
    """What is left of a width of cloth, to the last mark of her ruler: no piece is cut longer than that."""
    return mark_at_most(after_shrinking(width_in, basis.shrinkage, basis.shrink_rule), units)


def thread_words(length_in: float, units: Units) -> str:
    """A length of thread to read, rounded up: to whole yards or metres, from 100 of them to tens ("450 yd")."""
    return thread_sum_words((length_in,), units)


def thread_sum_words(lengths_in: Iterable[float], units: Units) -> str:
    """Lengths of thread together: the sum of what is shown of each."""
    unit_in = 36.0 if units == "in" else 100 / 2.54
    return f"{sum(_told(length / unit_in) for length in lengths_in):,} {'yd' if units == 'in' else 'm'}"


def _told(length: float) -> int:
    whole = ceil(length - ROUNDING)
    return whole if whole < 100 else -(-whole // 10) * 10


def capacity_words(length_in: float, units: Units) -> str:
    """A length that something holds, never more than it does: "136 yd"."""
    return (
        f"{floor(length_in / 36 + ROUNDING):,} yd"
        if units == "in"
        else f"{floor(length_in * 0.0254 + ROUNDING):,} m"
    )


def with_each(whole: Thread, by_thread: Sequence[ThreadTakes]) -> Thread:
    """The thread of the whole, its spools and bobbins whole ones of each thread."""
    if not by_thread:
        return whole
    return replace(
        whole,
        spools=sum(one.sewn.spools for one in by_thread),
        bobbins=sum(one.sewn.bobbins for one in by_thread),
    )


def _border_lines(
    border: BorderCloth, buy: Purchase, spare_in: float, basis: Basis, units: Units
) -> tuple[shopping.Item, ...]:
    """Nothing where the borders are sewn on."""
    return (
        (shopping.Item("Border cloth", buy.words, _border_note(border, spare_in, basis, units)),)
        if border.cuts
        else ()
    )


def _binding_lines(bound: Binding, buy: Purchase, plan: Plan, basis: Basis) -> tuple[shopping.Item, ...]:
    """Nothing where the quilt is bound or faced already."""
    return (
        (shopping.Item("Binding cloth", buy.words, _binding_note(bound, plan, basis)),) if bound.cuts else ()
    )


def _usable(width_in: float, basis: Basis, units: Units) -> str:
    washed = " when it is washed" if basis.shrinkage else ""
    return f"{format_length(_washed(width_in, basis, units), units)} of usable width{washed}"


def _border_note(border: BorderCloth, spare_in: float, basis: Basis, units: Units) -> str:
    width = _usable(basis.cloth_width_in, basis, units)
    if basis.border_grain == "along":
        return f"cut along the selvage without a join, {width}"
    joins = f"{_many(border.joins, 'join')}" if border.joins else "no join"
    if spare_in < basis.miter_extra_in:
        wanted = format_length(basis.miter_extra_in, units)
        joins += f": {format_length(spare_in, units)} to spare at each end instead of {wanted}"
    already = "; none if they are sewn on" if basis.borders == "unsaid" else ""
    return f"{_many(border.strips, 'strip')} across {width}, {joins}{already}"


def _binding_note(bound: Binding, plan: Plan, basis: Basis) -> str:
    units = plan.units
    strip = format_length(bound.strip_in, units)
    shows = shown_words(bound.strip_in, plan.binding_allowance_in, basis.trimmed_in, units)
    if basis.binding_cut == "bias":
        return f"one square of {format_length(bound.cloth_in, units)} for {strip} of bias; {shows}"
    joins = _many(bound.joins, "slanted join")
    return f"{_many(bound.strips, 'strip')} of {strip}, {joins}; {shows}"


def _backing_note(back: Backing, basis: Basis, units: Units) -> str:
    size = f"{format_length(back.width_in, units)} by {format_length(back.height_in, units)}"
    if back.panels == 1:
        return f"one piece for {size}, {_usable(basis.backing_width_in, basis, units)}"
    way = "down the quilt" if back.run == "down" else "across the quilt"
    return f"{back.panels} widths {way} for {size}, {_many(len(back.seams_in), 'seam')}"


def _batting_line(pad: Batting, units: Units) -> shopping.Item:
    size = f"{format_length(pad.width_in, units)} by {format_length(pad.height_in, units)}"
    if pad.pack is None:
        return shopping.Item(
            "Batting", "off the roll", f"{size}; larger than any pack: join two, or buy it by length"
        )
    pack = f"{format_length(pad.pack.width_in, units)} by {format_length(pad.pack.height_in, units)}"
    turned = ", laid the other way round" if pad.turned else ""
    return shopping.Item("Batting", f"1 {pad.pack.name} pack", f"{pack}, for {size}{turned}")


def _thread_lines(sewn: Thread, basis: Basis, units: Units) -> tuple[shopping.Item, ...]:
    """The needle's thread, the bobbins, and the thread to wind on them where that is another."""
    needle, bobbin = thread_words(sewn.needle_in, units), thread_words(sewn.bobbin_in, units)
    spool, kind = capacity_words(basis.spool_in, units), BOBBINS[basis.bobbin].label
    sizes = [f"{tex:.3g} tex (ticket {yarn.from_tex(tex, 'metric_ticket'):.3g})" for tex in both_tex(basis)]
    if sewn.bobbins_bought:
        note = f"{sizes[0]}, {spool} on each; {needle} needed"
        return (
            shopping.Item("Needle thread", _many(sewn.spools, "spool"), note),
            shopping.Item(f"Wound bobbins, {kind}", str(sewn.bobbins), f"{sizes[1]}; {bobbin} of thread"),
        )
    wind = f"{capacity_words(sewn.bobbin_holds_in, units)} on each; wind them before starting"
    bobbins = shopping.Item(f"Bobbins to wind, {kind}", str(sewn.bobbins), wind)
    if not sewn.bobbin_spools:
        note = f"{sizes[0]}, {spool} on each; needle {needle}, bobbins {bobbin}"
        return shopping.Item("Thread", _many(sewn.spools, "spool"), note), bobbins
    notes = [
        f"{size}, {spool} on each; {each} needed" for size, each in zip(sizes, (needle, bobbin), strict=True)
    ]
    return (
        shopping.Item("Needle thread", _many(sewn.spools, "spool"), notes[0]),
        shopping.Item("Thread to wind on bobbins", _many(sewn.bobbin_spools, "spool"), notes[1]),
        bobbins,
    )


def _lines_by_thread(
    plan: Plan, sewn: Thread, by_thread: Sequence[ThreadTakes], basis: Basis
) -> tuple[shopping.Item, ...]:
    """Each thread by its name, then the bobbins: wound from these, or all of one thread."""
    units, spool = plan.units, capacity_words(basis.spool_in, plan.units)
    lines = []
    for one in by_thread:
        label = plan.threads[one.path.thread].spool or f"{spool} on each"
        bobbins = f", bobbins {thread_words(one.sewn.bobbin_in, units)}" if own_bobbins(basis) else ""
        note = f"{label}; needle {thread_words(one.sewn.needle_in, units)}{bobbins}"
        name = thread_name(plan, one.path.thread)
        lines.append(shopping.Item(name[:1].upper() + name[1:], _many(one.sewn.spools, "spool"), note))
    kind = BOBBINS[basis.bobbin].label
    bobbin = thread_sum_words([one.sewn.bobbin_in for one in by_thread], units)
    if sewn.bobbins_bought:
        return *lines, shopping.Item(f"Wound bobbins, {kind}", str(sewn.bobbins), f"{bobbin} of thread")
    holds = f"{capacity_words(sewn.bobbin_holds_in, units)} on each"
    if own_bobbins(basis):
        each = [f"{one.sewn.bobbins} of {thread_name(plan, one.path.thread)}" for one in by_thread]
        return *lines, shopping.Item(
            f"Bobbins to wind, {kind}", str(sewn.bobbins), f"{', '.join(each)}; {holds}"
        )
    note = f"{spool} on each; {bobbin} needed"
    return (
        *lines,
        shopping.Item("Thread to wind on bobbins", _many(sewn.bobbin_spools, "spool"), note),
        shopping.Item(f"Bobbins to wind, {kind}", str(sewn.bobbins), holds),
    )


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
