"""Which circle to buy or cut next: what a plan would be with exactly one circle that is not hers.

Round sizes are asked about: they are the ones sold and cut.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from planner.border.corners.styles import CORNER_STYLES
from planner.border.meetings import MEETINGS
from planner.border.tin import owned, sizes
from planner.plan import SIDES, Choice, Plan, Units
from planner.solver.combos import choice_of
from planner.solver.effort import Patience
from planner.solver.groups import same_look
from planner.solver.proposal import Proposal
from planner.solver.rank import proposals_of
from planner.solver.search import Found, search

# of a cut size: templates are sold by quarter inches, and by 5 mm
_ROUND_STEPS: dict[Units, float] = {"in": 2, "cm": 5 / 2, "mm": 5 / 2}
_PATIENCE = 60_000  # of curls: a second and a half, for what she asks once
_LOOKED_INTO = 100  # layouts with a circle that is not hers: the best of a size that serves is among them
WORTH = 0.15  # of a score: what is better by less, no eye sees
LANDS = (
    3.0  # of a score: what it is worth that a plan lands at all; more than any layout is better than another
)
MOST = 2  # sizes to name: more is a shopping list


@dataclass(frozen=True, slots=True)
class NextCircle:
    """A size that is not hers: its diameter (inches), its worth (of a score), the best layout with it."""

    diameter_in: float
    worth: float
    proposal: Proposal


@dataclass(frozen=True, slots=True)
class Serving:
    """A size, and the plans that it would better: their places among those asked about."""

    diameter_in: float
    plans: tuple[int, ...]


def next_circles(plan: Plan, now: Proposal | None) -> tuple[NextCircle, ...]:
    """Every size with which a plan comes out better than now (None: it does not land), the best first.

    None for who cuts her own, and for corners where circles of many sizes stand side by side. Raises PlanError for
    an impossible plan.
    """
    if not _asked(plan):
        return ()
    found = search(plan, most=_LOOKED_INTO, more=_round_sizes(plan), patience=Patience(_PATIENCE))
    best: dict[float, int] = {}
    for row in range(len(found)):
        missing = missing_circles(plan, choice_of(plan, found.grounds, found.combos, row))
        if len(missing) == 1:
            best.setdefault(missing[0], row)
    rows = sorted(best.values())
    told = zip(rows, proposals_of(plan, found.where(np.array(rows, dtype=np.intp))), strict=True)
    size_of = {row: size for size, row in best.items()}
    every = (
        NextCircle(
            size_of[row],
            LANDS if now is None else now.score - one.score,
            replace(one, needs_circle=size_of[row]),
        )
        for row, one in told
    )
    return tuple(one for one in every if one.worth >= WORTH)


def one_or_two(found: Sequence[NextCircle]) -> tuple[NextCircle, ...]:
    """The best size, and the best of those that make another look of it, where that is worth half as much."""
    first = found[:1]
    others = (one for one in found[1:] if not same_look(one.proposal, found[0].proposal))
    second = next((one for one in others if one.worth >= found[0].worth / 2), None)
    return (*first, second) if second else tuple(first)


def serving_most(worth: Sequence[Mapping[float, float]]) -> tuple[Serving, ...]:
    """The one or two sizes (inches) that would serve most of many plans. worth: of each plan, that of each size.

    The first betters the most plans (of those, the one that is worth most to them); the second betters the most of
    the others.
    """
    left, found = set(range(len(worth))), list[Serving]()
    every = sorted({size for one in worth for size in one})
    while left and len(found) < MOST:
        gains = {size: {n: worth[n][size] for n in sorted(left) if size in worth[n]} for size in every}
        size = max(every, key=lambda d: (len(gains[d]), sum(gains[d].values())), default=inf)
        if size == inf or not gains[size]:
            break
        found.append(Serving(size, tuple(n for n in range(len(worth)) if size in worth[n])))
        left -= set(gains[size])
    return tuple(found)


def better_circle(plan: Plan, patience: Patience | None = None) -> tuple[Found, float] | None:
    """The best layout with exactly one circle that is not hers, and its diameter (inches); None without any.

    Raises PlanError for an impossible plan.
    """
    if not _asked(plan):
        return None
    found = search(plan, most=1, more=_round_sizes(plan), patience=patience)
    if not len(found):
        return None
    missing = missing_circles(plan, choice_of(plan, found.grounds, found.combos, 0))
    return (found, missing[0]) if len(missing) == 1 else None


def missing_circles(plan: Plan, choice: Choice) -> list[float]:
    """The circles of a choice that are not hers, diameters rising (inches)."""
    named = [choice.run_diameter_in, 2 * choice.corner_radius]
    if choice.meeting and MEETINGS[choice.meeting].ring:
        named += [choice.middle_of(side) for side in SIDES]
    return sorted({d for d in named if not owned(plan, d)})


def _asked(plan: Plan) -> bool:
    """Whether a circle more can be asked for at all."""
    return not plan.cut_own and CORNER_STYLES[plan.corner].strict


def _round_sizes(plan: Plan) -> list[float]:
    widest = max(plan.border_in.of(side) for side in SIDES)
    step = _ROUND_STEPS[plan.units] * sizes(plan.units, 0.01, 1.0)[0]
    return [d for i in range(1, int(widest / step) + 1) if not owned(plan, d := i * step)]
