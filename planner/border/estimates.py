"""The reach of thousands of layouts that are not placed yet, estimated on arrays (inches, h grows inward).

``of_runs``, ``of_corners`` and ``of_middles`` work straight from the closed forms, on one step of an endless run,
round one corner and up to one middle.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from planner.border import run
from planner.border.meetings import MEETINGS
from planner.border.reach import SEAM_SLIVER_IN
from planner.border.spine import tail_sweep
from planner.geometry.arrays import Indices, Mask, Numbers, Singles

_NET = 11  # points of the first net each way, where the solver only estimates
_ROWS = 100  # worked on at a time
_FINER_NETS = 4  # each half as wide as the one before: the last is a sixteenth of the first
_FAR_AWAY = np.float32(1e6)
_TRIED = 3  # points of the first net that the finer ones begin at: a border has that many open places
_STEPS, _ROUND = np.arange(_NET, dtype=np.float32), np.array([-1, 0, 1], dtype=np.float32)
_ACROSS, _UP = (1, -1, 1, 1), (-1, 1, 1, 1)  # how a net's columns and its rows lie in an array

ArcColumns = tuple[
    Numbers, Numbers, Numbers, Numbers, Numbers
]  # centre x, y, radius, begin, sweep: (n, 1) each
ManyArcs = Sequence[ArcColumns]


def _emptiest(arcs: ManyArcs, *box: Numbers) -> Numbers:
    """Largest distance from any point of a box (x0, x1, y0, y1) to the nearest of some arcs, one box a row. (n,)"""
    columns = np.broadcast_arrays(*(a for arc in arcs for a in arc), *box)
    flat = np.stack([a[:, 0] for a in columns]).astype(np.float32)
    parts = range(0, flat.shape[1], _ROWS)
    found = [_emptiest_rows(flat[:, begin : begin + _ROWS]) for begin in parts]
    return np.concatenate(found) if found else np.zeros(0)


def _emptiest_rows(columns: Singles) -> Numbers:
    """The same for few rows, which a processor keeps at hand: arcs, five figures each, and then the box.

    Read off the arcs' centres, where a distance may peak, and off a net and ever finer ones round its best points.
    Single precision: it is exact to a hundred thousandth of an inch, and the net to a hundredth. The rows stand
    last in every array, so that each step of the work runs along many.
    """
    x0, x1, y0, y1 = columns[-4:]
    arcs = _Spread(*(columns[i:-4:5, None, None, None] for i in range(5)))
    wide, high, row = (x1 - x0) / (_NET - 1), (y1 - y0) / (_NET - 1), np.arange(len(x0))
    peak = arcs.squares(_between(arcs.x[:, 0], x0, x1), _between(arcs.y[:, 0], y0, y1))
    x, y = x0 + _STEPS.reshape(_ACROSS) * wide, y0 + _STEPS.reshape(_UP) * high
    best = _highest(arcs.squares(x, y)[:, :, 0])
    x, y = x[0, best % _NET, 0, row], y[best // _NET, 0, 0, row]
    tried = np.arange(_TRIED)[:, None]
    for _ in range(_FINER_NETS):
        wide, high = wide / 2, high / 2
        x = _between(x + _ROUND.reshape(_ACROSS) * wide, x0, x1)
        y = _between(y + _ROUND.reshape(_UP) * high, y0, y1)
        found = arcs.squares(x, y)
        best = found.reshape(-1, *found.shape[2:]).argmax(axis=0)
        x, y = x[0, best % 3, tried, row], y[best // 3, 0, tried, row]
    return np.asarray(
        np.sqrt(np.maximum(peak.max(axis=(0, 1, 2)), found.max(axis=(0, 1, 2)))), dtype=np.float64
    )


def _between(some: Singles, least: Singles, most: Singles) -> Singles:
    """Some figures, none of them less than the least and more than the most."""
    return np.minimum(np.maximum(some, least), most)


def _highest(found: Singles) -> Indices:
    """Of nets, (rows, columns, n), the points that no neighbour exceeds: the highest few. Shape (_TRIED, n)."""
    net = np.full((_NET + 2, _NET + 2, found.shape[2]), -1, dtype=found.dtype)
    net[1:-1, 1:-1] = found
    across = np.maximum(np.maximum(net[:, :-2], net[:, 1:-1]), net[:, 2:])
    around = np.maximum(np.maximum(across[:-2], across[1:-1]), across[2:])
    tops = np.where(found >= around, found, -1).reshape(_NET * _NET, -1)
    return np.argpartition(tops, -_TRIED, axis=0)[-_TRIED:]


class _Spread:
    """Some arcs of n rows, (arcs, 1, 1, 1, n), with what their distances need worked out once."""

    def __init__(self, x: Singles, y: Singles, r: Singles, begin: Singles, sweep: Singles) -> None:
        self.x, self.y, self.r = x, y, r
        middle, end = begin + sweep / 2, begin + sweep
        self.towards, self.open = (np.cos(middle), np.sin(middle)), np.cos(sweep / 2)
        self.ends = [(x + r * np.cos(a), y + r * np.sin(a)) for a in (begin, end)]

    def squares(self, x: Singles, y: Singles) -> Singles:
        """Squared distances from points, (rows, columns, nets, n), to the nearest arc: to its circle where it spans
        them, else to an end.

        A net's columns are told by x alone and its rows by y: what comes of either is worked out once for each.
        The circle is nowhere farther than an end, so where it is not spanned it is put far away and the nearest of
        all is taken: choosing by a mask takes longer than all the rest.
        """
        dx, dy = x - self.x, y - self.y
        off = dx * dx + dy * dy
        np.sqrt(off, out=off)
        beyond = self.open * off
        beyond -= dx * self.towards[0]
        beyond -= dy * self.towards[1]
        np.maximum(beyond, 0, out=beyond)
        beyond *= _FAR_AWAY
        off -= self.r
        off *= off
        off += beyond
        for u, v in self.ends:
            dx, dy = x - u, y - v
            np.minimum(off, np.add(dx * dx, dy * dy, out=beyond), out=off)
        return np.asarray(off.min(axis=0))


def _curl(
    inner: bool, lean: Numbers, off: Numbers, tail_deg: float, begin: Any = None, leave: Any = None
) -> tuple[Numbers, Numbers]:
    """Where a curl begins on its circle and how far it turns to its tip, radians.

    Its neighbours' centres lie at the angle ``lean`` to the side, and ``off`` is how far a link shifts the
    joints; a curl next to a corner or a middle begins or leaves elsewhere.
    """
    turn, rising = (-1.0, -lean) if inner else (1.0, lean)
    begin = np.pi - rising + turn * off if begin is None else begin
    leave = rising - turn * off if leave is None else leave
    tip = turn * (np.pi / 2 + np.radians(tail_deg - 90))
    stem = (turn * (leave - begin)) % (2 * np.pi)
    sweep = stem + tail_sweep(stem, (turn * (tip - leave)) % (2 * np.pi))
    return np.asarray(begin), np.asarray(turn * sweep)


def _columns(*figures: Any) -> list[Numbers]:
    return [np.asarray(a, dtype=float)[:, None] for a in np.broadcast_arrays(*figures)]


def _shift(both: Numbers, gap: Numbers) -> Numbers:
    """How far the joints of two circles shift from their line of centres (spine.tangent_angles)."""
    return np.asarray(np.arccos(np.minimum(1.0, both / (both + gap))))


def of_runs(
    height: Numbers, r: Numbers, lift: Numbers, gap: Numbers, room: Numbers, tail_deg: float
) -> Numbers:
    """Reach of endless runs, each array of shape (n,); a glide reflection carries every step to the next.

    So the outer edge of every second step lies where the seam is in this one, and no sliver is left along it there.
    """
    height, r, lift, gap, room = _columns(height, r, lift, gap, room)
    p, v = run.step(height, r, lift, gap), run.rise(height, r, lift)
    lean, off = np.arctan2(v, p), _shift(2 * r, gap)
    arcs = []
    for i in (-2, -1, 0, 1, 2):  # circle 0 stands on the inner row at u = 0
        inner = i % 2 == 0
        arcs.append((i * p, height - r - lift if inner else r + lift, r, *_curl(inner, lean, off, tail_deg)))
    none = np.zeros_like(p)
    return _emptiest(arcs, none, p, -room, height + room)


def of_corners(
    height: Numbers,
    corner_radius: Numbers,
    r: Numbers,
    k: Numbers,
    lift: Numbers,
    gap: Numbers,
    lift_beside: Numbers,
    gap_beside: Numbers,
    room: Numbers,
    room_beside: Numbers,
    tail_deg: float,
) -> Numbers:
    """Reach in corners, up to where the first curls of both sides stand, each with its own ease. Shape (n,).

    k: curls of a run; a second curl next to the corner counts where there is one.
    """
    columns = _columns(height, corner_radius, r, k, lift, gap, lift_beside, gap_beside, room, room_beside)
    height, corner_radius, r, k, lift, gap, lift_beside, gap_beside, room, room_beside = columns
    ahead = _first_curls(height, corner_radius, r, k, lift, gap, tail_deg)
    behind = _first_curls(height, corner_radius, r, k, lift_beside, gap_beside, tail_deg)
    off_behind, off = (_shift(corner_radius + r, each) for each in (gap_beside, gap))
    arcs = [_corner_c(corner_radius, behind[0], ahead[0], off_behind, off), *ahead]
    arcs += [(y, x, q, np.pi / 2 - start, -sweep) for x, y, q, start, sweep in behind]
    seam, seam_beside = height + room - SEAM_SLIVER_IN, height + room_beside - SEAM_SLIVER_IN
    one = (-room_beside, np.maximum(seam_beside, ahead[0][0]), -room, seam)
    other = (-room_beside, seam_beside, -room, np.maximum(seam, behind[0][0]))
    unlike = np.flatnonzero(  # else the miter mirrors the one half
        (room != room_beside) | (lift != lift_beside) | (gap != gap_beside)
    )
    rows = np.concatenate((np.arange(len(height)), unlike))
    halves = [np.concatenate((a, b[unlike])) for a, b in zip(one, other, strict=True)]
    both = _emptiest([(x[rows], y[rows], q[rows], a[rows], t[rows]) for x, y, q, a, t in arcs], *halves)
    found = both[: len(height)]
    found[unlike] = np.maximum(found[unlike], both[len(height) :])
    return found


def _corner_c(
    corner_radius: Numbers, behind: ArcColumns, ahead: ArcColumns, off_behind: Numbers, off_ahead: Numbers
) -> ArcColumns:
    """The corner's C, between the first circles of both sides."""
    begin = np.pi / 2 - np.arctan2(behind[1] - corner_radius, behind[0] - corner_radius) + off_behind
    end = np.arctan2(ahead[1] - corner_radius, ahead[0] - corner_radius) - off_ahead
    return corner_radius, corner_radius, corner_radius, begin, np.asarray((end - begin) % (2 * np.pi))


