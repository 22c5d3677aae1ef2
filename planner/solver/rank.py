"""Ranking: every feasible combination, the beaten dropped, the rest by score, three different ones in front."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.border.band import largest_corner, quilt_of
from planner.border.corners import Ease
from planner.geometry.arrays import ROUNDING, Numbers
from planner.plan import SIDES, Choice, MeetingKind, Plan, SideName
from planner.solver.combos import Combos, choice_of, is_level
from planner.solver.limits import Limits
from planner.solver.score import criteria, crowding, least_score, score, terms, undominated
from planner.solver.search import cheapest, feasible

LEAD = 3  # this many visibly different proposals come first
_VISIBLE_SHARE = 0.08  # circles that differ by less look the same in a border


@dataclass(frozen=True, slots=True)
class Proposal:
    """One solved layout with its figures. Lengths in inches; reach is the run's, ends the corner's or middle's."""

    choice: Choice
    level: bool
    ease: dict[SideName, Ease]
    step: dict[SideName, float]
    reach: float
    reach_ends: float
    mismatch: float
    score: float
    why: str

    @property
    def largest_ease(self) -> float:
        """Lift and gap together on the side where they are most, inches."""
        return max(e.lift + e.gap for e in self.ease.values())


@dataclass(frozen=True, slots=True)
class Found:
    """Combinations of one meeting with their scores, none beaten by another."""

    meeting: MeetingKind | None
    combos: Combos
    scores: Numbers
    parts: dict[str, Numbers]


def ranked(plan: Plan) -> list[Proposal]:
    """All proposals that no other beats, best first.

    A layout is only beaten by one of its own look: same meeting, level or rolling, open or crowded. Which look
    she likes is taste; and small crowded circles, which have the shortest reach, would drive out all others.
    The best score of a look stays even when beaten: a score also prices how a corner is filled.
    """
    found = _unbeaten(plan)
    least = _least(found)
    proposals = [_proposal(plan, f, i, least) for f in found for i in range(len(f.combos))]
    proposals.sort(key=_order)
    return _different_first(proposals)


def best(plan: Plan) -> Proposal | None:
    """The first of the ranked proposals, but for why one would take it, which all the others decide.

    For a comparison of many plans: what cannot score better than the best so far is left out.
    """
    quilt, limits = quilt_of(plan), Limits.of(plan)
    corner = largest_corner(quilt)
    leading: list[Proposal] = []
    for meeting, combos, scores in cheapest(
        plan, limits, lambda c: score(c, limits, corner), lambda t: least_score(t, limits, corner)
    ):
        found = Found(meeting, combos, scores, {})
        rows = np.flatnonzero(scores == scores.min(initial=np.inf)).tolist()
        leading = sorted([*leading, *(_proposal(plan, found, i, {}) for i in rows)], key=_order)[:1]
    return leading[0] if leading else None


def _unbeaten(plan: Plan) -> list[Found]:
    quilt, limits = quilt_of(plan), Limits.of(plan)
    corner = largest_corner(quilt)
    found = []
    for meeting, combos in feasible(plan):
        look = 2 * is_level(combos) + (crowding(combos) > 0)
        scores, figures = score(combos, limits, corner), criteria(combos)
        keep: set[int] = set()
        for rows in (np.flatnonzero(look == kind) for kind in range(4)):
            lowest = scores[rows].min(initial=np.inf)
            keep.update(rows[undominated(figures[rows])].tolist(), rows[scores[rows] == lowest].tolist())
        kept = combos.where(np.array(sorted(keep), dtype=np.intp))
        found.append(Found(meeting, kept, score(kept, limits, corner), terms(kept, limits, corner)))
    return found


def _order(proposal: Proposal) -> tuple[float, str]:
    return proposal.score, proposal.choice.model_dump_json()


def _least(found: list[Found]) -> dict[str, float]:
    """The least of each term over all proposals."""
    return {
        name: min((f.parts[name].min() for f in found if len(f.combos)), default=0.0)
        for name in ("ease", "reach", "mismatch", "corner")
    }


def _proposal(plan: Plan, found: Found, i: int, least: dict[str, float]) -> Proposal:
    combos, row = found.combos, found.combos.where(np.array([i]))
    return Proposal(
        choice_of(plan, found.meeting, combos, i),
        bool(is_level(row)[0]),
        {side: Ease(float(combos.lift[i, j]), float(combos.gap[i, j])) for j, side in enumerate(SIDES)},
        {side: float(combos.step[i, j]) for j, side in enumerate(SIDES)},
        float(combos.reach_run[i]),
        float(row.reach_ends[0]),
        float(row.mismatch[0]),
        float(found.scores[i]),
        _why({name: float(found.parts[name][i]) for name in least}, least) if least else "",
    )


_PRAISE = {
    "ease": "needs the least ease",
    "reach": "asks for the shortest plumes",
    "mismatch": "has the most even steps",
    "corner": "fills its corners best",
}


def _why(parts: dict[str, float], least: dict[str, float]) -> str:
    """Why one would take it, in words: what it does best, else what it does nearly as well as any."""
    best = [_PRAISE[name] for name in parts if parts[name] <= least[name] + ROUNDING]
    if best:
        return f"It {' and '.join(best)} of all."
    near = sorted(parts, key=lambda name: parts[name] - least[name])[0]
    return f"A middle way; it nearly {_PRAISE[near]}."


def _different_first(proposals: list[Proposal]) -> list[Proposal]:
    """The same proposals, the first few of them visibly different from one another."""
    lead: list[Proposal] = []
    for proposal in proposals:
        if len(lead) < LEAD and all(_look_different(proposal, other) for other in lead):
            lead.append(proposal)
    return lead + [p for p in proposals if not any(p is q for q in lead)]


def _look_different(one: Proposal, other: Proposal) -> bool:
    a, b = one.choice, other.choice
    circles = ((a.run_diameter_in, b.run_diameter_in), (a.corner_radius, b.corner_radius))
    return (
        a.meeting != b.meeting
        or one.level != other.level
        or any(abs(x - y) > _VISIBLE_SHARE * max(x, y) for x, y in circles)
    )
