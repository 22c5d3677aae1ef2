"""Of a layout without a seam strip and one with it the better comes first, where the middles are no siblings."""

from __future__ import annotations

import numpy as np
import pytest

from planner.plan import Fill, Plan, SideLengths
from planner.solver.grounds import grounds, with_strip
from planner.solver.limits import Limits
from planner.solver.search import search, search_on
from planner.solver.weights import UNLIKE_IN
from tests.landing_shares import TINS, quilts


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
