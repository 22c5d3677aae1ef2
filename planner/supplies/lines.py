"""The lines of the shopping list: what is bought of each thing, and a note on what for. Lengths are inches."""

from __future__ import annotations

from collections.abc import Sequence

from planner.lengths import format_length
from planner.plan import Plan, Units
from planner.supplies import yarn
from planner.supplies.backing import Backing
from planner.supplies.basis import Basis
from planner.supplies.batting import Batting
from planner.supplies.binding import Binding, shown_words
from planner.supplies.border import BorderCloth
from planner.supplies.by_thread import ThreadTakes, both_tex, own_bobbins
from planner.supplies.called import length_on, thread_name
from planner.supplies.rounding import Purchase
from planner.supplies.shopping import Item
from planner.supplies.thread import BOBBINS, Thread, capacity_words, thread_sum_words, thread_words


def border_lines(
    border: BorderCloth, buy: Purchase, spare_in: float, basis: Basis, units: Units
) -> tuple[Item, ...]:
    """The cloth of the borders; nothing where they are sewn on."""
    return (
        (Item("Border cloth", buy.words, _border_note(border, spare_in, basis, units)),)
        if border.cuts
        else ()
    )


def binding_lines(bound: Binding, buy: Purchase, plan: Plan, basis: Basis) -> tuple[Item, ...]:
    """The cloth that binds it; nothing where that is done, or it is faced."""
    return (Item("Binding cloth", buy.words, _binding_note(bound, plan, basis)),) if bound.cuts else ()


def _usable(width_in: float, basis: Basis, units: Units) -> str:
    washed = " when it is washed" if basis.shrinkage else ""
    return f"{format_length(basis.washed(width_in, units), units)} of usable width{washed}"


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


def backing_line(back: Backing, buy: Purchase, basis: Basis, units: Units) -> Item:
    """The back of the quilt, from as many widths as it takes."""
    return Item("Backing cloth", buy.words, _backing_note(back, basis, units))


def _backing_note(back: Backing, basis: Basis, units: Units) -> str:
    size = f"{format_length(back.width_in, units)} by {format_length(back.height_in, units)}"
    if back.panels == 1:
        return f"one piece for {size}, {_usable(basis.backing_width_in, basis, units)}"
    way = "down the quilt" if back.run == "down" else "across the quilt"
    return f"{back.panels} widths {way} for {size}, {_many(len(back.seams_in), 'seam')}"


def batting_line(pad: Batting, units: Units) -> Item:
    """A pack, or a length off the roll."""
    size = f"{format_length(pad.width_in, units)} by {format_length(pad.height_in, units)}"
    if pad.pack is None:
        return Item("Batting", "off the roll", f"{size}; larger than any pack: join two, or buy it by length")
    pack = f"{format_length(pad.pack.width_in, units)} by {format_length(pad.pack.height_in, units)}"
    turned = ", laid the other way round" if pad.turned else ""
    return Item("Batting", f"1 {pad.pack.name} pack", f"{pack}, for {size}{turned}")


def thread_lines(sewn: Thread, basis: Basis, units: Units) -> tuple[Item, ...]:
    """The needle's thread, the bobbins, and the thread to wind on them where that is another."""
    needle, bobbin = thread_words(sewn.needle_in, units), thread_words(sewn.bobbin_in, units)
    spool, kind = capacity_words(basis.spool_in, units), BOBBINS[basis.bobbin].label
    sizes = [f"{tex:.3g} tex (ticket {yarn.from_tex(tex, 'metric_ticket'):.3g})" for tex in both_tex(basis)]
    if sewn.bobbins_bought:
        note = f"{sizes[0]}, {spool} on each; {needle} needed"
        return (
            Item("Needle thread", _many(sewn.spools, "spool"), note),
            Item(f"Wound bobbins, {kind}", str(sewn.bobbins), f"{sizes[1]}; {bobbin} of thread"),
        )
    wind = f"{capacity_words(sewn.bobbin_holds_in, units)} on each; wind them before starting"
    bobbins = Item(f"Bobbins to wind, {kind}", str(sewn.bobbins), wind)
    if not sewn.bobbin_spools:
        note = f"{sizes[0]}, {spool} on each; needle {needle}, bobbins {bobbin}"
        return Item("Thread", _many(sewn.spools, "spool"), note), bobbins
    notes = [
        f"{size}, {spool} on each; {each} needed" for size, each in zip(sizes, (needle, bobbin), strict=True)
    ]
    return (
        Item("Needle thread", _many(sewn.spools, "spool"), notes[0]),
        Item("Thread to wind on bobbins", _many(sewn.bobbin_spools, "spool"), notes[1]),
        bobbins,
    )


def lines_by_thread(
    plan: Plan, sewn: Thread, by_thread: Sequence[ThreadTakes], basis: Basis
) -> tuple[Item, ...]:
    """Each thread by its name, then the bobbins: wound from these, or all of one thread."""
    units, spool = plan.units, capacity_words(basis.spool_in, plan.units)
    lines = []
    for one in by_thread:
        label = plan.threads[one.path.thread].spool
        if not length_on(label):
            label = f"{label}, {spool} on each" if label else f"{spool} on each"
        bobbins = f", bobbins {thread_words(one.sewn.bobbin_in, units)}" if own_bobbins(basis) else ""
        note = f"{label}; needle {thread_words(one.sewn.needle_in, units)}{bobbins}"
        name = thread_name(plan, one.path.thread)
        lines.append(Item(name[:1].upper() + name[1:], _many(one.sewn.spools, "spool"), note))
    kind = BOBBINS[basis.bobbin].label
    bobbin = thread_sum_words([one.sewn.bobbin_in for one in by_thread], units)
    if sewn.bobbins_bought:
        return *lines, Item(f"Wound bobbins, {kind}", str(sewn.bobbins), f"{bobbin} of thread")
    holds = f"{capacity_words(sewn.bobbin_holds_in, units)} on each"
    if own_bobbins(basis):
        each = [f"{one.sewn.bobbins} of {thread_name(plan, one.path.thread)}" for one in by_thread]
        return *lines, Item(f"Bobbins to wind, {kind}", str(sewn.bobbins), f"{', '.join(each)}; {holds}")
    note = f"{spool} on each; {bobbin} needed"
    return (
        *lines,
        Item("Thread to wind on bobbins", _many(sewn.bobbin_spools, "spool"), note),
        Item(f"Bobbins to wind, {kind}", str(sewn.bobbins), holds),
    )


def _many(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
