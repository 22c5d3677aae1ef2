"""Echo: plain lines that follow the spine at even steps; for a first border. No motifs, nothing to mark."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from planner.fills.contour import Contour, Numbers
from planner.fills.flow import HAIR_IN, Lean
from planner.fills.grow import Needs, Style
from planner.fills.outline import Outline, even

_STEP = 0.44  # share of the room from one line to the next
_RAMP = 0.5  # share of a step in which a line leaves the one before it
_SURE_IN = 0.03  # with so much room to spare, the next pocket surely has the same line at their border
_CURVE_IN = 1.0  # a curve for so much length
_CURVE_TURN = 0.5  # and one more for so much turn, radians


def echoes(
    contour: Contour, depth: Numbers, begin: float, end: float, needs: Needs
) -> list[tuple[float, Outline]]:
    """Lines at even steps off the spine, each wherever there is room for it, begun and ended on the one before
    (or going on into the next pocket).

    Where more than half a step is left beyond the last full one, one line more halves what is left.
    """
    step = _STEP * needs.room
    q = np.linspace(begin, end, max(8, int((end - begin) / 0.03)))
    room = np.interp(q, contour.q, depth)
    full = np.floor((room + HAIR_IN / 2) / step)
    left = room - full * step
    found: list[tuple[float, Outline]] = []
    under = np.zeros_like(q)
    for level in range(1, int(full.max()) + 2):
        whole = full >= level
        halved = (full == level - 1) & (left > 0.6 * step)
        below = (level - 1) * step
        before_level = under.copy()
        at = np.minimum(np.where(whole, level * step, below + left / 2), room - HAIR_IN / 2)
        for a, z in _runs(whole) + _runs(halved):
            line = contour.at(q[a:z], at[a:z])
            length = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
            if z - a < 3 or (a > 0 and z < len(q) and (z - a < 6 or length < 0.8 * step)):
                continue
            way = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))))
            sure = at[a:z] - level * step > -1e-9
            begins = a > 0 or not (sure[0] and room[a] - at[a] > _SURE_IN)
            before = way if begins else np.full_like(way, np.inf)
            ends = z < len(q) or not (sure[-1] and room[z - 1] - at[z - 1] > _SURE_IN)
            after = way[-1] - way if ends else np.full_like(way, np.inf)
            rise = np.clip(np.minimum(before, after) / (_RAMP * step), 0, 1)
            foot = np.where(before < after, before_level[a], before_level[z - 1])
            d = foot + (at[a:z] - foot) * rise * rise * (3 - 2 * rise)
            under[a:z] = d
            found.append((float(q[a]), _line(contour.at(q[a:z], d))))
    return found


def _runs(some: NDArray[np.bool_]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], some.astype(int), [0]))))
    return [(int(a), int(z)) for a, z in zip(edges[::2], edges[1::2], strict=True)]


def _line(points: Numbers) -> Outline:
    points = even(points, spacing=0.04)
    ahead = np.diff(points, axis=0)
    turn = np.abs(np.diff(np.unwrap(np.arctan2(ahead[:, 1], ahead[:, 0])))).sum()
    curves = max(2, int(0.04 * len(points) / _CURVE_IN + turn / _CURVE_TURN))
    return Outline.of("echo", points, curves, count=len(points))


STYLE = Style(
    lean=Lean(0.0, 0.0),
    width=1.0,
    shortest=1.0,
    strips=lambda strips, needs: [],
    tip=lambda tail, needs: None,
    crook=lambda axis, width, needs: None,
    crook_radius=0.3,
    parting=lambda strips, needs: [],
    heart=lambda base, centre, needs: None,
    drop=lambda hole, needs: [],
    lines=echoes,
)
