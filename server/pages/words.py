"""Figures in plain words, as she would say them over the quilting table."""

from __future__ import annotations

from collections.abc import Mapping

from planner.border.corners import Ease
from planner.border.corners.styles import CORNER_STYLES
from planner.border.layout import Layout
from planner.border.meetings import MEETINGS
from planner.border.said import NAMES, touches
from planner.fills.backgrounds import BACKGROUNDS, background_of
from planner.fills.corner_motifs import CORNER_MOTIFS
from planner.fills.growing.style import Style
from planner.fills.record import FillRecord
from planner.fills.scattered import SCATTERED, Scattered, scattered_of
from planner.fills.styles import FILLS
from planner.geometry.arrays import CHALK_IN
from planner.lengths import finer_length, format_length, mark_at_most
from planner.plan import SIDES, Choice, Fill, Plan, SideName, Units
from planner.solver import Proposal
from planner.solver.choose import Standing
from planner.solver.miss import Miss
from planner.supplies.density import MOST_UNLIKE, centre_density, density
from planner.supplies.work import ESTIMATE_USUALLY, ESTIMATE_WITHIN

STANDING: dict[Standing, str] = {  # what she is told where the layout is not the one she chose
    "hers": "",
    "followed": "Something changed since you chose: these are the same circles, with as many curls as land now.",
    "alike": "The way you chose does not land any more: this is the one most like it of those that do.",
    "first": "You have chosen none yet: this is the first of the ways that land.",
}
ESTIMATED = f"usually {100 * ESTIMATE_USUALLY:.0f} % off, {100 * ESTIMATE_WITHIN:.0f} % at most"


def counts_in_words(plan: Plan, choice: Choice) -> str:
    """19 curls a side, or what differs between top and sides."""
    halves = 2 if CORNER_STYLES[plan.corner].meets else 1
    shared = bool(choice.meeting and MEETINGS[choice.meeting].half.on_middle)
    across, down = (n * halves - shared for n in (choice.counts.top, choice.counts.right))
    if across == down:
        return f"{across} curls a side"
    return f"{across} curls across, {down} down"


def circle_in_words(choice: Choice, units: Units) -> str:
    """The run circle of a choice: '3 1/4 in circle'."""
    return f"{_diameter(choice.run_diameter_in, units)} circle"


def gap_in_words(eases: Mapping[SideName, Ease], units: Units) -> str:
    """Air between neighbouring circles, the largest of the four sides."""
    gap = max(ease.gap for ease in eases.values())
    return "touching" if touches(eases.values()) else f"each {finer_length(gap, units)} apart"


def lift_in_words(eases: Mapping[SideName, Ease], units: Units) -> str:
    """How far the rows stand off the guide lines, the largest of the four sides."""
    lift = max(ease.lift for ease in eases.values())
    return (
        "Rows on the guide lines"
        if lift < CHALK_IN
        else f"Rows {finer_length(lift, units)} off the guide lines"
    )


def headline(plan: Plan, choice: Choice, eases: Mapping[SideName, Ease]) -> str:
    """19 curls a side, 3 3/8 in circle, each 1/32 in apart."""
    return ", ".join(
        (
            counts_in_words(plan, choice),
            circle_in_words(choice, plan.units),
            gap_in_words(eases, plan.units),
        )
    )


def middle_in_words(choice: Choice) -> str:
    """What stands in the middle of the sides."""
    return MEETINGS[choice.meeting].spoken if choice.meeting else "one run goes round the quilt"


def beside_the_fill(layout: Layout) -> tuple[str, ...]:
    """What stands in the large circles, where that is not the fill's own, and here and there; what lies behind the
    fill. Or why not."""
    plan = layout.plan
    spoken, behind = CORNER_MOTIFS[plan.corner_motif].spoken, background_of(plan)
    among, strewn = scattered_of(plan), SCATTERED[plan.scattered]
    wanted, fill, usual = BACKGROUNDS[plan.background], FILLS[plan.fill.kind], FILLS[Fill().kind]
    return (
        *((spoken,) if spoken and layout.corners else ()),
        *((f"{among.spoken.capitalize()}.",) if among.spoken else ()),
        *((_not_among(fill, strewn),) if strewn != among else ()),
        *((f"{behind.spoken.capitalize()} the fill.",) if behind.spoken else ()),
        *(
            (
                f"Nothing lies behind {fill.spoken}: they go to the edge. "
                f"{usual.spoken.capitalize()} leave room for {wanted.listed}.",
            )
            if wanted != behind
            else ()
        ),
    )


def _not_among(fill: FillRecord, wanted: Scattered) -> str:
    """Why something is not scattered among a fill."""
    if isinstance(fill.style, Style):
        return f"Every curl of {fill.spoken} has its {wanted.listed} already."
    usual = FILLS[Fill().kind].spoken
    return f"No {wanted.listed} among {fill.spoken}: they follow every line. {usual.capitalize()} leave them room."


def density_in_words(layout: Layout) -> tuple[str, ...]:
    """6.3 inches of stitching on each square inch, as in lines 3/16 in apart; and what the centre is to that."""
    units, close, centre = layout.plan.units, density(layout), centre_density(layout.plan)
    figure = (
        f"{close:.1f} inches of stitching on each square inch"
        if units == "in"
        else f"{close / 2.54:.1f} cm of stitching on each square centimetre"
        if units == "cm"
        else f"{close / 0.254:.0f} mm of stitching on each square centimetre"
    )
    found = [f"About {figure}, as in lines {finer_length(1 / close, units)} apart."]
    if centre:
        share = close / centre
        found.append(
            f"Quilted {share:.1f} times as close as the centre"
            + (": so much closer, a border draws in and may ripple." if share > MOST_UNLIKE else ".")
            if share >= 1
            else f"Quilted {1 / share:.1f} times as open as the centre"
            + (": so much opener, a border may flare." if 1 / share > MOST_UNLIKE else ".")
        )
    return tuple(found)


def offer_in_words(offer: Proposal, first: Proposal, units: Units) -> str:
    """With a 3 5/8 in circle it would touch all round. Against the best without that circle."""
    mended = [] if first.touches else ["it would touch all round"]
    if not first.alike:
        opened = any(offer.choice.middle_of(side) for side in SIDES)
        mended.append("the middles would look alike on all sides" if opened else "no middle would stay open")
    return f"With a {_diameter(offer.needs_circle or 0.0, units)} circle {' and '.join(mended)}."


def miss_in_words(miss: Miss, units: Units) -> str:
    """What comes nearest where nothing lands, and by how much it fails."""
    circle, corner = (
        _diameter(d, units) for d in (miss.choice.run_diameter_in, 2 * miss.choice.corner_radius)
    )
    return (
        f"What comes nearest: circles of {circle} with {corner} in the corners. On the {NAMES[miss.side]} "
        f"{_diameter(miss.open_in, units)} stay open in the middle, with all the ease there is."
    )


def forgives_in_words(proposal: Proposal, units: Units) -> str:
    """How wrong one side may be measured before circles or counts change."""
    short, long = (
        mark_at_most(length, units) for length in (proposal.one_side.short, proposal.one_side.long)
    )
    less, more = format_length(short, units), format_length(long, units)
    if less == more:
        return f"forgives a side {less} wrong" if short else ""
    parts = [
        f"{words} too {way}"
        for length, words, way in ((short, less, "short"), (long, more, "long"))
        if length
    ]
    return f"forgives a side {' or '.join(parts)}"


def _diameter(diameter_in: float, units: Units) -> str:
    return format_length(diameter_in, units)
