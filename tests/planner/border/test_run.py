"""Bands, runs and spines against closed forms: DESIGN's check values and REFERENCES 6, named beside each."""

from __future__ import annotations

from math import asin, atan2, degrees, pi, sqrt

import numpy as np
import pytest

from planner.border import estimates, run
from planner.border.band import corner_limit
from planner.border.meetings import half_of
from planner.border.run import Runs
from planner.border.spine import Circle, Piece, curls, link_between
from planner.geometry.curves import Arc

ONE = np.ones(1)
NONE = np.zeros(1)

# REFERENCES 6, zigzag table (from Pythagoras): r/H, step/H, lean in degrees
ZIGZAG = (
    (0.5, 1.0, 0.0),
    (0.45, 0.894427191, 6.379370),
    (0.4, 0.774596669, 14.477512),
    (0.35, 0.632455532, 25.376934),
    (1 / 3, 0.577350269, 30.0),
    (0.3, 0.447213595, 41.810315),
    (2 - sqrt(3), 0.267949192, 60.0),
)


@pytest.mark.parametrize(("share", "step", "lean"), ZIGZAG)
@pytest.mark.parametrize("height", [1.0, 3.75])
def test_the_zigzag_table(share: float, step: float, lean: float, height: float) -> None:
    r, band = share * height * ONE, height * ONE
    p, v = run.step(band, r, NONE, NONE), run.rise(band, r, NONE)
    assert p[0] / height == pytest.approx(step, abs=1e-8)
    assert degrees(atan2(v[0], p[0])) == pytest.approx(lean, abs=1e-5)


@pytest.mark.parametrize(
    ("share", "far", "near"), [(0.4, 1.458781266, 1.054492857), (0.3, 1.380314390, 0.504641202)]
)
def test_the_spines_arcs_of_the_zigzag_table(share: float, far: float, near: float) -> None:
    """REFERENCES 6, zigzag table: the arcs round far and near sides, touching circles of a band of height 1."""
    step = sqrt(4 * share - 1)
    centres = [(5 + i * step, 1 - share if i % 2 == 0 else share) for i in range(-1, 4)]
    chain = [
        Circle(c, share, "inner" if i % 2 == 0 else "outer", -1 if i % 2 == 0 else 1)
        for i, c in enumerate(centres[1:])
    ]
    stems = [
        p.curve.length
        for p in curls(Circle(centres[0], share, "corner", 1), chain, None, 90)
        if p.part == "stem"
    ]
    # an inner curl passes between its neighbours' joints on the side of the inner guide: the far side
    assert stems[:3] == pytest.approx([far] * 3, abs=1e-8)
    assert 2 * pi * share - stems[0] == pytest.approx(near, abs=1e-8)


def test_designs_check_values() -> None:
    """DESIGN section 3: W 6, c 1, s 1/4 gives H 3.75 and R at most 2.368; and its closed form for equal widths."""
    height = 6 - 2 * 1 - 0.25
    assert height == 3.75
    assert corner_limit(4.75, 4.75, 1.0) == pytest.approx(2.368, abs=5e-4)
    assert corner_limit(4.75, 4.75, 1.0) == pytest.approx((sqrt(2) * 4.75 - 1) / (1 + sqrt(2)), abs=1e-12)


# DESIGN section 4: room 1 in, s 1/4, touching circles, infinite run; a grid estimate to .03 in
@pytest.mark.parametrize(
    ("width", "r", "figure"), [(5, 1.38, 1.50), (6, 1.69, 1.78), (8, 1.72, 2.02), (10, 2.32, 2.48)]
)
def test_designs_reach_table(width: float, r: float, figure: float) -> None:
    found = estimates.of_runs((width - 2.25) * ONE, r * ONE, NONE, NONE, 1.0, 90.0)
    assert found[0] == pytest.approx(figure, abs=0.05)