def _first_curls(
    height: Numbers,
    corner_radius: Numbers,
    r: Numbers,
    k: Numbers,
    lift: Numbers,
    gap: Numbers,
    tail_deg: float,
) -> ManyArcs:
    """The arcs of the two curls next to a corner; of the first twice where it is the only one."""
    u, h = run.first(height, corner_radius, r, lift, gap), height - r - lift
    p = run.step(height, r, lift, gap)
    lean, off = np.arctan2(run.rise(height, r, lift), p), _shift(2 * r, gap)
    begin = np.arctan2(corner_radius - h, corner_radius - u) - _shift(corner_radius + r, gap)
    first = (u, h, r, *_curl(True, lean, off, tail_deg, begin=begin))
    second = (u + p, r + lift, r, *_curl(False, lean, off, tail_deg))
    return first, _where(k < 2, first, second)


def _where(mask: Mask, one: ArcColumns, other: ArcColumns) -> ArcColumns:
    x, y, r, begin, sweep = (np.where(mask, *pair) for pair in zip(one, other, strict=True))
    return x, y, r, begin, sweep


def of_middles(
    meeting: str,
    height: Numbers,
    corner_radius: Numbers,
    r: Numbers,
    k: Numbers,
    middle: Numbers,
    lift: Numbers,
    gap: Numbers,
    room: Numbers,
    tail_deg: float,
) -> Numbers:
    """Reach between the last curls and the middles of their sides. Shape (n,).

    k: curls of a run, or fewer by an even number. The last curl stands inside at 0: after an even number it stands
    outside, and all is seen from the seam.
    """
    record = MEETINGS[meeting]
    if record.woven:
        return np.zeros(np.broadcast(height, r, middle, lift, gap).shape)
    columns = _columns(height, corner_radius, r, k, middle, lift, gap, room)
    height, corner_radius, r, k, middle, lift, gap, room = columns
    half = record.half.length(height, r, middle, lift, gap)
    p, h = run.step(height, r, lift, gap), height - r - lift
    lean, off, none = np.arctan2(run.rise(height, r, lift), p), _shift(2 * r, gap), np.zeros_like(r)
    last = (none, h, r, *_curl(True, lean, off, tail_deg, leave=record.leaves(height, h, half)))
    before = (-p, r + lift, r, *_curl(False, lean, off, tail_deg))
    first = _first_curls(height, corner_radius, r, k, lift, gap, tail_deg)[0]
    off = _shift(corner_radius + r, gap)
    *c, start, sweep = _corner_c(corner_radius, first, first, off, off)
    corner = (c[0] - first[0], c[1], c[2], start, sweep)
    arcs = [last, _where(k < 2, corner, before), *record.arcs(height, h, r, half, middle)]
    arcs += [(2 * half - x, y, q, np.pi - begin, -sweep) for x, y, q, begin, sweep in arcs]
    low, high = np.where(k % 2 == 0, SEAM_SLIVER_IN, 0.0), np.where(k % 2 == 0, 0.0, SEAM_SLIVER_IN)
    return _emptiest(arcs, none, half, low - room, height + room - high)
