"""Everything a plan takes, joined: thread, hours, border, binding, backing, batting, shopping list."""

from __future__ import annotations

from dataclasses import dataclass

from planner.border.band import quilt_of
from planner.lengths import format_length
from planner.plan import SIDES, Plan, Units
from planner.supplies import shopping, yarn
from planner.supplies.backing import Backing, backing
from planner.supplies.basis import DEFAULTS, Basis
from planner.supplies.batting import Batting, batting, holds
from planner.supplies.binding import Binding, bias_binding, finished_width, straight_binding
from planner.supplies.border import BorderCloth, border_cloth, border_strips
from planner.supplies.cutting import Cut
from planner.supplies.hours import Hours, Span, Timed, hours
from planner.supplies.price import Price, price
from planner.supplies.rounding import Purchase, before_shrinking, purchase
from planner.supplies.thread import BOBBINS, Thread, thread
from planner.supplies.work import Work

SLOW = 1.5  # a slow day takes half as long again for what she gave one figure for: common practice, no source


@dataclass(frozen=True, slots=True)
class Supplies:
    """Everything one plan takes. price is None where no rate was given."""

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

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """The cutting list: the longest pieces of each cloth first, as they are cut."""
        return self.border.cuts + self.binding.cuts + self.backing.cuts


def supplies_of(plan: Plan, work: Work, basis: Basis = DEFAULTS) -> Supplies:
    """Everything a plan takes. Raises PlanError where a figure cannot be used."""
    quilt = quilt_of(plan)
    sewn = _thread(work, basis)
    time = _hours(work, basis, sewn.bobbins, plan.units)
    sides = {side: plan.sides_in.of(side) for side in SIDES}
    widths = {side: plan.border_in.of(side) for side in SIDES}
    strips = border_strips(
        sides, widths, corner=basis.border_corner, seam_in=basis.seam_in, miter_extra_in=basis.miter_extra_in
    )
    border = border_cloth(
        strips,
        grain=basis.border_grain,
        cloth_width_in=basis.cloth_width_in,
        seam_in=basis.seam_in,
        units=plan.units,
    )
    edge = sum(sides.values())
    bound = (
        bias_binding(edge, strip_in=basis.binding_strip_in, allowance_in=basis.binding_allowance_in)
        if basis.binding_cut == "bias"
        else straight_binding(
            edge,
            strip_in=basis.binding_strip_in,
            allowance_in=basis.binding_allowance_in,
            cloth_width_in=basis.cloth_width_in,
            join_loss_in=basis.binding_join_in,
        )
    )
    back = backing(
        quilt.width,
        quilt.height,
        overhang_in=basis.backing_overhang_in,
        cloth_width_in=basis.backing_width_in,
        seam_in=basis.backing_seam_in,
        units=plan.units,
    )
    pad = batting(quilt.width, quilt.height, overhang_in=basis.batting_overhang_in)
    border_buy, binding_buy, backing_buy = (
        purchase(before_shrinking(cloth, basis.shrinkage, basis.shrink_rule), plan.units)
        for cloth in (border.cloth_in, bound.cloth_in, back.cloth_in)
    )
    charged = (
        price(
            rate=basis.rate,
            each=basis.each,
            minutes=time.minutes,
            square_inches=quilt.width * quilt.height,
            materials=basis.materials,
            minimum=basis.minimum,
        )
        if basis.each
        else None
    )
    lines = (
        shopping.Item("Border cloth", border_buy.words, _border_note(border, basis, plan.units)),
        shopping.Item("Binding cloth", binding_buy.words, _binding_note(bound, basis, plan.units)),
        shopping.Item("Backing cloth", backing_buy.words, _backing_note(back, basis, plan.units)),
        _batting_line(pad, plan.units),
        *_thread_lines(sewn, basis, plan.units),
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
    )


def thread_words(length_in: float, units: Units) -> str:
    """A length of thread to read, up to the next 10 yd or 10 m: "450 yd"."""
    if units == "in":
        return f"{-int(-length_in // 360) * 10:,} yd"
    return f"{-int(-length_in * 0.00254 // 1) * 10:,} m"


