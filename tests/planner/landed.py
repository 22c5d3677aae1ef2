"""Layouts that land, for tests that begin where the solver ends: any count that the ease allows is taken."""

from __future__ import annotations

from typing import get_args

import numpy as np
from hypothesis import assume
from hypothesis import strategies as st

from planner.border import run
from planner.border.band import Quilt, largest_corner, quilt_of, quilt_with
from planner.border.corners import easygoing
from planner.border.layout import Layout, place
from planner.border.meetings import half_of
from planner.errors import PlanError
from planner.plan import SIDES, Choice, Counts, EaseLimits, Fill, Plan, SideLengths, Units
from planner.solver import choose, propose
from planner.threads import Thread

LOOSE = EaseLimits(lift_in=0.4, gap_in=0.6)
STYLES = (
    ("mirrored", "butted", 0.0, 2.0, 3.5),
    ("mirrored", "wreath", 4.0, 2.0, 3.5),
    ("mirrored", "little_spines", 3.0, 1.8, 3.2),
    ("mirrored", "lattice", 4.0, 1.8, 3.2),
    ("turning", None, 0.0, 1.75, 3.0),
    ("easy_going", None, 0.0, 2.0, 2.0),
    ("mirrored", "full_circle", 0.0, 2.0, 3.5),
)


def landed(
    corner: str,
    meeting: str | None,
    middle: float,
    r: float,
    corner_radius: float,
    *,
    sides: tuple[float, float, float, float] = (60.0, 70.0, 60.0, 70.0),
    widths: tuple[float, float, float, float] = (8.0, 8.0, 8.0, 8.0),
    room: float | None = None,
    strip: float = 0.0,
    **plan_fields: object,
) -> Layout | None:
    """A layout of the given style and radii (inches), or None where some side does not land.

    room: beside the narrowest border's band, one band for all sides (None: each side has its own).
    """
    plan = Plan(
        sides_in=SideLengths(**dict(zip(SIDES, sides, strict=True))),
        border_in=SideLengths(**dict(zip(SIDES, widths, strict=True))),
        corner=corner,  # type: ignore[arg-type]
        cut_own=True,
        ease_limits=LOOSE,
        **plan_fields,  # type: ignore[arg-type]
    )
    try:
        quilt = quilt_of(plan) if room is None else quilt_with(plan, room, strip)
    except PlanError:
        return None
    if corner == "easy_going":
        choice = easy_choice(plan, quilt, r)
        return place(plan, choice.model_copy(update={"room_in": room, "strip_in": strip})) if choice else None
    counts = {}
    for pair in (("top", "bottom"), ("right", "left")):
        bands = [bands[side] for side in pair for bands in (quilt.bands, quilt.own)]
        ks = np.arange(1, 90.0)
        sets = []
        for b in bands:
            runs = run.Runs.of(half_of(meeting), b.height, corner_radius, r, ks, middle)
            found, _ = runs.ease(np.asarray(b.span / 2), LOOSE.lift_in, LOOSE.gap_in)
            sets.append({int(k) for k in ks[~np.isnan(found)]})
        both = set.intersection(*sets)
        if not both:
            return None
        k = min(both)
        for side in pair:
            counts[side] = 2 * k - 1 if corner == "turning" else k
    choice = Choice(
        corner_diameter_in=2 * corner_radius,
        run_diameter_in=2 * r,
        meeting=meeting,  # type: ignore[arg-type]
        middle_in=middle,
        counts=Counts(**counts),
        room_in=room,
        strip_in=strip,
    )
    try:
        return place(plan, choice)
    except PlanError:
        return None


