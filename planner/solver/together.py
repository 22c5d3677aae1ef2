"""Where no single change lets a plan land: the fewest together that do.

Everything is opened at once, and then one change after another is taken back where it lands without (a deletion
filter: Chinneck and Dravnieks, Locating minimal infeasible constraint sets in linear programs, ORSA Journal on
Computing 3, 1991). What she would like least to change is taken back first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.plan import Choice, EaseLimits, Plan
from planner.solver.buying import missing_circles
from planner.solver.changes import apply_change, landing_choice
from planner.solver.cures import (
    AS_IS_COMMON,
    Change,
    Refusal,
    easing,
    fixed_needs,
    in_a_row,
    leaving_open,
    less_rooms,
    other_fills,
    taking,
    widening,
    with_circles,
)
from planner.solver.effort import Patience

_WIDER = (4, 8, 16, 24, 32, 48)  # marks of her ruler, for all four borders
_CUTTING = Change("cut your own circles", {"cut_own": True})


def together(plan: Plan, patience: Patience) -> Iterator[Refusal]:
    """Would several changes do it? The first few that do, none of which can be left out."""
    for first in _firsts(plan):
        taken = {path for change in first for path in change.values}
        changes = [*first, *(change for change in _opened(plan) if taken.isdisjoint(change.values))]
        choice = _lands(plan, changes, patience)
        if choice:
            break
    else:
        return
    for change in tuple(changes):
        fewer = [one for one in changes if one is not change]
        without = _lands(plan, fewer, patience) if fewer else None
        if without:
            changes, choice = fewer, without
    changes, choice = _from_her_tin(plan, changes, choice, patience)
    words = in_a_row([change.words for change in changes])
    values = {path: value for change in changes for path, value in change.values.items()}
    yield Refusal(
        "together",
        next(iter(values)),
        "Nothing lands as it stands" + (", nor with any one of these changes alone." if changes[1:] else "."),
        None,
        f"{words[:1].upper()}{words[1:]}.",
        values,
        choice,
    )


def _firsts(plan: Plan) -> Iterator[Sequence[Change]]:
    """What may have to change besides, each for itself, the least of it first: room, fill, and last the cloth."""
    yield ()
    bare = apply_change(plan, dict.fromkeys(fixed_needs(plan)))
    for change in (*less_rooms(bare), *other_fills(plan)):
        yield (change,)
    for marks in _WIDER:
        yield (widening(plan, marks, which=2),)


def _opened(plan: Plan) -> list[Change]:
    """All else that may stand in the way, opened; what she would like least to change first."""
    found = []
    needs = fixed_needs(plan)
    if plan.corner != "mirrored":
        found.append(taking("corner", "mirrored"))
    if plan.run != "any":
        found.append(taking("run", "any"))
    if plan.meeting != "any":
        found.append(taking("meeting", "any"))
    if plan.fill.density != "usual":
        found.append(AS_IS_COMMON)
    found += [leaving_open([path]) for path in needs]
    limits, usual = plan.ease_limits, EaseLimits()
    lift, gap = max(limits.lift_in, usual.lift_in), max(limits.gap_in, usual.gap_in)
    if (lift, gap) != (limits.lift_in, limits.gap_in):
        found.append(easing(plan, lift, gap))
    if not plan.cut_own:
        found.append(_CUTTING)
    return found


def _from_her_tin(
    plan: Plan, changes: list[Change], choice: Choice, patience: Patience
) -> tuple[list[Change], Choice]:
    """The same with the one or two circles that she lacks, rather than any that she might cut."""
    more = with_circles(plan, missing_circles(plan, choice)) if _CUTTING in changes else None
    if more:
        bought = [more if change is _CUTTING else change for change in changes]
        again = _lands(plan, bought, patience)
        if again:
            return bought, again
    return changes, choice


def _lands(plan: Plan, changes: Sequence[Change], patience: Patience) -> Choice | None:
    values = {path: value for change in changes for path, value in change.values.items()}
    return landing_choice(apply_change(plan, values), patience)
