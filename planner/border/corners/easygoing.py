"""Easy-going corners: one run goes round the quilt with no large circle, and its curls differ a little in size.

A run circle of the outer row stands in each corner, at (x, y) from the crossing of the outer guides: x along
this side, y along the one before it. Circles touch, so a side is as long as its circles make it; what is left
over the two corner circles take up by moving along it, from r (they touch both guides) to 1.25 r:

    L = 2x + f0 + f1 + s0 + s1 + the steps between the others                              (DESIGN section 3)

f leads from a corner circle to its neighbour, s on to the outer row. A neighbour never leans from its corner
circle by more than 15°, and so never meets the neighbour on the other side of the corner. A choice that names
a diameter for the corner circle is of the older form (``wandering``). Inches, radians.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import radians, sin, sqrt

import numpy as np

from planner.border.band import Band
from planner.border.corners import Chain, Ease, wandering
from planner.border.corners.record import ALL_ROUND, CornerStyle
from planner.border.spine import Circle
from planner.border.tin import near_size
from planner.geometry.arrays import SETTLED_IN
from planner.plan import SIDES, Choice, Plan, SideName

SIZES_DIFFER = 0.06  # one class of sizes from the next, as a share of the run circle: lively, not odd
MOST_ALIKE = 3  # circles of one class in a row: more, and the next one looks like a slip
TUCKED = 1.25  # a corner circle stands at most so many radii along a side: farther, it would leave the corner
WISHED = 1.125  # and there it can give either way
FIRST_LEAN = radians(15)  # two links that lean so from the corner circle are 60° apart: their ends touch
MOST_LEAN = radians(30)  # of a link between the rows: steeper, and a hole opens at the inner corner
LAST_LEAN = radians(41.5)  # where nothing else lands
MOST_CURLS = 999
_LIKELIER = (
    1.5,
    2.5,
    5,
    25,
)  # drawn evenly first, then each class so much likelier than the next, while it helps
_DRAWS = 8  # from one seed: where the sizes of one draw block each other, those of the next need not
_NEAR = 1 / 16  # of a radius: as near its wish as a corner circle is brought by changing sizes
_ROUNDS = 100  # of the four sides, which meet only through y: 20 to 28 settle them

Classes = tuple[int, ...]  # of each circle of a side: −1 smaller, 0 the run circle, 1 larger


@dataclass(frozen=True, slots=True)
class Sizes:
    """The radii of the three classes."""

    smaller: float
    run: float
    larger: float

    def __getitem__(self, which: int) -> float:
        return (self.smaller, self.run, self.larger)[which + 1]


def sizes_of(plan: Plan, r: float, height: float) -> Sizes:
    """The classes of a run circle: hers where she owns one of about that size, else whole marks of her ruler.

    A larger circle that would not fit between the guide lines is left out.
    """
    smaller, larger = (near_size(plan, 2 * r * (1 + way * SIZES_DIFFER), 2 * r) / 2 for way in (-1, 1))
    return Sizes(smaller, r, larger if 2 * larger <= height else r)


def lean_sine(height: float, r: float) -> float:
    """Sine of the angle at which a link leans between two run circles of opposite rows."""
    return (height - 2 * r) / (2 * r)


def fits(height: float, r: float) -> bool:
    """Whether run circles stand between the guide lines, and no link leans too far."""
    return 2 * r <= height and lean_sine(height, r) <= sin(LAST_LEAN)


@dataclass(frozen=True, slots=True)
class Side:
    """A side between the centres of its corner circles: distance between its guides, and its sizes."""

    height: float
    sizes: Sizes

    def first_depth(self, y: float) -> float:
        """Depth of the circle beside a corner circle that stands y deep: inner row, or as the lean allows."""
        r = self.sizes.run
        return min(self.height - r, y + 2 * r * sin(FIRST_LEAN))

    def depths(self, classes: Classes, y0: float, y1: float) -> list[float]:
        """Depth of each circle's centre; y0, y1: depths of the two corner circles."""
        inner = [self.height - self.sizes[c] if i % 2 == 0 else self.sizes[c] for i, c in enumerate(classes)]
        return [self.first_depth(y0), *inner[1:-1], self.first_depth(y1)]

    def steps(self, classes: Classes, y0: float, y1: float) -> list[float]:
        """Steps along the side, from corner circle to corner circle: one more than there are circles."""
        radii = [self.sizes.run, *(self.sizes[c] for c in classes), self.sizes.run]
        depths = [y0, *self.depths(classes, y0, y1), y1]
        return [
            sqrt((radii[i] + radii[i + 1]) ** 2 - (depths[i] - depths[i + 1]) ** 2)
            for i in range(len(radii) - 1)
        ]

    def step(self, one: int, other: int) -> float:
        """The step between neighbours of opposite rows, of two classes."""
        both = self.sizes[one] + self.sizes[other]
        return sqrt(both * both - (self.height - both) ** 2)

    def length(self, classes: Classes, y0: float, y1: float) -> float:
        """From corner circle to corner circle."""
        return self.ends(classes, y0, y1) + self.between(classes)

    def ends(self, classes: Classes, y0: float, y1: float) -> float:
        """The two first steps from either corner circle, f and s: all that depends on how deep they stand."""
        return self._end(y0, classes[1]) + self._end(y1, classes[-2])

    def _end(self, y: float, second: int) -> float:
        r, q = self.sizes.run, self.sizes[second]
        h = self.first_depth(y)
        return sqrt(4 * r * r - (h - y) ** 2) + sqrt((r + q) ** 2 - (h - q) ** 2)

    def between(self, classes: Classes) -> float:
        """The steps between the others."""
        return sum(map(self.step, classes[1:-2], classes[2:-1]))

    def missing(self, span: float, classes: Classes) -> float:
        """How much longer a side is than its circles make it when its corner circles stand as they should."""
        wish = WISHED * self.sizes.run
        return span - 2 * wish - self.length(classes, wish, wish)

    def may_hold(self, span: float, m: int) -> bool:
        """Whether m circles could make the side: the larger ones are long enough, the smaller ones short enough."""
        most = ([0 if i % (MOST_ALIKE + 1) == 0 or i == m - 1 else way for i in range(m)] for way in (1, -1))
        larger, smaller = (self.missing(span, tuple(classes)) for classes in most)
        gives = 2 * (TUCKED - WISHED) * self.sizes.run
        return larger <= gives and smaller >= -gives

    def around(self, classes: Sequence[int], i: int) -> float:
        """Both steps from a circle to its neighbours, as long as its class is one there is."""
        if abs(classes[i]) > 1:
            return 0.0
        return self._from_end(classes, i, 0, i - 1) + self._from_end(classes, i, len(classes) - 1, i + 1)

    def _from_end(self, classes: Sequence[int], i: int, end: int, j: int) -> float:
        """A step between circles i and j, j perhaps the end circle, which stands only as deep as it may."""
        if j != end:
            return self.step(classes[i], classes[j])
        q = self.sizes[classes[i]]
        return sqrt((self.sizes.run + q) ** 2 - (self.first_depth(WISHED * self.sizes.run) - q) ** 2)

    def least_circles(self, span: float) -> int:
        """The odd number of circles, at least three, next below what run circles alone would need."""
        wish = WISHED * self.sizes.run
        ends = 2 * wish + self.ends((0, 0, 0), wish, wish)
        return max(3, 3 + 2 * int((span - ends) / self.step(0, 0) / 2))


