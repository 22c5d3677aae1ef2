"""Easy-going combinations: the same question asked of chains whose sizes and depths wander."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from planner.border import reach
from planner.border.band import Band, Quilt
from planner.border.corners import Chain, easygoing
from planner.border.layout import placed
from planner.border.tin import drawn_or_quarter
from planner.errors import ChoiceError
from planner.geometry.arrays import Numbers
from planner.plan import SIDES, Choice, Counts, Plan, SideName
from planner.solver.choices import PAIRS, circle_pairs
from planner.solver.combos import Combos, choice_of, of_kind
from planner.solver.limits import Limits
from planner.solver.reaching import within_reach

Chains = dict[SideName, Chain]


@dataclass(frozen=True, slots=True)
class _Landed:
    """Circles (radii, inches) and the chains with which all four sides land, as measured and as drawn."""

    corner_radius: float
    r: float
    own: Chains
    drawn: Chains


def combinations(plan: Plan, quilt: Quilt, limits: Limits) -> Combos:
    """All easy-going combinations that land and keep every hard limit.

    What she cuts herself goes by quarter inches here: where sizes wander anyway, finer ones look the same.
    """
    landed: list[_Landed] = []
    pairs = within_reach(plan, quilt, limits, *circle_pairs(plan, quilt, limits))
    corner_radius, r = pairs.corner_radius, pairs.r
    near = (
        (corner_radius <= easygoing.LARGEST_CORNER * r)
        & drawn_or_quarter(plan, 2 * r)
        & drawn_or_quarter(plan, 2 * corner_radius)
    )
    for wide, narrow in zip(corner_radius[near].tolist(), r[near].tolist(), strict=True):
        across, down = (list(_chains(plan, quilt, pair, wide, narrow)) for pair in PAIRS)
        landed += [
            _Landed(wide, narrow, {**own, **beside}, {**drawn, **beside_drawn})
            for own, drawn in across
            for beside, beside_drawn in down
        ]
    combos = _combos(quilt, landed)
    keep = np.flatnonzero((combos.mismatch <= limits.mismatch) & of_kind(plan, combos))
    combos = _with_reach(plan, quilt, combos.where(keep), [landed[i] for i in keep])
    return combos.where((combos.reach_run <= limits.longest) & (combos.reach_corner <= limits.reach_ends))


def _with_reach(plan: Plan, quilt: Quilt, combos: Combos, landed: list[_Landed]) -> Combos:
    """The combinations with their reach measured (a wandering chain has no closed form); beyond any, on overlap."""
    reach_run, reach_corner = np.full(len(combos), np.inf), np.full(len(combos), np.inf)
    for i, one in enumerate(landed):
        try:
            layout = placed(plan, choice_of(plan, None, combos, i), quilt, one.drawn, one.own)
        except ChoiceError:
            continue
        found = reach.measure(layout)
        reach_run[i], reach_corner[i] = found.run, found.corner
    lawful = np.isfinite(reach_run)
    return replace(combos, reach_run=reach_run, reach_corner=reach_corner).where(lawful)


def _chains(
    plan: Plan, quilt: Quilt, pair: tuple[SideName, SideName], corner_radius: float, r: float
) -> Iterator[tuple[Chains, Chains]]:
    """The chains of both sides of a pair, as measured and as drawn, for each count with which all land."""
    lands = [
        easygoing.feasible_counts(easygoing.Wander(quilt.own[s], plan, corner_radius, r), plan) for s in pair
    ]
    for m in sorted(set(lands[0]) & set(lands[1])):
        every = Counts(top=m, right=m, bottom=m, left=m)
        choice = Choice(corner_diameter_in=2 * corner_radius, run_diameter_in=2 * r, counts=every)
        own = _landing(quilt.own, pair, plan, choice)
        drawn = own and (_landing(quilt.bands, pair, plan, choice) if quilt.own != quilt.bands else own)
        if own and drawn:
            yield own, drawn


def _landing(
    bands: dict[SideName, Band], pair: tuple[SideName, SideName], plan: Plan, choice: Choice
) -> Chains | None:
    landed = easygoing.chains({side: bands[side] for side in pair}, plan, choice)
    return landed if len(landed) == len(pair) else None


def _combos(quilt: Quilt, landed: list[_Landed]) -> Combos:
    n = len(landed)

    def per_side(figure: Callable[[Chain], float]) -> Numbers:
        return np.array([[figure(one.own[side]) for side in SIDES] for one in landed]).reshape(n, 4)

    r = np.array([one.r for one in landed], dtype=float)
    lift, none = per_side(lambda c: c.ease.lift), np.zeros(n)
    return Combos(
        corner_radius=np.array([one.corner_radius for one in landed], dtype=float),
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
