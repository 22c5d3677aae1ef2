"""What is praised is true of that card against all the others on the table."""

from __future__ import annotations

import pytest

from planner.solver.praise import PRAISES
from planner.solver.rank import ranked
from tests.landing_shares import TINS, quilts


@pytest.mark.parametrize("number", [4, pytest.param(60, marks=pytest.mark.long)])
def test_praise_is_deserved_and_not_shared_by_most(number: int) -> None:
    praised = 0
    for plan in quilts(number, unequal=False, seed=31):
        found = ranked(plan.model_copy(update={"tin_in": TINS["12 circles"]}))
        for _, words, figure in PRAISES:
            best = [p for p in found if words in p.why]
            praised += len(best)
            least = min(figure(p) for p in found)
            assert all(figure(p) <= least + 1e-9 for p in best)
            assert len(best) <= max(1, len(found) / 2)
        assert all(p.why == "" or p.why.startswith("It ") for p in found)
    assert praised
