"""Cards that differ: proposals in groups that an eye across the room tells apart, none lost, none twice."""

from __future__ import annotations

from itertools import combinations

import pytest

from planner.demo import demo_plan
from planner.plan import Plan, SideLengths
from planner.solver import Proposal, propose
from planner.solver.groups import LEVEL_AMONG, SORTS, grouped, in_order, same_look

WIDTHS = (5.0, 6.0, 8.0, 10.0)


def with_border(width: float, **more: object) -> Plan:
    border = SideLengths(top=width, right=width, bottom=width, left=width)
    return demo_plan().model_copy(update={"border_in": border, "choice": None, **more})


@pytest.mark.parametrize("width", WIDTHS)
def test_every_proposal_stands_in_one_group_behind_the_best_of_its_look(width: float) -> None:
    proposals = propose(with_border(width)).proposals
    groups = grouped(proposals)
    place = {id(one): i for i, one in enumerate(proposals)}
    assert sorted(place[id(one)] for group in groups for one in group.every) == list(range(len(proposals)))
    for group in groups:
        assert [place[id(one)] for one in group.every] == sorted(place[id(one)] for one in group.every)
        assert all(same_look(group.head, one) for one in group.variants)
    assert not any(same_look(one.head, other.head) for one, other in combinations(groups, 2))
    assert groups[0].head is proposals[0]


@pytest.mark.parametrize("width", WIDTHS)
def test_a_level_run_is_among_the_first_six_whenever_one_lands(width: float) -> None:
    lands = propose(with_border(width, run="level")).proposals
    assert lands, "these borders all take level runs"
    first = grouped(propose(with_border(width)).proposals)[:LEVEL_AMONG]
    assert any(group.head.level for group in first)


def reach(one: Proposal) -> float:
    """In the place of the hours, which tell of a plan too."""
    return one.reach


@pytest.mark.parametrize("sorting", [*SORTS, "hours"])
def test_sorted_each_group_shows_its_first_in_that_order(sorting: str) -> None:
    groups = grouped(propose(with_border(6.0)).proposals)
    figure = SORTS.get(sorting, reach)  # type: ignore[call-overload]
    ordered = in_order(groups, sorting, reach)  # type: ignore[arg-type]
    heads = [figure(group.head) for group in ordered]
    assert heads == sorted(heads)
    assert heads[0] == min(figure(one) for group in groups for one in group.every)
    assert all(figure(group.head) <= figure(one) for group in ordered for one in group.variants)
    same = {frozenset(map(id, group.every)) for group in groups}
    assert {frozenset(map(id, group.every)) for group in ordered} == same
