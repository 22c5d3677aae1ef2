"""A drift taken into a layout: the rest of the run spread anew, or what stands in the way with the nearest cure."""

from __future__ import annotations

from contextlib import suppress

from planner.border.corners.styles import CORNER_STYLES
from planner.border.drift import standing
from planner.border.layout import Layout, place
from planner.errors import ChoiceError, PlanError
from planner.geometry.arrays import ROUNDING_IN
from planner.lengths import format_length
from planner.plan import MOST_DRIFTS, Choice, Drift, Plan
from planner.solver.promises import place_lawful


class DriftError(PlanError):
    """A drift that cannot be spread. back: the last curl from which it can, and how far that one stands off."""

    def __init__(self, message: str, *, cure: str, field: str = "by", back: Drift | None = None) -> None:
        super().__init__(message, field=field, cure=cure)
        self.back = back


def spread_anew(plan: Plan, choice: Choice, drift: Drift) -> Layout:
    """The layout with one drift more. Raises DriftError; ChoiceError where the choice is none of the plan."""
    before = place_lawful(plan, choice)
    _check(before, drift)
    with suppress(ChoiceError):
        return place_lawful(plan, _with(choice, drift))
    raise _refused(plan, choice, drift)


def last_chalked(choice: Choice, drift: Drift) -> int:
    """The curl of the last drift before this one's on its side, 0 for none: up to there nothing is touched."""
    return max((d.curl for d in standing(choice.drifts, drift.side) if d.curl < drift.curl), default=0)


def _with(choice: Choice, drift: Drift) -> Choice:
    return choice.model_copy(update={"drifts": (*choice.drifts, drift)})


def _check(layout: Layout, drift: Drift) -> None:
    """Raises DriftError for a curl that is not there, or no drift at all."""
    if not CORNER_STYLES[layout.plan.corner].spreads:
        raise DriftError(
            "The curls of this border stand as they come, and cannot be spread anew.",
            field="curl",
            cure="Brush out to where you stood right, and chalk on from there as the sheet says.",
        )
    if any(one.from_far_end != drift.from_far_end for one in standing(layout.choice.drifts, drift.side)):
        raise DriftError(
            f"The {drift.side} side is spread anew already, as chalked from its other end.",
            field="curl",
            cure="Chalk on from there with the readings that begin at that end, and report it from those.",
        )
    most = len(layout.own[drift.side].circles) - 1
    if drift.curl > most:
        raise DriftError(
            f"The {drift.side} side has no curl {drift.curl} with something to spread after it.",
            field="curl",
            cure=f"Give the last curl you have chalked, from 1 to {most}."
            if most > 1
            else "Chalk this side anew by the sheet.",
        )
    if abs(drift.by_in) < ROUNDING_IN:
        raise DriftError("Curl by curl it stands where it should.", cure="Go on as the sheet says.")
    if len(layout.choice.drifts) >= MOST_DRIFTS:
        raise DriftError(
            "This border has been spread anew very often.", cure="Measure it anew, as a new plan."
        )


def _refused(plan: Plan, choice: Choice, drift: Drift) -> DriftError:
    off = format_length(abs(drift.by_in), plan.units)
    done = last_chalked(choice, drift)
    for curl in range(drift.curl - 1, done, -1):
        share = (curl - done) / (drift.curl - done)
        back = drift.model_copy(update={"curl": curl, "by_in": drift.by_in * share})
        with suppress(ChoiceError):
            place(plan, _with(choice, back))  # asked first, because it is quick
            place_lawful(plan, _with(choice, back))
            wiped = f"curl {drift.curl}" if curl == drift.curl - 1 else f"curls {curl + 1} to {drift.curl}"
            return DriftError(
                f"{off} too far at curl {drift.curl} is more than the curls after it can take up.",
                cure=f"Brush out {wiped} and go on from curl {curl}.",
                back=back,
            )
    if drift.by_in < 0:
        return DriftError(
            f"Circles that nearly touch cannot stand {off} nearer together.",
            cure="Lay the template on each curl again to find the one that slipped, and chalk on from there as "
            "the sheet says.",
        )
    return DriftError(
        f"{off} too far at curl {drift.curl} is more than this run can take up.",
        cure="Brush the run out and chalk it anew as the sheet says.",
    )