@pytest.mark.parametrize(("r1", "r2", "d", "length"), [(4, 6, 12, 6.63325), (7, 9, 21, 13.6015)])
def test_the_link_is_the_internal_tangent(r1: float, r2: float, d: float, length: float) -> None:
    """REFERENCES 6.1, to the digits printed there."""
    link = link_between(Circle((0, 0), r1, "inner", -1), Circle((d, 0), r2, "outer", 1))
    assert link is not None
    assert link.length == pytest.approx(length, abs=1e-4)


@pytest.mark.parametrize(
    ("r1", "r2", "d", "length"),
    [(6, 1, 13, 51.8605950790), (4, 6, 12, 64.3846413641), (4, 6, 10, 20 * pi)],
)
def test_the_spine_is_a_crossed_belt(r1: float, r2: float, d: float, length: float) -> None:
    """REFERENCES 6.4: once round two circles that turn opposite ways; trap 0.1: touching gives 2π(r1 + r2)."""
    a, b = Circle((0, 0), r1, "corner", 1), Circle((d, 0), r2, "inner", -1)
    there, back = link_between(a, b), link_between(b, a)
    links = sum(line.length for line in (there, back) if line)
    wrap = pi + 2 * asin((r1 + r2) / d)
    pieces: list[Piece] = curls(a, [b], a, 90)
    stem = next(p.curve for p in pieces if p.part == "stem")
    assert isinstance(stem, Arc)
    assert abs(stem.sweep) % (2 * pi) == pytest.approx(wrap % (2 * pi), abs=1e-9)
    assert links + (r1 + r2) * wrap == pytest.approx(length, abs=1e-9)


@pytest.mark.parametrize("meeting", ["butted", "full_circle", "wreath", "lattice", "little_spines", None])
@pytest.mark.parametrize("share", [0.5, 0.4, 2 - sqrt(3)])
@pytest.mark.parametrize("k", [1, 2, 40])
def test_no_ease_and_no_room_for_any(meeting: str | None, share: float, k: int) -> None:
    """Limits of nothing: a span that fits exactly lands with no ease, one a hair longer does not."""
    runs = Runs.of(half_of(meeting), 4.0, 2.3, 4 * share, k, 3.0)
    exact = runs.length(NONE, NONE)
    assert [float(e[0]) for e in runs.ease(exact, 0.0, 0.0)] == [0.0, 0.0]
    assert np.isnan(runs.ease(exact + 1e-6, 0.0, 0.0)[0]).all()
    assert np.isnan(runs.ease(exact - 1e-6, 0.125, 0.125)[0]).all()


@pytest.mark.parametrize("height", [1.7, 3.1, 3.75, 5.3, 7.9])
@pytest.mark.parametrize("tight", [1 - 1e-15, 1.0, 1 + 1e-15])
def test_circles_that_touch_by_their_figures_keep_apart(height: float, tight: float) -> None:
    """At r = (2 − √3)H every other circle touches (DESIGN section 3): no ease at all is needed, nor any allowed."""
    r = (2 - sqrt(3)) * height * tight
    runs = Runs.of(run.TURNING, height, (sqrt(3) - 1) * height, r, 6, 0.0)
    lift, gap = runs.ease(runs.length(NONE, NONE), 0.0, 0.0)
    assert lift[0] == gap[0] == 0.0


def test_a_run_as_long_as_lifting_makes_it_lands() -> None:
    """Beside its summit the length is flat: the root stays where it was found, and is not stepped away from."""
    runs = Runs.of(half_of("butted"), 2.905494779184614, 1.4527503408416214, 1.3743796306373722, 3, 0.0)
    summit = runs.length(runs.useful_lift(0.125), NONE)
    for short in (0.0, 1e-13, 2e-13, 1e-12, 1e-11, 1e-9, 1e-7, 1e-5):
        lift, gap = runs.ease(summit - short, 0.125, 0.0)
        assert runs.length(lift, gap) == pytest.approx(summit - short, abs=2e-12)