def easy_choice(plan: Plan, quilt: Quilt, r: float) -> Choice | None:
    """The first counts with which all four sides of an easy-going border land, as measured and as drawn."""
    height = min(band.height for band in quilt.bands.values())
    if 2 * r > height:
        return None
    side = easygoing.Side(height, easygoing.sizes_of(plan, r, height))
    least = [side.least_circles(quilt.bands[name].span) for name in SIDES]
    for across, down in ((0, 0), (2, 0), (0, 2), (2, 2)):
        counts = dict(
            zip(SIDES, (m + n for m, n in zip(least, (across, down) * 2, strict=True)), strict=True)
        )
        choice = Choice(corner_diameter_in=None, run_diameter_in=2 * r, counts=Counts(**counts))
        if all(
            len(easygoing.chains(bands, plan, choice)) == len(SIDES) for bands in (quilt.own, quilt.bands)
        ):
            return choice
    return None


def example(style: int = 0, **fields: object) -> Layout:
    """One of the six styles on a quilt of 60 by 70 in."""
    layout = landed(*STYLES[style], **fields)  # type: ignore[arg-type]
    assert layout is not None
    return layout


def square(kind: str, width: float, corner: str = "mirrored", **fields: object) -> Layout:
    """The first layout proposed for a square with borders so wide, its sides six and a half times that."""
    sides = dict.fromkeys(SIDES, 6.5 * width)
    borders = dict.fromkeys(SIDES, width)
    plan = Plan.model_validate(
        {
            "sides_in": sides,
            "border_in": borders,
            "cut_own": True,
            "corner": corner,
            "fill": {"kind": kind},
            **fields,
        }
    )
    return place(plan, propose(plan).proposals[0].choice)


def wall_hanging(**fields: object) -> Layout:
    """The layout chosen for a small square in leaves, 36 in and a border of 4 1/2 in. fields: of its plan."""
    plan = Plan(
        sides_in=SideLengths(**dict.fromkeys(SIDES, 36.0)),
        border_in=SideLengths(**dict.fromkeys(SIDES, 4.5)),
        fill=Fill(kind="leaves"),
        tin_in=(1.5, 2.0, 3.0),
        **fields,  # type: ignore[arg-type]
    )
    return choose(plan).layout


# Leaves first, the spine over them: the order that needs the fewest starts.
SPINE_LAST = {
    "threads": (
        Thread(name="rust", colours=("#a8502a",)),
        Thread(name="gold", colours=("#c9992b",)),
        Thread(name="green", colours=("#2f6b43",)),
    ),
    "stitched_with": {"main": 0, "stems": 1, "teardrops": 1, "spine": 2},
    "travels": "lines_covered_later",
}


@st.composite
def layouts(draw: st.DrawFn, style: int | None = None) -> Layout:
    """Random plans that land, of one of the six styles or any: four different sides, unequal widths, both units."""
    corner, meeting, middle, _, _ = STYLES[draw(st.integers(0, 6)) if style is None else style]
    across, down = draw(st.floats(45, 110)), draw(st.floats(45, 110))
    sides = (across, down, across + draw(st.floats(-0.5, 0.5)), down + draw(st.floats(-0.5, 0.5)))
    width = draw(st.floats(4.5, 10))
    other = width if draw(st.booleans()) else width + draw(st.floats(-0.5, 0.5))
    height = min(width, other) - 2.25
    if corner == "easy_going":
        r = corner_radius = draw(st.floats(0.31, 0.49)) * height
    else:
        r = draw(st.floats(0.27, 0.49)) * height
        corner_radius = r * draw(st.floats(1, 1.6))
    layout = landed(
        corner,
        meeting,
        middle if meeting != "wreath" else min(middle, height),
        r,
        corner_radius,
        sides=sides,
        widths=(width, other, width, other),
        units=draw(st.sampled_from(get_args(Units))),
        seed=draw(st.integers(0, 1000)),
        room=draw(st.sampled_from((None, 0.9))),
        strip=draw(st.sampled_from((0.0, 0.5))),
    )
    assume(layout is not None)
    assert layout is not None
    assume(corner_radius <= largest_corner(layout.quilt))
    return layout
