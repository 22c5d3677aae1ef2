"""What is retraced, against the least that an integer programme finds (scipy's HiGHS)."""

from __future__ import annotations

import networkx as nx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.fills import fill
from planner.plan import Fill
from planner.stitching import needle
from planner.stitching.order import path_of
from planner.stitching.postman import Edge, Step, least_retrace
from planner.stitching.rural_postman import rural_postman
from tests.outside.integer import least_line
from tests.outside.test_postman import drawings, total, unit
from tests.outside.test_rural_postman import least as by_trying
from tests.outside.test_rural_postman import length_of, trips
from tests.planner.landed import example

Trip = tuple[list[Edge], list[Edge], int, int | None]
LARGEST = 130  # edges of a pocket: the programme proves its least in a second or two


@pytest.mark.parametrize(
    ("graph", "least"),
    [
        (nx.complete_graph(4), 7),
        (nx.petersen_graph(), 19),
        (nx.grid_2d_graph(4, 4), 27),
        (nx.star_graph(4), 6),
    ],
    ids=["K4", "Petersen", "4x4", "star"],
)
def test_the_judge_knows_well_known_graphs(graph: nx.Graph, least: float) -> None:
    assert least_line(unit(graph)) == pytest.approx(least)


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(trips())
def test_the_judge_agrees_with_trying_every_way(asked: Trip) -> None:
    """Two judges that share nothing: the integer programme, and all choices of edges tried one by one."""
    assert least_line(*asked) == pytest.approx(by_trying(*asked), abs=1e-6)


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(drawings())
def test_route_inspection(edges: list[Edge]) -> None:
    assert total(edges) + least_retrace(edges).length == pytest.approx(least_line(edges), abs=1e-6)


@st.composite
def larger(draw: st.DrawFn) -> Trip:
    """A net of up to fourteen nodes, and up to eight new edges on it: more than can be tried one by one."""
    n = draw(st.integers(8, 14))
    node, length = st.integers(0, n - 1), st.integers(1, 40).map(lambda i: i / 8)
    stitched = [(i, draw(st.integers(0, i - 1)), draw(length)) for i in range(1, n)]
    stitched += draw(st.lists(st.tuples(node, node, length), max_size=8))
    new = draw(st.lists(st.tuples(node, node, length), min_size=3, max_size=8))
    return new, stitched, draw(node), draw(st.none() | node)


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(larger())
def test_a_trip_over_a_larger_net(asked: Trip) -> None:
    """Never shorter than the least, never more than half as long again."""
    shortest, found = least_line(*asked), length_of([*asked[0], *asked[1]], rural_postman(*asked))
    assert shortest - 1e-6 <= found <= 1.5 * shortest + 1e-6


def pockets_of(kind: str, style: int, monkeypatch: pytest.MonkeyPatch) -> list[tuple[Trip, float]]:
    """The trips of a real fill's pockets, as asked and as long as they were stitched; those not too large."""
    found: list[tuple[Trip, float]] = []

    def noted(new: list[Edge], old: list[Edge], start: int, goal: int | None) -> list[Step]:
        steps = rural_postman(new, old, start, goal)
        if 12 < len(new) + len(old) <= LARGEST:
            found.append(((new, old, start, goal), length_of([*new, *old], steps)))
        return steps

    layout = example(style, fill=Fill(kind=kind), sides=(40.0, 40.0, 40.0, 40.0))
    monkeypatch.setattr(needle, "rural_postman", noted)
    path_of(layout, fill(layout))
    assert len(found) >= 3, "too few to judge by"
    return found


@pytest.mark.parametrize(
    ("kind", "style"),
    [
        pytest.param(kind, style, marks=() if kind == "feathers" else pytest.mark.long)
        for kind, style in (
            ("feathers", 4),
            ("leaves", 4),
            ("needles", 1),
            ("flowers", 0),
            ("holly", 0),
            ("fern", 4),
            ("ribbon", 4),
            ("echo", 1),
        )
    ],
)
def test_pockets_as_they_are_stitched(kind: str, style: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Pocket by pocket: within a hundredth of the least on the whole, and no pocket far from it."""
    found = pockets_of(kind, style, monkeypatch)
    if kind == "feathers":
        found = sorted(found, key=lambda one: len(one[0][0]))[:6]
    least = [least_line(*trip) for trip, _ in found]
    stitched = [length for _, length in found]
    print(f"{kind}: {len(found)} pockets, {sum(stitched):.2f} in, least {sum(least):.2f} in")
    for mine, true in zip(stitched, least, strict=True):
        assert true - 1e-5 <= mine <= 1.05 * true + 1e-5
    assert sum(stitched) <= 1.01 * sum(least)