@lru_cache(maxsize=512)  # facing sides ask the same, and so does every other count of the sides beside them
def classes_of(side: Side, span: float, seed: tuple[int, int], m: int) -> Classes:
    """Classes of m circles drawn from the seed, then steered to make a side of about this span."""
    random = np.random.default_rng([*seed, m])
    draws: list[Classes] = []
    for _ in range(_DRAWS):
        chances, order = random.random(m - 2).tolist(), (1 + random.permutation(m - 2)).tolist()
        draws.append(steered(side, span, _nearest_draw(side, span, chances), order))
        if abs(side.missing(span, draws[-1])) <= 2 * _NEAR * side.sizes.run:
            break
    return min(draws, key=lambda some: abs(side.missing(span, some)))


def _nearest_draw(side: Side, span: float, chances: Sequence[float]) -> Classes:
    """Classes drawn evenly, or leaning to the larger or the smaller ones as far as it helps."""
    best = _drawn(chances, 1)
    missing = side.missing(span, best)
    for likelier in _LIKELIER:
        other = _drawn(chances, likelier if missing > 0 else 1 / likelier)
        still = side.missing(span, other)
        if abs(still) >= abs(missing):
            break
        best, missing = other, still
    return best


def _drawn(chances: Sequence[float], likelier: float) -> Classes:
    """Classes drawn one after another, each so much likelier than the next smaller one; ends are run circles."""
    classes = [0]
    for n, chance in enumerate(chances):
        last = n == len(chances) - 1
        some = [c for c in (-1, 0, 1) if _may_follow(classes[-MOST_ALIKE:], c, last)]
        reached = chance * sum(likelier**c for c in some)
        for c in some:
            reached -= likelier**c
            if reached <= 0:
                break
        classes.append(c)
    return (*classes, 0)


def _may_follow(before: list[int], c: int, last: bool) -> bool:
    """Whether a class may stand after these: at most one from its neighbour, not too many alike."""
    lined = [*before, c]
    return abs(c - before[-1]) <= 1 and not _too_alike(lined) and not (last and _too_alike([*lined, 0]))


def _too_alike(classes: Sequence[int]) -> bool:
    return len(classes) > MOST_ALIKE and len(set(classes[-MOST_ALIKE - 1 :])) == 1


def steered(side: Side, span: float, classes: Classes, order: Sequence[int]) -> Classes:
    """The classes after circles, taken in ``order``, have moved by one class to bring x near its wish."""
    found, near = list(classes), 2 * _NEAR * side.sizes.run
    missing, moved = side.missing(span, classes), True
    while moved and abs(missing) > near:
        moved = False
        for i in order:
            if abs(missing) <= near:
                break
            before = side.around(found, i)
            found[i] += 1 if missing > 0 else -1
            still = missing - side.around(found, i) + before
            if _lawful(found, i) and abs(still) < abs(missing):
                missing, moved = still, True
            else:
                found[i] -= 1 if missing > 0 else -1
    return tuple(found)


