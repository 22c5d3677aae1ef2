"""Random plans for property tests, seeded: the same number gives the same plan.

``landing`` builds a plan backwards from a layout: it draws circles, counts and ease first and then measures
the quilt that they fill exactly, by formulas of its own (scalars, DESIGN section 3), so that almost every
plan lands. ``asking`` draws what a person might type, whether or not anything lands.
"""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

import numpy as np

from planner.border.band import Band, quilt_of
from planner.border.corners import easygoing, wandering
from planner.border.mistyped import PAIRS, UNLIKE_SHARE
from planner.border.room import comfortable_room
from planner.demo import demo_plan
from planner.errors import PlanError
from planner.fills.styles import FILLS
from planner.plan import SIDES, Choice, Counts, EaseLimits, Fill, MeetingKind, Plan, SideLengths
from planner.solver import propose

MEETINGS: tuple[MeetingKind | None, ...] = (
    "butted",
    "full_circle",
    "little_spines",
    "wreath",
    "lattice",
    None,
)
MOST_CURLS = 1000  # of a side, that a choice may name
LEAST_SHARE = 2 - sqrt(3)  # r / H where circles of one row touch: REFERENCES 6, zigzag table


def chain_length(
    meeting: str | None,
    height: float,
    corner_radius: float,
    r: float,
    k: int,
    middle: float,
    lift: float,
    gap: float,
) -> float:
    """Half a side as its circles fill it, from the corner of the outer guides to the middle (inches)."""
    v = height - 2 * r - 2 * lift
    step = sqrt(max(0.0, (2 * r + gap) ** 2 - v * v))
    down = (height - r - lift) - corner_radius
    length = corner_radius + sqrt((corner_radius + r + gap) ** 2 - down * down) + (k - 1) * step
    if meeting == "butted":
        return length + (2 * r + gap) / 2
    if meeting == "wreath":
        return length + sqrt((r + middle / 2) ** 2 - (v / 2) ** 2)
    return length + (0.0 if meeting in (None, "full_circle") else r + middle / 2)


def landing(seed: int) -> tuple[Plan, Choice] | None:
    """A strict plan and the choice it was built from; None where the draw gave no quilt of up to 240 in."""
    rng = np.random.default_rng([seed, 1])
    room, allowance = float(rng.uniform(0.2, 1.6)), float(rng.choice([0.0, 0.25, rng.uniform(0, 0.6)]))
    base, spread = float(rng.uniform(0.8, 8)), float(rng.choice([0.0, 0.0, 0.1, 0.6]))
    top, right, bottom, left = (base * float(1 + spread * rng.random()) for _ in SIDES)
    if rng.random() < 0.8:
        bottom, left = top, right
    heights = {"top": top, "right": right, "bottom": bottom, "left": left}
    low, high = min(heights.values()), max(heights.values())
    if LEAST_SHARE * high > low / 2:
        return None
    share = float(rng.choice([0.0, 1.0, rng.random(), rng.random()], p=[0.1, 0.15, 0.5, 0.25]))
    r = LEAST_SHARE * high + share * (low / 2 - LEAST_SHARE * high)
    limit = (sqrt(2) * (low + room) - room) / (1 + sqrt(2))
    if limit < r:
        return None
    corner_radius = float(rng.choice([r, limit, rng.uniform(r, limit)], p=[0.1, 0.1, 0.8]))
    meeting: MeetingKind | None = MEETINGS[rng.integers(len(MEETINGS))]
    if meeting in (None, "butted", "full_circle"):
        middle = 0.0
    elif meeting == "wreath":
        middle = float(rng.uniform(2 * r, low)) if low > 2 * r else low
    else:  # a lattice is half to twice the band; little spines need the room of the fill
        least = high / 2 if meeting == "lattice" else room
        middle = float(rng.uniform(least, max(least, 2 * low)))
    lifts, gaps = (float(rng.choice([0.0, 0.125, rng.uniform(0, 0.4)])) for _ in range(2))
    counts = {}
    spans = {}
    for pair in (("top", "bottom"), ("left", "right")):
        k = int(rng.choice([1, 2, 3, rng.integers(1, 40)]))
        k = max(k, 2) if meeting == "full_circle" else k
        for side in pair:
            counts[side] = k if meeting else 2 * k - 1
            most = min(lifts, (heights[side] - 2 * r) / 2)
            figures = (meeting, heights[side], corner_radius, r, k, middle)
            if chain_length(*figures, most, 0) < chain_length(*figures, 0.999 * most, 0) + 1e-9:
                most = 0.0  # under a large corner circle lifting shortens a run: it gives by its gaps alone
            lift, gap = (
                (float(rng.random()) * most, 0.0) if rng.random() < 0.5 else (most, gaps * rng.random())
            )
            spans[side] = 2 * chain_length(*figures, lift, float(gap))
    sides = {side: span + 2 * (room + allowance) for side, span in spans.items()}
    borders = {side: h + 2 * room + allowance for side, h in heights.items()}
    if any(
        abs(sides[one] - sides[other]) > UNLIKE_SHARE * max(sides[one], sides[other]) for one, other in PAIRS
    ):
        return None  # no quilt top
    both = borders["top"] + borders["bottom"], borders["left"] + borders["right"]
    if max(sides.values()) > 240 or both[0] >= min(sides["left"], sides["right"]):
        return None
    if both[1] >= min(sides["top"], sides["bottom"]):
        return None
    plan = Plan(
        sides_in=SideLengths(**sides),
        border_in=SideLengths(**borders),
        binding_allowance_in=allowance,
        units="mm" if rng.random() < 0.3 else "in",
        fill=Fill(room_in=room, longest_in=20.0, smallest_curl_in=0.1),
        tin_in=tuple(sorted({2 * r, 2 * corner_radius, middle} - {0.0})),
        corner="mirrored" if meeting else "turning",
        tail_deg=float(rng.choice([30.0, 150.0, 90.0, rng.uniform(30, 150)])),
        ease_limits=EaseLimits(lift_in=lifts, gap_in=gaps),
    )
    choice = Choice(
        corner_diameter_in=2 * corner_radius,
        run_diameter_in=2 * r,
        meeting=meeting,
        middle_in=middle,
        counts=Counts(**counts),
    )
    return plan, choice


