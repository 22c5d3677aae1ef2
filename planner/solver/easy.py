"""Easy-going combinations: sizes that vary, drawn from the seed, and four sides that meet in their corners."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import product
from math import sin

import numpy as np

from planner.border import reach
from planner.border.band import Quilt
from planner.border.corners import Chain, easygoing
from planner.border.corners.easygoing import LAST_LEAN, MOST_LEAN, TUCKED, WISHED, Side
from planner.border.layout import undrawn
from planner.border.tin import diameters, drawn_or_quarter
from planner.errors import ChoiceError
from planner.geometry.arrays import Numbers
from planner.plan import SIDES, Choice, Counts, Plan, SideName
from planner.solver.choices import PAIRS
from planner.solver.combos import Combos, choice_of, of_kind
from planner.solver.limits import Limits

Chains = dict[SideName, Chain]


@dataclass(frozen=True, slots=True)
class _Landed:
    """A run circle (radius, inches) and the chains with which all four sides land, as measured and as drawn."""

    r: float
    own: Chains
    drawn: Chains


def combinations(plan: Plan, quilt: Quilt, limits: Limits) -> Combos:
    """All easy-going combinations that land and keep every hard limit; those that lean much only if no other do.

    What she cuts herself goes by quarter inches here: where sizes vary anyway, finer ones look the same.
    """
    for least_lean, most_lean in ((0.0, MOST_LEAN), (MOST_LEAN, LAST_LEAN)):
        radii = _radii(plan, quilt, limits, least_lean, most_lean)
        landed = [one for r in radii.tolist() for one in _landed(plan, quilt, r)]
        combos = _combos(quilt, landed)
        keep = np.flatnonzero((combos.mismatch <= limits.mismatch) & of_kind(plan, combos))
        combos = _with_reach(plan, quilt, combos.where(keep), [landed[i] for i in keep])
        combos = combos.where(
            (combos.reach_run <= limits.longest) & (combos.reach_corner <= limits.reach_ends)
        )
        if len(combos):
            break
    return combos


def _radii(plan: Plan, quilt: Quilt, limits: Limits, least_lean: float, most_lean: float) -> Numbers:
    """Run circles whose links lean so, whose smaller ones can be filled and do not reach too far by themselves."""
    heights = [band.height for band in quilt.bands.values()]
    height = min(heights)
    least, most = max(heights) / (2 + 2 * sin(most_lean)), height / (2 + 2 * sin(least_lean))
    sizes = diameters(plan, 2 * least, 2 * most)
    r = sizes[drawn_or_quarter(plan, sizes)] / 2
    smaller = np.array([easygoing.sizes_of(plan, one, height).smaller for one in r.tolist()])
    none = np.zeros(len(r))
    room = max(band.room for band in quilt.bands.values())
    runs = reach.of_runs(none + height, smaller, none, none, room, plan.tail_deg)
    return r[(smaller >= limits.smallest_curl) & (runs <= limits.longest)]


def _landed(plan: Plan, quilt: Quilt, r: float) -> Iterator[_Landed]:
    """The chains of all counts with which the four sides land."""
    for across, down in product(*(_counts(plan, quilt, pair, r) for pair in PAIRS)):
        counts = Counts(top=across, right=down, bottom=across, left=down)
        choice = Choice(corner_diameter_in=None, run_diameter_in=2 * r, counts=counts)
        own = easygoing.chains(quilt.own, plan, choice)
        drawn = easygoing.chains(quilt.bands, plan, choice) if quilt.own != quilt.bands else own
        if len(own) == len(drawn) == len(SIDES):
            yield _Landed(r, own, drawn)


def _counts(plan: Plan, quilt: Quilt, pair: tuple[SideName, SideName], r: float) -> list[int]:
    """Odd numbers of circles that bring the corner circles of a pair of sides about where they should stand."""
    first, second = (quilt.bands[side] for side in pair)
    side = Side(first.height, easygoing.sizes_of(plan, r, min(b.height for b in quilt.bands.values())))
    span = (first.span + second.span) / 2
    least = side.least_circles(span)
    seed = plan.seed, PAIRS.index(pair)
    return [
        m
        for m in (least, least + 2)
        if abs(side.missing(span, easygoing.classes_of(side, span, seed, m))) <= 2 * (TUCKED - WISHED) * r
    ]


def _with_reach(plan: Plan, quilt: Quilt, combos: Combos, landed: list[_Landed]) -> Combos:
    """The combinations with their reach measured; beyond any, on overlap."""
    reach_run, reach_corner = np.full(len(combos), np.inf), np.full(len(combos), np.inf)
    for i, one in enumerate(landed):
        try:
            layout = undrawn(plan, choice_of(plan, None, combos, i), quilt, one.drawn, one.own)
        except ChoiceError:
            continue
        found = reach.measure(layout)
        reach_run[i], reach_corner[i] = found.run, found.corner
    lawful = np.isfinite(reach_run)
    return replace(combos, reach_run=reach_run, reach_corner=reach_corner).where(lawful)


def _combos(quilt: Quilt, landed: list[_Landed]) -> Combos:
    n = len(landed)

    def per_side(figure: Callable[[Chain], float]) -> Numbers:
        return np.array([[figure(one.own[side]) for side in SIDES] for one in landed]).reshape(n, 4)

    r, none = np.array([one.r for one in landed], dtype=float), np.zeros(n)
    return Combos(
        corner_radius=r,
        r=r,
        middle=none,
        k=per_side(lambda c: (len(c.circles) + 1) / 2),
        lift=np.zeros((n, 4)),
        gap=np.zeros((n, 4)),
        step=per_side(lambda c: c.step),
        rise=np.array([quilt.bands[s].height for s in SIDES]) - 2 * r[:, None],
        reach_run=none,
        reach_corner=none,
        reach_middle=none,
    )