def _lawful(classes: Sequence[int], i: int) -> bool:
    """Whether circle i differs from its neighbours, and is like those about it, no more than it may."""
    alike = (classes[max(0, j - MOST_ALIKE) : j + 1] for j in range(i, min(i + MOST_ALIKE + 1, len(classes))))
    near = (abs(classes[i] - classes[j]) <= 1 for j in (i - 1, i + 1))
    return abs(classes[i]) <= 1 and all(near) and not any(_too_alike(some) for some in alike)


def chains(bands: dict[SideName, Band], plan: Plan, choice: Choice) -> dict[SideName, Chain]:
    """All circles of each side whose corner circles find their place; facing sides are sized alike if they can."""
    if choice.corner_diameter_in is not None:
        return wandering.chains(bands, plan, choice)
    r = choice.run_diameter_in / 2
    counts = [choice.counts.of(side) for side in SIDES]
    lowest = min(band.height for band in bands.values())
    odd = all(m % 2 and 3 <= m <= MOST_CURLS for m in counts)
    if not odd or not all(fits(band.height, r) for band in bands.values()):
        return {}
    sizes = sizes_of(plan, r, lowest)
    figures = tuple((bands[side].span, bands[side].height, m) for side, m in zip(SIDES, counts, strict=True))
    classes, along = placed(figures, sizes, plan.seed)
    held = [_held(x, r) for x in along]
    return {
        side: _chain(bands[side], sizes, classes[i], held[i - 1], held[i], held[(i + 1) % 4])
        for i, side in enumerate(SIDES)
        if held[i] == along[i]
    }


def _held(x: float, r: float) -> float:
    """Where a corner circle of radius r may stand, nearest to x."""
    return min(max(x, r), TUCKED * r)


Figures = tuple[tuple[float, float, int], ...]  # span, height and number of circles of each side


@lru_cache(maxsize=64)  # the solver, and every picture of the same plan, ask the same
def placed(figures: Figures, sizes: Sizes, seed: int) -> tuple[tuple[Classes, ...], tuple[float, ...]]:
    """The classes of all four sides, and how far along each its two corner circles stand."""
    sides = [Side(height, sizes) for _, height, _ in figures]
    spans = [span for span, _, _ in figures]
    classes = [
        classes_of(sides[i], (spans[i] + spans[i - 2]) / 2, (seed, i % 2), m)
        for i, (_, _, m) in enumerate(figures)
    ]
    along = _settled(sides, spans, classes)
    far = [i for i, x in enumerate(along) if x != _held(x, sizes.run)]
    for i in far:  # measured so unlike the side that faces it that it needs sizes of its own
        order = np.random.default_rng([seed, i]).permutation(np.arange(1, len(classes[i]) - 1)).tolist()
        classes[i] = steered(sides[i], spans[i], classes[i], order)
    return tuple(classes), tuple(_settled(sides, spans, classes) if far else along)


def _settled(sides: Sequence[Side], spans: Sequence[float], classes: Sequence[Classes]) -> list[float]:
    """How far along each side its corner circles stand, once the four agree: what is along one is y of the next.

    Held on the way where they may stand, so that a side that does not land spoils no other.
    """
    r = sides[0].sizes.run
    held = along = [WISHED * r] * 4
    left = [span - side.between(c) for side, span, c in zip(sides, spans, classes, strict=True)]
    for _ in range(_ROUNDS):
        before = held
        along = [
            (left[i] - sides[i].ends(classes[i], before[i - 1], before[(i + 1) % 4])) / 2 for i in range(4)
        ]
        held = [_held(x, r) for x in along]
        if max(abs(a - b) for a, b in zip(held, before, strict=True)) < SETTLED_IN / 10:
            break
    return along


def _chain(band: Band, sizes: Sizes, classes: Classes, y0: float, x: float, y1: float) -> Chain:
    side = Side(band.height, sizes)
    depths, steps = side.depths(classes, y0, y1), side.steps(classes, y0, y1)
    u, circles = x, []
    for i, c in enumerate(classes):
        u += steps[i]
        circles.append(Circle((u, depths[i]), sizes[c], "outer" if i % 2 else "inner", 1 if i % 2 else -1))
    return Chain(
        Circle((x, y0), sizes.run, "outer", 1),
        Circle((band.span - x, y1), sizes.run, "outer", 1),
        tuple(circles),
        Ease(0.0, 0.0),
        (circles[-1].centre[0] - circles[0].centre[0]) / (len(classes) - 1),
    )


EASY_GOING = CornerStyle(
    kind="easy_going",
    name="easy-going",
    listed="easy-going, no large circle",
    by_hand=ALL_ROUND,
    chains=chains,
    strict=False,
    large_circle=False,
    spreads=False,
)