def asking(seed: int) -> Plan:
    """A plan as a person might type it; about half of them have proposals."""
    rng = np.random.default_rng([seed, 2])
    across, down = rng.uniform(30, 115, size=2)
    off = rng.uniform(-1, 1, size=2) * rng.choice([0.0, 0.25, 1.0])
    width = float(rng.choice([4.0, 5.0, 6.0, 8.0, 10.0, rng.uniform(3, 11)]))
    other = width if rng.random() < 0.6 else width + float(rng.uniform(-1, 1))
    sizes = rng.choice(np.arange(8, 57) / 8, size=rng.choice([3, 12, 30]), replace=False)
    return Plan(
        sides_in=SideLengths(top=across, bottom=across + off[0], left=down, right=down + off[1]),
        border_in=SideLengths(top=width, bottom=width, left=other, right=other),
        binding_allowance_in=float(rng.choice([0.0, 0.25, 0.375])),
        units="mm" if rng.random() < 0.2 else "in",
        fill=Fill(kind=rng.choice(list(FILLS))),
        tin_in=tuple(float(d) for d in np.sort(sizes)),
        corner=rng.choice(["mirrored", "mirrored", "turning", "easy_going"]),
        meeting=rng.choice(["any", "butted", "full_circle", "little_spines", "wreath", "lattice"]),
        run=rng.choice(["any", "any", "level", "rolling"]),
        tail_deg=float(rng.choice([90.0, rng.uniform(30, 150)])),
        ease_limits=EaseLimits(
            lift_in=float(rng.choice([0.0, 0.125, 0.25])), gap_in=float(rng.choice([0.125, 0.25]))
        ),
        seed=int(rng.integers(1000)),
    )


def easy(seed: int) -> tuple[Plan, Choice] | None:
    """An easy-going plan with a choice of counts that land; None where none was found that does."""
    rng = np.random.default_rng([seed, 5])
    base = asking(seed).model_copy(update={"corner": "easy_going", "cut_own": bool(rng.random() < 0.5)})
    try:
        quilt = quilt_of(base)
    except PlanError:
        return None
    height = min(band.height for band in quilt.bands.values())
    r = height / float(rng.uniform(2, 3.3))
    side = easygoing.Side(height, easygoing.sizes_of(base, r, height))
    more = rng.integers(0, 2, size=2)
    across, down = (
        side.least_circles(quilt.bands[name].span) + 2 * int(n)
        for name, n in zip(("top", "left"), more, strict=True)
    )
    if max(across, down) > MOST_CURLS:
        return None  # a band of a hair's breadth
    counts = Counts(top=across, right=down, bottom=across, left=down)
    choice = Choice(corner_diameter_in=None, run_diameter_in=2 * r, counts=counts)
    lands = all(len(easygoing.chains(bands, base, choice)) == 4 for bands in (quilt.own, quilt.bands))
    return (base, choice) if lands else None


