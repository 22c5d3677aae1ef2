"""Easy-going combinations: the same question asked of chains whose sizes and depths wander."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from planner import reach
from planner.band import Quilt
from planner.corners import Chain, easygoing
from planner.layout import place
from planner.plan import SIDES, Choice, Counts, Plan, SideName
from planner.run import Numbers
from planner.solver.choices import PAIRS, Combos, choice_of, circle_pairs, within_reach
from planner.solver.limits import Limits
from planner.tin import drawn_or_quarter


def combinations(plan: Plan, quilt: Quilt, limits: Limits) -> Combos:
    """All easy-going combinations that land and keep every hard limit.

    What she cuts herself goes by quarter inches here: where sizes wander anyway, finer ones look the same.
    """
    rows: list[tuple[float, float, tuple[Chain, ...]]] = []
    big, r = within_reach(plan, quilt, limits, *circle_pairs(plan, quilt, limits))
    near = (
        (big <= easygoing.LARGEST_CORNER * r)
        & drawn_or_quarter(plan, 2 * r)
        & drawn_or_quarter(plan, 2 * big)
    )
    for wide, narrow in zip(big[near].tolist(), r[near].tolist(), strict=True):
        shared = [
            set.intersection(
                *(
                    set(easygoing.feasible_counts(easygoing.Wander(quilt.own[s], plan, wide, narrow), plan))
                    for s in pair
                )
            )
            for pair in PAIRS
        ]
        chains = [
            _chains(plan, quilt, pair, wide, narrow, counts)
            for pair, counts in zip(PAIRS, shared, strict=True)
        ]
        rows += [(wide, narrow, (*top, *left)) for top in chains[0] for left in chains[1]]
    combos = _combos(quilt, rows)
    combos = _with_reach(plan, combos.where(combos.mismatch <= limits.mismatch))
    return combos.where((combos.reach_run <= limits.longest) & (combos.reach_corner <= limits.reach_ends))


def _with_reach(plan: Plan, combos: Combos) -> Combos:
    """The combinations with their reach measured: a wandering chain has no closed form."""
    found = [reach.measure(place(plan, choice_of(plan, None, combos, i))) for i in range(len(combos))]
    return replace(
        combos,
        reach_run=np.array([f.run for f in found]),
        reach_corner=np.array([f.corner for f in found]),
    )


def _chains(
    plan: Plan, quilt: Quilt, pair: tuple[SideName, SideName], big: float, r: float, counts: set[int]
) -> list[tuple[Chain, ...]]:
    """The chains of both sides of a pair, for each count with which both land."""
    found = []
    for m in sorted(counts):
        every = Counts(top=m, right=m, bottom=m, left=m)
        choice = Choice(corner_diameter_in=2 * big, run_diameter_in=2 * r, counts=every)
        both = [easygoing.chain(quilt.own[s], plan, choice) for s in pair]
        drawn = [easygoing.chain(quilt.bands[s], plan, choice) for s in pair]
        if all(both) and all(drawn):
            found.append(tuple(c for c in both if c))
    return found


def _combos(quilt: Quilt, rows: list[tuple[float, float, tuple[Chain, ...]]]) -> Combos:
    n = len(rows)
    order = [[*PAIRS[0], *PAIRS[1]].index(s) for s in SIDES]

    def per_side(figure: Callable[[Chain], float]) -> Numbers:
        return np.array([[figure(chains[i]) for i in order] for _, _, chains in rows]).reshape(n, 4)

    r = np.array([row[1] for row in rows], dtype=float)
    lift, none = per_side(lambda c: c.ease.lift), np.zeros(n)
    return Combos(
        big=np.array([row[0] for row in rows], dtype=float),
        r=r,
        middle=none,
        k=per_side(lambda c: (len(c.circles) + 1) / 2),
        lift=lift,
        gap=np.zeros((n, 4)),
        step=per_side(lambda c: c.step),
        rise=np.array([quilt.bands[s].height for s in SIDES]) - 2 * r[:, None] - 2 * lift,
        reach_run=none,
        reach_corner=none,
        reach_middle=none,
    )
