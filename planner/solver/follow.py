"""Following her hand: a measure has changed, and the layout she looks at should change with it, not jump."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from planner.border.band import largest_corner, quilt_of
from planner.border.corners.styles import CORNER_STYLES
from planner.border.layout import Layout, place
from planner.border.reach import measure
from planner.errors import ChoiceError
from planner.plan import SIDES, Choice, Plan
from planner.solver.choices import feasible
from planner.solver.combos import Tries, choice_of
from planner.solver.limits import LEVEL_RISE, Limits
from planner.solver.score import score


def followed(plan: Plan, wanted: Choice) -> Layout | None:
    """Her choice while it lands, else its circles, meeting and middle with the counts that land now.

    None when neither keeps every limit, or when she no longer allows that meeting or owns those circles.
    Raises PlanError for an impossible plan.
    """
    style = CORNER_STYLES[plan.corner]
    if style.meets != (wanted.meeting is not None):
        return None
    if wanted.meeting and plan.meeting not in ("any", wanted.meeting):
        return None
    choice = follow(plan, wanted) if style.strict else wanted
    if choice is None:
        return None
    try:
        layout = place(plan, choice)
    except ChoiceError:
        return None
    lawful = style.strict or _wanders_within(layout)
    return layout if lawful and _owned(plan, _drawn_round(layout)) else None


def follow(plan: Plan, wanted: Choice) -> Choice | None:
    """The choice itself where its counts land, else the best counts of its circles and middle; None without any.

    Strict corners only: every count draws an easy-going chain anew. Raises PlanError for an impossible plan.
    """
    quilt, limits = quilt_of(plan), Limits.of(plan)
    corner_radius, r = wanted.corner_radius, wanted.run_diameter_in / 2
    lowest, corner = min(band.height for band in quilt.bands.values()), largest_corner(quilt)
    if not limits.smallest_curl <= r <= min(lowest / 2, corner_radius) or corner_radius > corner:
        return None
    combos = feasible(plan, quilt, wanted.meeting, limits, Tries.one(corner_radius, r, wanted.middle_in))
    landing = [choice_of(plan, wanted.meeting, combos, i) for i in range(len(combos))]
    if wanted in landing:
        return wanted
    return landing[int(np.argmin(score(combos, limits, corner)))] if landing else None


def _wanders_within(layout: Layout) -> bool:
    """Whether an easy-going layout is of the kind she asked for and keeps every limit but those of a placing."""
    plan, limits, found = layout.plan, Limits.of(layout.plan), measure(layout)
    r, steps = layout.choice.run_diameter_in / 2, [chain.step for chain in layout.own.values()]
    rises = (layout.quilt.bands[side].height - 2 * r - 2 * layout.own[side].ease.lift for side in SIDES)
    level = max(rises) <= LEVEL_RISE * r
    return (
        plan.run in ("any", "level" if level else "rolling")
        and max(steps) / min(steps) - 1 <= limits.mismatch
        and found.run <= limits.longest
        and found.corner <= limits.reach_ends
    )


def _drawn_round(layout: Layout) -> set[float]:
    """Diameters of the circles that a choice names (inches)."""
    choice = layout.choice
    corner = set() if choice.corner_diameter_in is None else {choice.corner_diameter_in}
    return {choice.run_diameter_in, *corner, *(2 * ring.radius for _, ring in layout.rings)}


def _owned(plan: Plan, diameters: Iterable[float]) -> bool:
    return plan.cut_own or set(diameters) <= set(plan.tin_in)
