"""The least line over a drawing by integer programming: a judge that shares nothing with the planner (HiGHS)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_array

Edge = tuple[int, int, float]


def least_line(
    new: Sequence[Edge], stitched: Sequence[Edge] = (), start: int | None = None, goal: int | None = None
) -> float:
    """The length of the shortest line over every new edge that may go over stitched ones (the rural postman).

    start: where it begins, anywhere when None; goal: where it ends, anywhere when None. Unknowns: how often each
    edge is gone over, once or twice for new ones, at most twice for stitched ones; half the degree of each node,
    so that it is even but at the ends; where the ends are; and a flow from the start to every node that a new edge
    meets, over edges that are gone over, so that all hangs together.
    """
    edges = [*new, *stitched]
    nodes = sorted(
        {node for a, b, _ in edges for node in (a, b)} | {n for n in (start, goal) if n is not None}
    )
    at = {node: i for i, node in enumerate(nodes)}
    m, n = len(edges), len(nodes)
    # times of each edge (m), half degree (n), an end here (n), source here (n), flow on and back (2 m)
    times, half, end, source, flow = 0, m, m + n, m + 2 * n, m + 3 * n
    size = m + 3 * n + 2 * m
    wanted = {at[node] for a, b, _ in new for node in (a, b)}
    most = float(len(wanted))
    rows: list[tuple[dict[int, float], float, float]] = []
    for v in range(n):
        degree: dict[int, float] = {half + v: -2.0, end + v: -1.0}
        into: dict[int, float] = {source + v: most}
        for i, (a, b, _) in enumerate(edges):
            for node in (a, b):
                if at[node] == v:
                    degree[times + i] = degree.get(times + i, 0.0) + 1.0
            if a != b and v in (at[a], at[b]):
                sign = 1.0 if at[b] == v else -1.0
                into[flow + 2 * i], into[flow + 2 * i + 1] = sign, -sign
        rows.append((degree, 0.0, 0.0))
        rows.append((into, float(v in wanted), np.inf))
    for i in range(m):
        for way in (0, 1):
            rows.append(({flow + 2 * i + way: 1.0, times + i: -most}, -np.inf, 0.0))
    rows.append(({source + v: 1.0 for v in range(n)}, 1.0, 1.0))
    low, high = np.zeros(size), np.full(size, np.inf)
    low[: len(new)], high[:m] = 1.0, 2.0
    high[end : source + n] = 1.0
    if start is None:  # the flow may come from anywhere; it ends in two nodes or in none
        rows.append(({end + v: 1.0 for v in range(n)}, 0.0, 2.0))
    else:
        low[source + at[start]] = 1.0
        ends = {at[start]} ^ ({at[goal]} if goal is not None else set())
        if goal is not None:
            low[end : end + n] = high[end : end + n] = [float(v in ends) for v in range(n)]
        else:  # closed, or from the start to one other node: an end at the start is an end elsewhere
            others: dict[int, float] = {end + v: 1.0 for v in range(n) if v != at[start]}
            rows.append(({**others, end + at[start]: -1.0}, 0.0, 0.0))
    matrix = lil_array((len(rows), size))
    for r, (row, _, _) in enumerate(rows):
        for column, value in row.items():
            matrix[r, column] = value
    cost = np.zeros(size)
    cost[:m] = [length for *_, length in edges]
    whole = np.zeros(size)
    whole[:flow] = 1
    answer = milp(
        cost,
        constraints=LinearConstraint(
            matrix.tocsr(), [low for _, low, _ in rows], [high for *_, high in rows]
        ),
        bounds=Bounds(low, high),
        integrality=whole,
        options={"mip_rel_gap": 0.0},
    )
    assert answer.status == 0, answer.message
    return float(answer.fun)