def _thread(work: Work, basis: Basis) -> Thread:
    bought = basis.bobbins == "bought"
    return thread(
        stitching_in=work.stitching_in,
        starts=work.starts,
        stitches_per_inch=basis.stitches_per_inch,
        thickness_in=basis.thickness_in,
        tail_in=basis.tail_in,
        waste=basis.waste,
        bobbin=basis.bobbin,
        bobbin_tex=yarn.to_tex(basis.bobbin_number, basis.bobbin_system),
        bulk_g_cm3=basis.bulk_g_cm3,
        winding=1.0 if bought else basis.winding,
        bobbins_bought=bought,
        spool_in=basis.spool_in,
    )


def _hours(work: Work, basis: Basis, bobbins: int, units: Units) -> Hours:
    timed = (Timed(basis.timed_in, basis.timed_minutes),) if basis.timed_in and basis.timed_minutes else ()
    quick, slow = sorted((basis.hand_quick_in, basis.hand_slow_in), reverse=True)
    return hours(
        stitching_in=work.stitching_in,
        starts=work.starts,
        bobbins=bobbins,
        circles=work.circles,
        guide_lines=work.guide_lines,
        spine_in=work.spine_in,
        stitches_per_inch=basis.stitches_per_inch,
        stitches_per_minute=basis.stitches_per_minute,
        hand=Span(quick, slow),
        minutes_a_start=_about(basis.start_minutes),
        minutes_a_bobbin=_about(basis.bobbin_minutes),
        minutes_a_circle=_about(basis.circle_minutes),
        minutes_a_guide_line=_about(basis.guide_minutes),
        marking=Span(basis.marking_in, basis.marking_in / SLOW),
        timed=timed,
        units=units,
    )


def _about(minutes: float) -> Span:
    return Span(minutes, minutes * SLOW)


def _border_note(border: BorderCloth, basis: Basis, units: Units) -> str:
    width = format_length(basis.cloth_width_in, units)
    if basis.border_grain == "along":
        return f"cut along the selvage without a join, usable width {width}"
    joins = f"{_many(border.joins, 'join')}" if border.joins else "no join"
    return f"{_many(border.strips, 'strip')} across {width} of usable width, {joins}"


def _binding_note(bound: Binding, basis: Basis, units: Units) -> str:
    strip = format_length(bound.strip_in, units)
    if basis.binding_cut == "bias":
        return f"one square of {format_length(bound.cloth_in, units)} for {strip} of bias"
    shows = format_length(finished_width(bound.strip_in, basis.seam_in), units)
    return f"{_many(bound.strips, 'strip')} of {strip} (shows {shows}), {_many(bound.joins, 'slanted join')}"


def _backing_note(back: Backing, basis: Basis, units: Units) -> str:
    size = f"{format_length(back.width_in, units)} by {format_length(back.height_in, units)}"
    if back.panels == 1:
        return f"one piece for {size}, usable width {format_length(basis.backing_width_in, units)}"
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
    needle, bobbin = thread_words(sewn.needle_in, units), thread_words(sewn.bobbin_in, units)
    spool = thread_words(basis.spool_in, units)
    kind = BOBBINS[basis.bobbin].label
    tex = yarn.to_tex(basis.needle_number, basis.needle_system)
    size = f"{tex:.3g} tex (ticket {yarn.from_tex(tex, 'metric_ticket'):.3g})"
    if sewn.bobbins_bought:
        return (
            shopping.Item(
                "Needle thread", _many(sewn.spools, "spool"), f"{size}, {spool} on each; {needle} needed"
            ),
            shopping.Item(f"Wound bobbins, {kind}", str(sewn.bobbins), f"{bobbin} of thread"),
        )
    return (
        shopping.Item(
            "Thread",
            _many(sewn.spools, "spool"),
            f"{size}, {spool} on each; needle {needle}, bobbins {bobbin}",
        ),
        shopping.Item(f"Bobbins to wind, {kind}", str(sewn.bobbins), "wind them before starting"),
    )


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
