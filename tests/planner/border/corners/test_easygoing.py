"""Easy-going corners: whatever the seed, sizes are drawn and steered until all four sides land."""

from __future__ import annotations

import pytest
from scipy.optimize import brentq

from planner.border.band import quilt_with
from planner.border.corners import easygoing
from planner.border.corners.easygoing import FIRST_LEAN, TUCKED, WISHED, Side, Sizes
from planner.plan import SIDES, Choice, Counts, Plan, SideLengths

SEEDS = 40
QUILTS = (  # sides, border, room, run circle
    ((60.0, 72.25, 60.125, 72.0), 6.0, 1.0, 3.0),
    ((84.5, 96.0, 84.25, 96.25), 8.0, 1.125, 4.0),
    ((54.0, 58.0, 54.25, 58.0), 5.0, 0.75, 2.5),
    ((108.0, 108.5, 108.25, 108.0), 10.0, 1.25, 5.0),
)


def chosen(plan: Plan, room: float, run: float) -> Choice:
    """The counts nearest below what run circles alone would need, or the next ones."""
    quilt = quilt_with(plan, room)
    height = quilt.bands["top"].height
    side = Side(height, easygoing.sizes_of(plan, run / 2, height))
    found = []
    for name in ("top", "right"):
        span = quilt.bands[name].span
        least = side.least_circles(span)
        found.append(min((least, least + 2), key=lambda m, span=span: abs(side.missing(span, (0,) * m))))
    counts = Counts(top=found[0], right=found[1], bottom=found[0], left=found[1])
    return Choice(corner_diameter_in=None, run_diameter_in=run, counts=counts, room_in=room)


@pytest.mark.parametrize("quilt", QUILTS, ids=lambda quilt: f"{quilt[1]:g}")
def test_every_seed_lands(quilt: tuple[tuple[float, ...], float, float, float]) -> None:
    sides, border, room, run = quilt
    patterns = set()
    for seed in range(SEEDS):
        plan = Plan(
            sides_in=SideLengths(**dict(zip(SIDES, sides, strict=True))),
            border_in=SideLengths(**dict.fromkeys(SIDES, border)),
            tin_in=(run,),
            corner="easy_going",
            seed=seed,
        )
        choice = chosen(plan, room, run)
        chains = easygoing.chains(quilt_with(plan, room).own, plan, choice)
        assert set(chains) == set(SIDES), f"seed {seed}"
        for side in SIDES:
            x = chains[side].near.centre[0]
            assert run / 2 <= x <= TUCKED * run / 2
        patterns.add(tuple(c.radius for c in chains["top"].circles))
    assert len(patterns) > SEEDS / 2, "the seed is seen"


def test_equal_circles_are_as_long_as_the_formula_says() -> None:
    """L = 2x + f0 + f1 + s0 + s1 + (m − 3)p, solved for the height by scipy, from DESIGN's own terms."""
    r, height, m, y = 1.75, 5.0, 11, 1.9
    side = Side(height, Sizes(r, r, r))
    first = min(height - r, y + 2 * r * 0.25881904510252074)  # the sine of 15°
    f, s = (4 * r * r - (first - y) ** 2) ** 0.5, (4 * r * r - (first - r) ** 2) ** 0.5
    p = (4 * r * r - (height - 2 * r) ** 2) ** 0.5
    assert side.length((0,) * m, y, y) == pytest.approx(2 * f + 2 * s + (m - 3) * p, abs=1e-12)
    assert side.steps((0,) * m, y, y) == pytest.approx([f, s, *[p] * (m - 3), s, f], abs=1e-12)
    span = 2 * WISHED * r + side.length((0,) * m, WISHED * r, WISHED * r)
    found = brentq(lambda x: 2 * x + side.length((0,) * m, WISHED * r, WISHED * r) - span, 0, 10)
    assert found == pytest.approx(WISHED * r, abs=1e-9)


def test_two_first_links_are_sixty_degrees_apart() -> None:
    """So the ends of two sides just touch where both lean as far as they may."""
    assert pytest.approx(60) == 90 - 2 * FIRST_LEAN * 180 / 3.141592653589793


@pytest.mark.parametrize("diameter", [1.0, 2.0, 3.5, 5.0])
@pytest.mark.parametrize("units", ["in", "mm"])
def test_sizes_are_marks_of_her_ruler_or_hers(diameter: float, units: str) -> None:
    sides = SideLengths(**dict.fromkeys(SIDES, 60.0))
    plan = Plan(
        sides_in=sides, border_in=SideLengths(**dict.fromkeys(SIDES, 6.0)), tin_in=(3.3,), units=units
    )  # type: ignore[arg-type]
    sizes = easygoing.sizes_of(plan, diameter / 2, 100.0)
    mark = 1 / 16 if units == "in" else 1 / 25.4
    assert sizes.smaller < sizes.run < sizes.larger
    for size, wanted in ((sizes.smaller, 0.94), (sizes.larger, 1.06)):
        hers = 2 * size == 3.3
        assert hers or 2 * size / mark == pytest.approx(round(2 * size / mark), abs=1e-9)
        assert abs(2 * size - wanted * diameter) <= max(mark, 0.02 * diameter)