def wandered(seed: int) -> tuple[Plan, Choice] | None:
    """An easy-going plan of the older form with a choice of counts that land; None where some side has none."""
    rng = np.random.default_rng([seed, 3])
    base = asking(seed).model_copy(update={"corner": "easy_going", "cut_own": bool(rng.random() < 0.5)})
    room, allowance = comfortable_room(base.fill), base.binding_allowance_in
    heights = {side: base.border_in.of(side) - 2 * room - allowance for side in SIDES}
    least, most = LEAST_SHARE * max(heights.values()), min(heights.values()) / 2
    if min(heights.values()) <= 0.5 or least > most:
        return None
    r = float(rng.uniform(least, most))
    corner_radius = r * float(rng.uniform(1, wandering.LARGEST_CORNER))
    counts = {}
    for pair in (("top", "bottom"), ("left", "right")):
        sets = []
        mean = sum(base.sides_in.of(side) for side in pair) / 2
        for side in pair:
            for length in (base.sides_in.of(side), mean):
                span = length - 2 * (room + allowance)
                band = Band(side, span, heights[side], room, 0.0, allowance)
                sets.append(
                    set(wandering.feasible_counts(wandering.Wander(band, base, corner_radius, r), base))
                )
        both = sorted(set.intersection(*sets))
        if not both:
            return None
        for side in pair:
            counts[side] = int(rng.choice(both))
        counts[pair[1]] = counts[pair[0]]
    return base, Choice(corner_diameter_in=2 * corner_radius, run_diameter_in=2 * r, counts=Counts(**counts))


def edited(seed: int) -> Plan:
    """A plan with a choice that was made before something else was edited: the choice may land or not any more."""
    rng = np.random.default_rng([seed, 4])
    plan = demo_plan() if rng.random() < 0.4 else asking(int(rng.integers(10_000)))
    if plan.corner == "easy_going":
        plan = plan.model_copy(update={"corner": "mirrored"})
    found = propose(plan).proposals
    if found:
        plan = plan.model_copy(update={"choice": found[int(rng.integers(min(6, len(found))))].choice})
    return EDITS[seed % len(EDITS)](plan, rng)


def _sides_changed(plan: Plan, rng: np.random.Generator) -> Plan:
    off = float(rng.choice([-1.0, -0.25, 0.5, 1.0, 3.0]))
    sides = {side: plan.sides_in.of(side) + off for side in SIDES}
    return plan.model_copy(update={"sides_in": SideLengths(**sides), "typed": {}})


def _circle_gone(plan: Plan, rng: np.random.Generator) -> Plan:
    choice = plan.choice
    lost = {choice.run_diameter_in, choice.middle_in} if choice else {plan.tin_in[0]}
    return plan.model_copy(update={"tin_in": tuple(d for d in plan.tin_in if d not in lost), "typed": {}})


def _fill_changed(plan: Plan, rng: np.random.Generator) -> Plan:
    return plan.model_copy(update={"fill": Fill(kind=rng.choice(["leaves", "needles", "flowers", "echo"]))})


def _borders_changed(plan: Plan, rng: np.random.Generator) -> Plan:
    width = plan.border_in.top + float(rng.choice([-0.5, 0.25, 1.0]))
    return plan.model_copy(update={"border_in": SideLengths(**dict.fromkeys(SIDES, width)), "typed": {}})


def _taste_changed(plan: Plan, rng: np.random.Generator) -> Plan:
    corner = str(rng.choice(["mirrored", "turning", "easy_going"]))
    meeting, run = str(rng.choice(["butted", "wreath", "any"])), str(rng.choice(["level", "rolling"]))
    return plan.model_copy(update={"corner": corner, "meeting": meeting, "run": run})


def _unchosen(plan: Plan, rng: np.random.Generator) -> Plan:
    return plan.model_copy(update={"choice": None})


def _only_named(plan: Plan, rng: np.random.Generator) -> Plan:
    """What does not touch the drawing: her choice stands."""
    return plan.model_copy(update={"name": "Another name", "units": "mm", "typed": {}})


EDITS: tuple[Callable[[Plan, np.random.Generator], Plan], ...] = (
    _sides_changed,
    _circle_gone,
    _fill_changed,
    _borders_changed,
    _taste_changed,
    _unchosen,
    _only_named,
)
