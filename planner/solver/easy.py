"""Easy-going combinations: sizes that vary, drawn from the seed, and four sides that meet in their corners."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import chain, product
from math import sin

import numpy as np

from planner.border import estimates, reach
from planner.border.band import Quilt
from planner.border.corners import Chain, easygoing
from planner.border.corners.easygoing import LAST_LEAN, MOST_LEAN, TUCKED, WISHED, Side
from planner.border.layout import undrawn
from planner.border.room import comfortable_room
from planner.border.tin import diameters
from planner.errors import ChoiceError
from planner.geometry.arrays import Numbers
from planner.plan import SIDES, Choice, Counts, Plan, SideName
from planner.solver.combos import Combos, choice_of, code_of, of_kind
from planner.solver.effort import Patience
from planner.solver.grounds import Grounds, grounds, with_strip
from planner.solver.limits import ENDS_REACH, Limits
from planner.solver.score import score
from planner.solver.search import Found, check_tin
from planner.solver.tries import USUAL_FEET

Chains = dict[SideName, Chain]
PAIRS: tuple[tuple[SideName, SideName], ...] = (("top", "bottom"), ("left", "right"))
_SIZE_STEPS = 2  # of a cut size: quarter inches
_ENOUGH = 3  # layouts to choose from
_STRIP_ROOMS = 4  # tried beside a seam strip: its own steps are as good
PATIENCE = 28_000  # of curls: more than a usual quilt takes, with whatever circles
_MEASURING = 8  # a curl that is measured is as much work as so many that are laid out
_LOOKING = 40  # and so are the grounds of one seam strip, whatever lands there


@dataclass(frozen=True, slots=True)
class _Landed:
    """A run circle (radius, inches) and the chains with which all four sides land, as measured and as drawn."""

    r: float
    own: Chains
    drawn: Chains


def search(plan: Plan, patience: Patience | None = None) -> Found:
    """Easy-going layouts, cheapest first, in the rooms nearest to the comfortable one that let any land.

    Those that lean much only if no other do, and a seam strip only if nothing lands without. What she cuts
    herself goes by quarter inches here: where sizes vary anyway, finer ones look the same. Raises PlanError for an
    impossible plan.
    """
    check_tin(plan)
    plain, limits = grounds(plan), Limits.of(plan)
    patience = Patience(PATIENCE, patience)
    for some in chain((plain,), with_strip(plan)):
        for leans in ((0.0, MOST_LEAN), (MOST_LEAN, LAST_LEAN)):
            every = _on_some(plan, some, limits, leans, patience)
            if len(every):
                costs = score(plan, some, every, limits)
                order = np.argsort(costs, kind="stable")
                return Found(some, every.where(order), costs[order])
    return Found(plain, Combos.none(), np.zeros(0))


def _on_some(
    plan: Plan, some: Grounds, limits: Limits, leans: tuple[float, float], patience: Patience
) -> Combos:
    """What lands in the rooms nearest to the comfortable one, until there is enough to choose from."""
    nearest = np.argsort(np.abs(np.log2(some.room / comfortable_room(plan.fill))), kind="stable").tolist()
    if some.strip.any():
        nearest = nearest[: _strip_rooms(plan)]
    found = [Combos.none()]
    patience.spend(_LOOKING)
    radii = _radii(plan, some, nearest, *leans)
    for ground in nearest:
        if not patience:
            break
        if not radii[ground]:
            continue
        found.append(_on_ground(plan, some, ground, limits, radii[ground], patience))
        if sum(len(combos) for combos in found) >= _ENOUGH:
            break
    return Combos.stacked(found)


def _strip_rooms(plan: Plan) -> int:
    """How many rooms to try beside a seam strip: fewer along a side whose every layout is long to measure."""
    feet = max(plan.sides_in.of(side) for side in SIDES) / 12
    return max(1, int(_STRIP_ROOMS * min(1.0, USUAL_FEET / feet) ** 2))


def _on_ground(
    plan: Plan, some: Grounds, ground: int, limits: Limits, radii: list[float], patience: Patience
) -> Combos:
    """All that land on one ground and keep every hard limit, as long as there is patience."""
    landed = [one for r in radii if patience for one in _landed(plan, some.quilts[ground], r, patience)]
    combos = _combos(some, ground, landed)
    keep = (
        np.flatnonzero((combos.mismatch <= limits.mismatch) & of_kind(plan, combos))
        if landed
        else np.zeros(0, int)
    )
    longest = some.longest[ground].max()
    combos = _with_reach(plan, some, combos.where(keep), [landed[i] for i in keep], longest, patience)
    return combos.where((combos.reach_run <= longest) & (combos.reach_ends <= ENDS_REACH * longest))


def _radii(
    plan: Plan, some: Grounds, on: list[int], least_lean: float, most_lean: float
) -> dict[int, list[float]]:
    """For each ground the run circles whose links lean so; the smaller ones are filled and do not reach too far."""
    tried = []
    for ground in on:
        height = float(some.height[ground])
        least, most = height / (2 + 2 * sin(most_lean)), height / (2 + 2 * sin(least_lean))
        for r in (diameters(plan, 2 * least, 2 * most, _SIZE_STEPS) / 2).tolist():
            tried.append((ground, r, easygoing.sizes_of(plan, r, height).smaller))
    at = np.array([ground for ground, *_ in tried], dtype=np.intp)
    smaller = np.array([size for *_, size in tried])
    none, widest = np.zeros(len(tried)), some.rooms[at].argmax(axis=1) if tried else at
    runs = estimates.of_runs(some.height[at], smaller, none, none, some.rooms[at, widest], plan.tail_deg)
    kept = (smaller >= some.smallest[at]) & (runs <= some.longest[at, widest])
    found: dict[int, list[float]] = {ground: [] for ground in on}
    for n in np.flatnonzero(kept).tolist():
        found[tried[n][0]].append(tried[n][1])
    return found


def _landed(plan: Plan, quilt: Quilt, r: float, patience: Patience) -> Iterator[_Landed]:
    """The chains of all counts with which the four sides land, as long as there is patience."""
    for across, down in product(*(_counts(plan, quilt, pair, r, patience) for pair in PAIRS)):
        if not patience:
            return
        patience.spend(2 * (across + down))
        counts = Counts(top=across, right=down, bottom=across, left=down)
        choice = Choice(corner_diameter_in=None, run_diameter_in=2 * r, counts=counts)
        own = easygoing.chains(quilt.own, plan, choice)
        drawn = easygoing.chains(quilt.bands, plan, choice) if quilt.own != quilt.bands else own
        if len(own) == len(drawn) == len(SIDES):
            yield _Landed(r, own, drawn)


def _counts(
    plan: Plan, quilt: Quilt, pair: tuple[SideName, SideName], r: float, patience: Patience
) -> list[int]:
    """Odd numbers of circles that bring the corner circles of a pair of sides about where they should stand."""
    first, second = (quilt.bands[side] for side in pair)
    side = Side(first.height, easygoing.sizes_of(plan, r, min(b.height for b in quilt.bands.values())))
    span = (first.span + second.span) / 2
    least = side.least_circles(span)
    seed = plan.seed, PAIRS.index(pair)
    patience.spend(2 * least)
    return [
        m
        for m in (least, least + 2)
        if side.may_hold(span, m)
        and abs(side.missing(span, easygoing.classes_of(side, span, seed, m))) <= 2 * (TUCKED - WISHED) * r
    ]


def _with_reach(
    plan: Plan, some: Grounds, combos: Combos, landed: list[_Landed], longest: float, patience: Patience
) -> Combos:
    """The combinations whose runs do not reach too far, with their reach measured; as long as there is patience."""
    reach_run, reach_ends = np.full(len(combos), np.inf), np.full(len(combos), np.inf)
    for i, one in enumerate(landed):
        if not patience:
            break
        curls = sum(len(chain.circles) for chain in one.own.values())
        try:
            quilt = some.quilts[combos.ground[i]]
            layout = undrawn(plan, choice_of(plan, some, combos, i), quilt, one.drawn, one.own)
        except ChoiceError:  # circles overlap
            continue
        found = reach.measured_within(layout, longest)
        if found:
            reach_run[i], reach_ends[i] = found.run, found.corner
        patience.spend(_MEASURING * curls if found else curls)
    lawful = np.isfinite(reach_run)
    return replace(combos, reach_run=reach_run, reach_ends=reach_ends).where(lawful)


def _combos(some: Grounds, ground: int, landed: list[_Landed]) -> Combos:
    n = len(landed)

    def per_side(figure: Callable[[Chain], float]) -> Numbers:
        return np.array([[figure(one.own[side]) for side in SIDES] for one in landed]).reshape(n, 4)

    r, none = np.array([one.r for one in landed], dtype=float), np.zeros((n, 4))
    tucked = per_side(lambda c: c.near.centre[0]) - r[:, None]  # along the side, past touching
    return Combos(
        ground=np.full(n, ground, dtype=np.intp),
        tried=np.arange(n),
        meeting=np.full(n, code_of(None), dtype=np.intp),
        corner_radius=r,
        r=r,
        middle=none,
        k=per_side(lambda c: (len(c.circles) + 1) / 2),
        lift=none,
        gap=none,
        step=per_side(lambda c: c.step),
        rise=some.height[ground] - 2 * r[:, None] + none,
        short=np.maximum(tucked, 0.0),
        long=np.maximum((TUCKED - 1) * r[:, None] - tucked, 0.0),
        reach_run=np.full(n, np.nan),
        reach_ends=np.full(n, np.nan),
    )
