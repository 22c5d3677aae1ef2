"""Ranking: what was found, the beaten dropped, the rest by score, three different ones in front."""

from __future__ import annotations

import numpy as np

from planner.border.corners import Ease
from planner.border.corners.styles import CORNER_STYLES
from planner.border.mistyped import believed
from planner.geometry.arrays import Indices, Numbers
from planner.plan import SIDES, Plan
from planner.solver import easy
from planner.solver.combos import choice_of, is_level
from planner.solver.effort import Patience
from planner.solver.forgiving import forgiven, landing_margins
from planner.solver.groups import same_look
from planner.solver.limits import Limits
from planner.solver.praise import praised
from planner.solver.proposal import Forgives, Proposal
from planner.solver.score import crowding, terms
from planner.solver.search import MOST_FOUND, Found, search

LEAD = 3  # this many visibly different proposals come first


def ranked(plan: Plan, patience: Patience | None = None) -> list[Proposal]:
    """All proposals that no other beats, best first, three visibly different ones in front; a level one among them.

    A layout is only beaten by one of its own look: same meeting, level or rolling, open or crowded. Which look
    she likes is taste; and small crowded circles, which have the shortest reach, would drive out all others.
    Raises PlanError for an impossible plan.
    """
    found = find(plan, patience=patience, calm=plan.run == "any")
    found = found.where(_unbeaten(plan, found))
    return _different_first(praised(proposals_of(plan, found)))


def best(plan: Plan, patience: Patience | None = None) -> Proposal | None:
    """The first of the ranked proposals, but for why one would take it, which all the others decide."""
    found = find(plan, 1, patience)
    return next(iter(proposals_of(plan, found.where(slice(1)))), None)


def find(plan: Plan, most: int = MOST_FOUND, patience: Patience | None = None, calm: bool = False) -> Found:
    """The cheapest layouts of a plan; calm: last the cheapest level one, where none of them is level and all of one
    corner circle. Raises PlanError for an impossible plan."""
    if CORNER_STYLES[plan.corner].strict:
        return search(plan, most=most, patience=patience, calm=calm)
    return easy.search(plan, patience)


def proposals_of(plan: Plan, found: Found) -> list[Proposal]:
    """What was found, as proposals."""
    combos, scores = found.combos, found.scores
    level, mismatch = is_level(combos), combos.mismatch
    strict = CORNER_STYLES[plan.corner].strict
    lands = (forgiven if strict else landing_margins)(found.grounds, combos, Limits.of(plan))
    forgives = np.minimum(lands, believed(plan))
    return [
        Proposal(
            choice_of(plan, found.grounds, combos, i),
            bool(level[i]),
            {side: Ease(float(combos.lift[i, j]), float(combos.gap[i, j])) for j, side in enumerate(SIDES)},
            {side: float(combos.step[i, j]) for j, side in enumerate(SIDES)},
            float(combos.reach_run[i]),
            float(combos.reach_ends[i]),
            float(mismatch[i]),
            float(scores[i]),
            Forgives(*forgives[i, 0].tolist()),
            Forgives(*forgives[i, 1].tolist()),
        )
        for i in range(len(combos))
    ]


def _unbeaten(plan: Plan, found: Found) -> Indices:
    """Indices that no other row of the same look beats in every term of the score; rising."""
    combos = found.combos
    figures = np.stack(list(terms(plan, found.grounds, combos, Limits.of(plan)).values()), axis=1)
    looks = np.stack((combos.meeting, is_level(combos), crowding(combos) > 0), axis=1)
    kept: list[int] = []
    for look in np.unique(looks, axis=0):
        rows = np.flatnonzero((looks == look).all(axis=1))
        kept += rows[undominated(figures[rows])].tolist()
    return np.array(sorted(kept), dtype=np.intp)


def undominated(figures: Numbers) -> Indices:
    """Indices (indices, rising) that no other row beats: no worse in every column and better in one. (n, c)

    The row with the least sum left is beaten by none; what it beats goes, and the next is taken.
    """
    left = np.argsort(figures.sum(axis=1), kind="stable")
    indices: list[int] = []
    while left.size:
        row, rest = figures[left[0]], figures[left]
        indices.append(int(left[0]))
        beaten = (row <= rest).all(axis=1) & (row < rest).any(axis=1)
        left = left[1:][~beaten[1:]]
    return np.array(sorted(indices), dtype=np.intp)


def _different_first(proposals: list[Proposal]) -> list[Proposal]:
    """The same proposals, the first few of them visibly different from one another."""
    lead: list[Proposal] = []
    for proposal in proposals:
        if len(lead) < LEAD and not any(same_look(proposal, other) for other in lead):
            lead.append(proposal)
    return lead + [p for p in proposals if not any(p is q for q in lead)]
