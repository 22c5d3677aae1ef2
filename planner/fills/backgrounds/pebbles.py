"""Pebbles: circles of many sizes that nestle behind a fill, each grown from a shape or a pebble that it touches.

Where one may stand it touches a line at a foot, and is as large as what is round it lets it be. The next is always
the one whose size comes nearest below a size drawn by lot, so that it touches two things wherever it can; the
smallest come last, where nothing larger fits. They hang together in trees, so that the needle goes once round each
and retraces nothing. Inches.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from math import atan2, pi

import numpy as np
import shapely

from planner.fills.backgrounds.open_ground import OpenGround, in_open_grounds
from planner.fills.backgrounds.record import BackgroundRecord, Lines
from planner.fills.growing.finish import Settled
from planner.fills.growing.ground import Ground
from planner.fills.growing.style import Needs
from planner.fills.record import ThreadFigures
from planner.geometry.arrays import NOUGHT, SAME_IN, Mask, Numbers
from planner.geometry.curves import Arc
from planner.geometry.nearby import Nearby


@dataclass(frozen=True, slots=True)
class _Pebbling:
    """The proportions of pebbles. Common practice, no source."""

    largest: float = 0.15  # Radius, of the room: plainly less than a plume is wide ...
    largest_in: tuple[float, float] = (0.125, 0.2)  # ... but neither grit nor balls of half an inch.
    least: float = 0.52  # Of the largest: smaller ones cost hours and show no more.
    apart_in: float = (
        0.014  # Between two that are neighbours only: seen as touching, but no thread on another.
    )
    graded: tuple[float, float] = (0.5, 1.0)  # Of the largest: sizes drawn by lot, so that they mix.
    feet: int = 13  # Round a pebble, where the next may stand.


_LOOK = _Pebbling()
_AROUND = np.linspace(0, 2 * pi, _LOOK.feet + 2)[1:-1]
_A_FEW = 8  # feet looked at together
_TIDIED = 8  # after so many pebbles the feet where none can stand any more are left out


def pebbles(
    pockets: Settled, _: Sequence[Ground | None], shown: Container[int], needs: Needs
) -> Iterator[Lines]:
    """Pebbles in what each pocket leaves open."""
    return in_open_grounds(pebbles_of, pockets, shown, needs)


def pebbles_of(ground: OpenGround, needs: Needs) -> Lines:
    """The pebbles of a pocket, each begun where it touches what it grows from."""
    low, high = _LOOK.largest_in
    largest = min(max(_LOOK.largest * needs.room, low), high)
    least = max(_LOOK.least * largest, needs.smallest / 2)
    placed = _placed(ground, least, max(largest, least), np.random.default_rng(needs.seed))
    # Two halves, since one circle would begin and end in no point of its own.
    return [
        (Arc((x, y), radius, begin, pi), Arc((x, y), radius, begin + pi, pi))
        for x, y, radius, begin in placed
    ]


def _placed(
    ground: OpenGround, least: float, largest: float, chance: np.random.Generator
) -> list[tuple[float, float, float, float]]:
    """Centres, radii, and the angle at which each touches what it grows from."""
    walls = np.concatenate((ground.lines, ground.edges))
    # The next pocket keeps the other half off its own edge.
    off = np.repeat((_LOOK.apart_in, _LOOK.apart_in / 2), (len(ground.lines), len(ground.edges)))
    near = Nearby(walls, np.arange(len(walls)))
    reach = 2 * largest + _LOOK.apart_in
    some = _with_room(ground, walls, least)
    feet, ways = ground.feet[some], ground.ways[some]
    free = _free(feet, ways, walls, off, largest)
    found: list[tuple[float, float, float, float]] = []
    pebbles = np.zeros((0, 3))
    while len(free):
        if not len(found) % _TIDIED:
            stay = free >= least
            feet, ways, free = feet[stay], ways[stay], free[stay]
            if not len(free):
                break
        wanted = max(largest * chance.uniform(*_LOOK.graded), least)
        n = int(np.argmax(np.where(free <= wanted, free, 0.0)))
        if not least <= free[n] <= wanted:
            n = int(np.argmax(free))
            if free[n] < least:
                break
        radius = min(float(free[n]), wanted)
        centre, begin = feet[n] + radius * ways[n], atan2(-ways[n, 1], -ways[n, 0])
        found.append((float(centre[0]), float(centre[1]), radius, begin))
        around = begin + _AROUND
        out = np.stack((np.cos(around), np.sin(around)), axis=1)
        on = centre + radius * out
        at, which = near.within(centre, radius + reach)
        beside = np.abs(pebbles[:, :2] - centre) < radius + reach + largest
        some = pebbles[beside[:, 0] & beside[:, 1]]
        apart = np.concatenate((off[which], some[:, 2] + _LOOK.apart_in))
        more = _clear(on, out, np.concatenate((at, some[:, :2])), apart).min(axis=1, initial=np.inf)
        stay = (more >= least) & shapely.contains_xy(ground.ground, *(on + least * out).T)
        round_it = _clear(feet, ways, centre[None], np.array([radius + _LOOK.apart_in]))[:, 0]
        feet, ways = np.concatenate((feet, on[stay])), np.concatenate((ways, out[stay]))
        free = np.concatenate((np.minimum(free, round_it), more[stay]))
        pebbles = np.concatenate((pebbles, [(*centre, radius)]))
    return found


def _clear(feet: Numbers, ways: Numbers, points: Numbers, off: Numbers) -> Numbers:
    """The largest circle that touches a foot from its side and keeps so far off a point. Shape (feet, points).

    off: for each point, or for each pair. With w from the foot to the point, |w − r·n| ≥ r + off for every r up to
    (|w|² − off²) / 2(off + w·n); for every r at all where that divisor is not above nought.
    """
    x, y = _from_to(feet, points)
    divisor = np.maximum(2 * (x * ways[:, 0, None] + y * ways[:, 1, None] + off), NOUGHT)
    return np.asarray((x * x + y * y - off * off) / divisor)


def _from_to(some: Numbers, others: Numbers) -> tuple[Numbers, Numbers]:
    """From each of some points to each of others, across and down. Shapes (some, others)."""
    return others[:, 0] - some[:, 0, None], others[:, 1] - some[:, 1, None]


def _with_room(ground: OpenGround, walls: Numbers, least: float) -> Mask:
    """Which feet may have room for the least pebble, to a tenth of it (feet,): most have none."""
    middles = ground.feet + least * ground.ways
    room = np.array(shapely.contains_xy(ground.ground, *middles.T))
    some = np.flatnonzero(room)
    centres, there = (np.asarray(shapely.points(p)) for p in (middles[some], walls))
    room[some[shapely.STRtree(there).query(centres, "dwithin", 0.9 * least)[0]]] = False
    return room


def _free(feet: Numbers, ways: Numbers, walls: Numbers, off: Numbers, largest: float) -> Numbers:
    """The largest circle that touches each foot on a line and keeps off all other lines. Shape (feet,).

    Beside its foot it comes as near to its own line as the largest does to a straight one.
    """
    free = np.full(len(feet), np.inf)
    near = Nearby(walls, np.arange(len(walls)))
    order = np.lexsort((feet[:, 1], (feet[:, 0] / (2 * largest)).round()))
    for some in np.array_split(order, len(feet) // _A_FEW + 1):
        if len(some):
            low, high = feet[some].min(axis=0), feet[some].max(axis=0)
            far = float((high - low).max()) / 2 + 2 * largest + _LOOK.apart_in
            at, which = near.within((low + high) / 2, far)
            x, y = _from_to(feet[some], at)
            square = x * x + y * y
            each = _clear(feet[some], ways[some], at, np.minimum(off[which], square / (2 * largest)))
            each[square < SAME_IN**2] = np.inf
            free[some] = each.min(axis=1, initial=np.inf)
    return free


PEBBLES = BackgroundRecord(
    kind="pebbles",
    listed="pebbles",
    spoken="pebbles behind",
    by_hand="Round each pebble and a little on, to where the next one touches it; small ones into what is left.",
    reach=0.8,
    draw=pebbles,
    shape="pebble",
    shapes={"pebble": "a pebble"},
    fill_kept=0.75,
    thread=ThreadFigures(area=4.71, spine=0.0, feature=0.0),
)
