"""Of a layout without a seam strip and one with it the better comes first, where the middles are no siblings."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from planner.geometry.arrays import Mask, Numbers
from planner.plan import Fill, Plan, SideLengths
from planner.solver import easy, landing
from planner.solver import search as searching
from planner.solver.buying import better_circle
from planner.solver.combos import Combos, is_level
from planner.solver.effort import Patience
from planner.solver.grounds import Grounds, grounds, with_strip
from planner.solver.landed import ESTIMATE
from planner.solver.limits import Limits
from planner.solver.score import score
from planner.solver.search import PATIENCE, search, search_on
from planner.solver.tries import circles
from planner.solver.weights import UNLIKE_IN
from tests.landing_shares import TINS, quilts
from tests.planner.solver.test_floors import extreme


def test_middles_of_a_wide_border_are_siblings() -> None:
    """Without a strip the open middles would be 3 1/4 and 11 in wide, which looks like a slip."""
    plan = Plan(
        sides_in=SideLengths(top=65.0, right=52.75, bottom=64.75, left=53.125),
        border_in=SideLengths(top=9.0, right=9.0, bottom=9.0, left=9.0),
        tin_in=TINS["3 circles"],
        fill=Fill(kind="echo"),
    )
    plain = search_on(plan, grounds(plan), Limits.of(plan), most=1)
    assert plain.combos.unlike[0] > 3
    found = search(plan, most=1)
    assert found.combos.unlike[0] <= UNLIKE_IN
    assert found.scores[0] < plain.scores[0]


@pytest.mark.parametrize("seed", range(3))
def test_no_strip_is_better_than_what_is_found_where_middles_are_unlike(seed: int) -> None:
    for plan in quilts(4, unequal=bool(seed % 2), seed=50 + seed):
        own = plan.model_copy(update={"tin_in": TINS["3 circles"]})
        found = search(own, most=1)
        if len(found) and found.combos.unlike[0] > UNLIKE_IN:
            every = [search_on(own, some, Limits.of(own), most=1) for some in with_strip(own)]
            assert found.scores[0] <= min((one.scores[0] for one in every if len(one)), default=np.inf)


@pytest.mark.parametrize("tin", ["6 circles", "12 circles"])
def test_the_calmest_is_what_a_search_for_level_runs_alone_finds(tin: str) -> None:
    """It is landed beside the others, whatever it costs; what else is found is the same without it."""
    alone = 0
    for plan in real_quilts(8, tin):
        plain = search(plan)
        found = search(plan, calm=True)
        assert found.scores[: len(plain)] == pytest.approx(plain.scores)
        assert is_level(found.combos).any() or not len(level_on(plan, found.grounds))
        if len(found) > len(plain):
            level = level_on(plan, found.grounds)
            assert found.scores[len(plain) :] == pytest.approx(level.scores)
            alone += 1
    assert alone


def level_on(plan: Plan, some: Grounds) -> searching.Found:
    return search_on(plan.model_copy(update={"run": "level"}), some, Limits.of(plan), most=1)


def real_quilts(number: int, tin: str) -> Iterator[Plan]:
    """So many, a third of them of two widths."""
    for unequal, share in ((False, number - number // 3), (True, number // 3)):
        for plan in quilts(share, unequal=unequal, seed=7):
            yield plan.model_copy(update={"tin_in": TINS[tin], "cut_own": not TINS[tin]})


@pytest.mark.parametrize(
    ("number", "tin"), [(6, "cut own"), *(pytest.param(100, tin, marks=pytest.mark.long) for tin in TINS)]
)
def test_patience_never_ends_the_search_for_a_real_quilt(number: int, tin: str) -> None:
    """Neither for what she has, nor after it for what one circle more would do."""
    for plan in real_quilts(number, tin):
        patience = Patience(PATIENCE)
        search(plan, patience=patience)
        better_circle(plan, patience)
        assert patience, plan
        patience = Patience(easy.PATIENCE)
        easy.search(plan.model_copy(update={"corner": "easy_going"}), patience)
        assert patience, plan


def test_circles_that_are_only_gathered_are_work_too() -> None:
    """Tens of thousands of pairs fit a wide border where she cuts any; what landed was all that counted."""
    plan = extreme(
        23.5, corner="turning", cut_own=True, sides_in={"top": 233, "right": 195, "bottom": 220, "left": 195}
    )
    some, limits = grounds(plan), Limits.of(plan)
    assert len(circles(plan, some, limits)) > 50_000
    patience = Patience(400)
    assert not len(search_on(plan, some, limits, patience=patience))
    assert not patience


def test_the_rings_that_are_not_tried_are_not_missed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where she cuts her own there are dozens of rings for each count: the easiest by their bounds are enough."""
    for plan in real_quilts(6, "cut own"):
        own = plan.model_copy(update={"meeting": "wreath"})
        some = search(own)
        with monkeypatch.context() as all_of_them:
            all_of_them.setattr(landing, "_RINGS_TO_A_WAY", np.inf)
            every = search(own)
        assert some.scores == pytest.approx(every.scores)


@pytest.mark.parametrize("unequal", [False, True], ids=["one width", "two widths"])
def test_an_estimated_score_is_hardly_higher_than_the_measured_one(
    monkeypatch: pytest.MonkeyPatch, unequal: bool
) -> None:
    """What costs too much by its estimates is not measured: they may be lower than the truth, and hardly higher."""
    too_high = list[float]()
    whole = searching.with_reach

    def measured(
        plan: Plan, some: Grounds, limits: Limits, combos: Combos, runs: Numbers
    ) -> tuple[Combos, Mask]:
        found, within = whole(plan, some, limits, combos, runs)
        less = score(plan, some, combos, limits) - score(plan, some, found, limits)
        too_high.extend(less[within].tolist())
        return found, within

    monkeypatch.setattr(searching, "with_reach", measured)
    for plan in quilts(10, unequal=unequal, seed=9):
        search(plan.model_copy(update={"tin_in": TINS["12 circles"]}))
    assert len(too_high) > 50
    assert max(too_high) <= ESTIMATE
